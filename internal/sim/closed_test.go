package sim_test

import (
	"fmt"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

const roomThermal = 1.380649e-23 * 298.15 / 1.602176634e-19

// TestSaturationVoltageIsClosedForm: by the equations of Ebers and Moll
//
//	Vce = Vt·ln((1/αR + (Ic/Ib)/βR)/(1 − (Ic/Ib)/βF))
//
// (Ebers and Moll 1954, from memory), with the currents that flow.
func TestSaturationVoltageIsClosedForm(t *testing.T) {
	const forward, reverse = 200.0, 0.7
	for _, load := range []float64{100, 470, 2200, 47e3} {
		t.Run(fmt.Sprintf("%g Ω", load), func(t *testing.T) {
			s := solve(t, build(t, "BT1 battery v gnd voltage=9 resistance=0", "RB resistor v b value=10k",
				fmt.Sprintf("RC resistor v c value=%g", load), fmt.Sprintf("Q1 npn c b gnd gain=%g", forward)), circuit.State{}, nil)
			ratio := amps(t, s, "Q1", "c") / amps(t, s, "Q1", "b")
			want := roomThermal * math.Log((1+1/reverse+ratio/reverse)/(1-ratio/forward))
			near(t, "Vce", volts(t, s, "c"), want, 1e-6)
		})
	}
}

// TestMirrorIsClosedForm: two equal transistors share their base-emitter
// voltage, so the output is Iref/(1 + 2/β).
func TestMirrorIsClosedForm(t *testing.T) {
	s := solve(t, build(t, "BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v b value=10k", "RC resistor v c value=1k",
		"Q1 npn b b gnd gain=100", "Q2 npn c b gnd gain=100"), circuit.State{}, nil)
	reference := amps(t, s, "R1", "1")
	// The leakage of 10 GΩ at the collectors adds some nanoamperes.
	near(t, "output", amps(t, s, "Q2", "c"), reference/(1+2.0/100), 5e-9)
}

// TestLampIsInThermalBalance: at any voltage the lamp's power and resistance
// are those of one temperature, whose fourth power the radiation goes with.
func TestLampIsInThermalBalance(t *testing.T) {
	const rated, hot = 0.6, 60.0
	for _, v := range []float64{0.01, 0.1, 1, 3, 6, 9} {
		t.Run(fmt.Sprintf("%g V", v), func(t *testing.T) {
			s := solve(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g resistance=0", v), "DS1 lamp v gnd voltage=6 current=0.1"), circuit.State{}, nil)
			ohms := v / amps(t, s, "DS1", "1")
			tau := math.Pow(ohms/(hot/10), 1/1.2)
			full := math.Pow(10, 1/1.2)
			want := rated * (math.Pow(tau, 4) - 1) / (math.Pow(full, 4) - 1)
			near(t, "power", s.Power("DS1"), want, 1e-9*want+1e-15)
		})
	}
}

// TestNodesOfALadder: the resistance of an endless ladder of R in series and
// R across is R times the golden ratio.
func TestNodesOfALadder(t *testing.T) {
	lines := []string{"BT1 battery n0 gnd voltage=1 resistance=0"}
	for k := range 60 {
		lines = append(lines, fmt.Sprintf("RA%d resistor n%d n%d value=1k", k, k, k+1), fmt.Sprintf("RB%d resistor n%d gnd value=1k", k, k+1))
	}
	s := solve(t, build(t, lines...), circuit.State{}, nil)
	golden := (1 + math.Sqrt(5)) / 2
	near(t, "resistance", -1/amps(t, s, "BT1", "+"), 1000*golden, 1e-9*1000)
}

// TestResistanceIsTheSlope: the small-signal resistance of a junction is
// n·Vt/I and its series resistance.
func TestResistanceIsTheSlope(t *testing.T) {
	in, err := compile(t, build(t, "BT1 battery v gnd voltage=9 resistance=0", "R1 resistor v a value=1M", "Q1 npn a a gnd gain=100")).Instance(circuit.State{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := in.Solve(t.Context(), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	got, apart, err := in.Resistance(s, sim.OnNet("a"), sim.OnNet("gnd"))
	if err != nil || apart {
		t.Fatal(apart, err)
	}
	// Beside the junction lie 1 MΩ and the leakage of 10 GΩ; the junction's
	// own current is I + Is.
	i := amps(t, s, "R1", "1") - volts(t, s, "a")*1e-10
	is := 0.001 / math.Expm1(0.66/roomThermal) * 1.01
	want := 1 / (1e-6 + 1e-10 + (i+is)/roomThermal)
	near(t, "resistance", got, want, 1e-9*want)
}
