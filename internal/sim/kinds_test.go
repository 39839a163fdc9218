package sim_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// TestEmitterFollowerTable is a published table with an exponential junction:
// Is 1e-16 A, gain 100, 27 °C (the constants are inferred in the outside
// checks; they fit the table). Is is given as the drop that it makes at 1 mA.
func TestEmitterFollowerTable(t *testing.T) {
	for _, row := range []struct{ in, out, within float64 }{
		{0.6, 4.95e-3, 0.005e-3}, {1, 0.2989, 0.00005}, {2, 1.262, 0.0005}, {3, 2.247, 0.0005}, {5, 4.230, 0.0005},
	} {
		t.Run("B17 LIEC Semi ch.4 Common-collector", func(t *testing.T) {
			c := build(t, "BT1 battery v gnd voltage=15 resistance=0", "BT2 battery b gnd voltage=1 resistance=0",
				"Q1 npn v b e gain=100 base-emitter_voltage=0.774237@0.001", "RE resistor e gnd value=5k")
			c.Parts[1].Amounts["voltage"] = circuit.Amount{Value: row.in}
			at := 0.001
			vt := 1.380649e-23 * 300.15 / 1.602176634e-19
			c.Parts[2].Amounts["base-emitter voltage"] = circuit.Amount{Value: vt * math.Log(1e-3/1e-16), At: &at}
			m, err := sim.Compile(c, sim.Options{Temperature: 300.15})
			if err != nil {
				t.Fatal(err)
			}
			s, err := m.OperatingPoint(context.Background(), circuit.State{}, sim.Run{})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "output", volts(t, s, "e"), row.out, row.within)
		})
	}
}

// TestKinds is one small circuit for every kind, with figures worked by hand.
func TestKinds(t *testing.T) {
	for _, row := range []published{
		{name: "switch open", parts: []string{"BT1 battery v gnd voltage=9", "S1 switch v a", "R1 resistor a gnd value=1k"}, want: []want{{"a", 0, 1e-9}}},
		{name: "switch closed", parts: []string{"BT1 battery v gnd voltage=9", "S1 switch v a", "R1 resistor a gnd value=1k"}, state: "S1=closed", want: []want{{"a", 9 * 1000 / 1001.05, 1e-6}}},
		{name: "both poles of a switch", parts: []string{"BT1 battery v gnd voltage=9", "S1 switch v a v b poles=2", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"}, state: "S1=closed", want: []want{{"a", 8.98, 0.01}, {"b", 8.98, 0.01}}},
		{name: "changeover at rest", parts: []string{"BT1 battery v gnd voltage=9", "S1 changeover v a b", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"}, want: []want{{"a", 0, 1e-9}, {"b", 8.99, 0.01}}},
		{name: "changeover thrown", parts: []string{"BT1 battery v gnd voltage=9", "S1 changeover v a b", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"}, state: "S1=no", want: []want{{"a", 8.99, 0.01}, {"b", 0, 1e-9}}},
		{name: "second pole of a changeover", parts: []string{"BT1 battery v gnd voltage=9", "S1 changeover x y z v a b poles=2", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k", "R3 resistor x gnd value=1k"}, state: "S1=no", want: []want{{"a", 8.99, 0.01}, {"b", 0, 1e-9}}},
		{name: "potentiometer a quarter up", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "RV1 potentiometer gnd w v value=10k"}, state: "RV1=0.25", want: []want{{"w", 2.5, 1e-9}}},
		{name: "potentiometer at its stop keeps a little", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "RV1 potentiometer gnd w v value=10k"}, state: "RV1=0", want: []want{{"w", 0.01, 1e-9}}},
		{name: "logarithmic potentiometer at half", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "RV1 potentiometer gnd w v value=10k taper=log"}, state: "RV1=0.5", want: []want{{"w", 1, 1e-9}}},
		{name: "capacitor open", parts: []string{"BT1 battery v gnd voltage=10", "C1 capacitor v a value=1", "R1 resistor a gnd value=1k"}, want: []want{{"a", 0, 1e-12}}},
		{name: "capacitor leaking", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "C1 electrolytic v a value=1 leakage=9k", "R1 resistor a gnd value=1k"}, want: []want{{"a", 1, 1e-9}}},
		{name: "inductor", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "L1 inductor v a value=1 resistance=10", "R1 resistor a gnd value=90"}, want: []want{{"a", 9, 1e-9}}},
		{name: "transformer windings", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "T1 transformer v a b gnd winding_p=10 winding_s=100", "R1 resistor a gnd value=90", "R2 resistor b gnd value=1k"}, want: []want{{"a", 9, 1e-9}, {"b", 0, 1e-9}}},
		{name: "bridge", parts: []string{"BT1 battery x y voltage=12 resistance=0", "D1 bridge x y p gnd forward_drop=0.8@0.0104", "R1 resistor p gnd value=1k"}, want: []want{{"p", 10.4, 0.01}, {"gnd-y", 0.8, 0.01}}},
		{name: "bridge the other way round", parts: []string{"BT1 battery y x voltage=12 resistance=0", "D1 bridge x y p gnd forward_drop=0.8@0.0104", "R1 resistor p gnd value=1k"}, want: []want{{"p", 10.4, 0.01}}},
		{name: "lamp as rated", parts: []string{"BT1 battery v gnd voltage=6 resistance=0", "DS1 lamp v gnd voltage=6 current=0.1"}, want: []want{{"DS1.1", 0.1, 1e-6}}},
		{name: "lamp nearly cold", parts: []string{"BT1 battery v gnd voltage=0.001 resistance=0", "DS1 lamp v gnd voltage=6 current=0.1"}, want: []want{{"DS1.1", 0.001 / 6, 1e-7}}},
		{name: "fuse", parts: []string{"BT1 battery v gnd voltage=10 resistance=0", "F1 fuse v a current=0.1", "R1 resistor a gnd value=99"}, want: []want{{"a", 9.9, 1e-9}}},
		{name: "heater", parts: []string{"BT1 battery v gnd voltage=6.3 resistance=0", "HR1 heater v gnd voltage=6.3 current=0.3"}, want: []want{{"HR1.1", 0.3, 1e-9}}},
		{name: "relay at rest", parts: []string{"BT1 battery v gnd voltage=12 resistance=0", "K1 relay v gnd v a b coil_resistance=400", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"}, want: []want{{"K1.coil1", 0.03, 1e-9}, {"a", 0, 1e-7}, {"b", 12, 0.01}}},
		{name: "loudspeaker", parts: []string{"BT1 battery v gnd voltage=8 resistance=0", "LS1 speaker v gnd resistance=8"}, want: []want{{"LS1.1", 1, 1e-9}}},
		{name: "signal source gives no direct voltage", parts: []string{"G1 signal a gnd voltage=1", "R1 resistor a b value=50", "BT1 battery b gnd voltage=1 resistance=0"}, want: []want{{"a", 0.5, 1e-9}}},
		{name: "supply off is out of the circuit", parts: []string{"PS1 supply v gnd voltage=9", "BT1 battery w gnd voltage=3 resistance=0", "R1 resistor w v value=1k"}, state: "PS1=off", want: []want{{"v", 3, 1e-9}}},
		{name: "supply on takes current back", parts: []string{"PS1 supply v gnd voltage=9 resistance=1", "BT1 battery w gnd voltage=12 resistance=0", "R1 resistor w v value=2"}, want: []want{{"v", 10, 1e-9}}},
		{name: "crystal and connector are open", parts: []string{"BT1 battery v gnd voltage=9", "Y1 crystal v a", "R1 resistor a gnd value=1k", "J1 connector v a"}, want: []want{{"a", 0, 1e-12}}},
		{name: "thermistor at its value", parts: []string{"BT1 battery v gnd voltage=9 resistance=0", "RT1 thermistor v a value=2k", "R1 resistor a gnd value=1k"}, want: []want{{"a", 3, 1e-9}}},
		{name: "germanium diode", parts: []string{"BT1 battery v gnd voltage=3", "R1 resistor v a value=2.7k", "D1 diode a gnd material=germanium"}, want: []want{{"a", 0.28, 0.06}}},
		{name: "schottky diode", parts: []string{"BT1 battery v gnd voltage=3", "R1 resistor v a value=2.7k", "D1 diode a gnd material=schottky"}, want: []want{{"a", 0.31, 0.05}}},
		{name: "base-emitter junction in reverse", parts: []string{"BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v e value=10k", "Q1 npn gnd gnd e"}, want: []want{{"e", 7, 0.1}}},
	} {
		t.Run(row.name, row.run)
	}
}

func TestRefusedCircuits(t *testing.T) {
	for _, row := range []struct {
		name  string
		parts []string
		says  []string
	}{
		{"value not known", []string{"R1 resistor a gnd"}, []string{"R1", "value is not known"}},
		{"negative value", []string{"R1 resistor a gnd value=-5"}, []string{"R1", "negative"}},
		{"gain of nothing", []string{"Q1 npn a b gnd gain=0"}, []string{"Q1", "gain"}},
		{"short across an ideal battery", []string{"BT1 battery gnd gnd voltage=9 resistance=0"}, []string{"BT1", "both leads on one net"}},
		{"three ideal batteries in a ring, one elsewhere", []string{"BT1 battery x gnd voltage=3 resistance=0", "BT2 battery v gnd voltage=9 resistance=0", "BT3 battery w v voltage=6 resistance=0", "BT4 battery w gnd voltage=15 resistance=0", "R1 resistor x w value=1k"}, []string{"BT2, BT3 and BT4 make a loop", "inner resistance"}},
		{"two ideal batteries side by side", []string{"BT1 battery v gnd voltage=9 resistance=0", "BT2 battery v gnd voltage=6 resistance=0"}, []string{"BT1 and BT2", "inner resistance"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			m, err := sim.Compile(build(t, row.parts...), sim.Options{})
			if err == nil {
				_, err = m.OperatingPoint(context.Background(), circuit.State{}, sim.Run{})
			}
			if err == nil || !sim.IsRefusal(err) {
				t.Fatalf("got %v, want a refusal", err)
			}
			for _, s := range row.says {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("%q does not say %q", err, s)
				}
			}
		})
	}
	t.Run("kinds without a model are listed", func(t *testing.T) {
		c := build(t, "R1 resistor a gnd value=1k")
		c.Parts = append(c.Parts, circuit.Part{Ref: "V1", Kind: "klystron"}, circuit.Part{Ref: "V2", Kind: "magnetron"})
		_, err := sim.Compile(c, sim.Options{})
		var u *sim.UnmodelledError
		if !errors.As(err, &u) || len(u.Parts) != 2 || u.Parts[0].Part != "V1" || u.Parts[1].Kind != "magnetron" {
			t.Fatalf("got %#v", err)
		}
		if !strings.Contains(err.Error(), "V1 (klystron), V2 (magnetron) cannot be simulated") {
			t.Errorf("says %q", err)
		}
	})
	t.Run("every kind of the table has a model", func(t *testing.T) {
		for _, k := range circuit.Kinds() {
			if !sim.Modelled(k) {
				t.Errorf("%s has none", k)
			}
		}
	})
}

func TestWarnings(t *testing.T) {
	for _, row := range []struct {
		name  string
		parts []string
		says  string
	}{
		{"short across a battery", []string{"BT1 battery v gnd voltage=9 resistance=1", "R1 resistor v gnd value=0"}, "BT1 delivers 8.99 A"},
		{"both leads of a battery on a net", []string{"BT1 battery v v voltage=9 resistance=1", "R1 resistor v gnd value=1k"}, "a short across it"},
		{"a net behind capacitors", []string{"BT1 battery v gnd voltage=9", "C3 capacitor v 14 value=1", "C7 capacitor 14 gnd value=1"}, "net 14 has no path to gnd for direct current: C3 and C7 only"},
		{"an island", []string{"BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k", "BT2 battery a b voltage=9", "R2 resistor a b value=1k"}, "nets a and b have no path to gnd for direct current"},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := solve(t, build(t, row.parts...), circuit.State{}, nil)
			var said []string
			for _, w := range s.Warnings() {
				said = append(said, w.Text)
			}
			if !strings.Contains(strings.Join(said, "\n"), row.says) {
				t.Errorf("says %q, want %q", said, row.says)
			}
		})
	}
}

// TestFloatingIslandKeepsItsOwnVoltages: what nothing ties to the reference is
// still right within itself.
func TestFloatingIslandKeepsItsOwnVoltages(t *testing.T) {
	s := solve(t, build(t, "BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k",
		"BT2 battery a b voltage=9 resistance=0", "R2 resistor a m value=2k", "R3 resistor m b value=1k"), circuit.State{}, nil)
	if _, ok := s.Voltage("m"); ok {
		t.Error("a floating net has a voltage to the reference")
	}
	v, ok := s.Between("m", "b")
	if !ok || math.Abs(v-3) > 1e-9 {
		t.Errorf("m over b is %g (%v), want 3", v, ok)
	}
	if _, ok := s.Between("m", "v"); ok {
		t.Error("two islands have a voltage between them")
	}
}

// TestVariants: each change is the circuit that a person would draw for it.
func TestVariants(t *testing.T) {
	base := []string{"BT1 battery v gnd voltage=10 resistance=0", "R1 resistor v a value=1k", "R2 resistor a gnd value=1k", "S1 switch a b", "R3 resistor b gnd value=1k"}
	for _, row := range []published{
		{name: "none", parts: base, want: []want{{"a", 5, 1e-9}}},
		{name: "part removed", parts: base, fault: sim.Variant{sim.Remove("R2")}, want: []want{{"a", 10, 1e-6}}},
		{name: "part shorted", parts: base, fault: sim.Variant{sim.Short("R2", "1", "2", 1000)}, want: []want{{"a", 10.0 / 3, 1e-9}, {"R2.1", 20.0 / 3 * 1e-3, 1e-9}}},
		{name: "lead lifted", parts: base, fault: sim.Variant{sim.Lift("R2", "1", math.Inf(1))}, want: []want{{"a", 10, 1e-6}, {"R2.1", 0, 1e-12}}},
		{name: "lead by a bad joint", parts: base, fault: sim.Variant{sim.Lift("R2", "1", 1000)}, want: []want{{"a", 20.0 / 3, 1e-9}}},
		{name: "bridge", parts: base, fault: sim.Variant{sim.Bridge("a", "b", 0)}, want: []want{{"a", 10.0 / 3, 0.001}}},
		{name: "value doubled", parts: base, fault: sim.Variant{sim.Scale("R2", sim.KnobValue, 2)}, want: []want{{"a", 20.0 / 3, 1e-9}}},
		{name: "battery flat", parts: base, fault: sim.Variant{sim.Scale("BT1", sim.KnobValue, 0.5)}, want: []want{{"a", 2.5, 1e-9}}},
		{name: "switch stuck closed", parts: base, fault: sim.Variant{sim.Set("S1", circuit.Setting{Form: circuit.Closed})}, want: []want{{"a", 10.0 / 3, 0.001}}},
		{name: "two at once", parts: base, fault: sim.Variant{sim.Remove("R2"), sim.Bridge("a", "b", 1000)}, want: []want{{"a", 20.0 / 3, 1e-9}}},
	} {
		t.Run(row.name, row.run)
	}
}

// TestDrawsDoNotDependOnTheOrder: a draw gives bit for bit the same answer
// whatever was solved before it.
func TestDrawsDoNotDependOnTheOrder(t *testing.T) {
	m := compile(t, build(t, amplifier(2)...))
	ctx := context.Background()
	in, err := m.Instance(circuit.State{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	nominal, err := in.Solve(ctx, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	draws := m.Draws(16, 1)
	first := map[int]float64{}
	for k := range draws {
		s, err := in.Solve(ctx, draws[k], nominal)
		if err != nil {
			t.Fatal(err)
		}
		first[k] = volts(t, s, "o1")
	}
	for k := len(draws) - 1; k >= 0; k-- {
		s, err := in.Solve(ctx, draws[k], nominal)
		if err != nil {
			t.Fatal(err)
		}
		if v := volts(t, s, "o1"); v != first[k] {
			t.Errorf("draw %d: %v, before %v", k, v, first[k])
		}
	}
}
