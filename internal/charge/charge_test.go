package charge_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"foilside/internal/charge"
	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	q "foilside/internal/quantity"
)

func part(ref circuit.PartRef, k circuit.Kind, a, b circuit.NetID, amounts ...any) circuit.Part {
	names := circuit.LeadNames(k, nil, 1)
	p := circuit.Part{Ref: ref, Kind: k, Leads: []circuit.Lead{{Name: names[0], Net: a}, {Name: names[1], Net: b}}, Amounts: map[string]circuit.Amount{}}
	for i := 0; i < len(amounts); i += 2 {
		name := amounts[i].(string)
		info, _ := circuit.Lookup(k)
		param, _ := info.Param(name)
		p.Amounts[name] = circuit.Amount{Value: amounts[i+1].(float64), Unit: param.Units[0]}
	}
	return p
}

// flashStore is a supply of 400 V that charges 1 µF through 100 kΩ, with a
// bleeder of 1 MΩ: the small store of G41.
func flashStore() *circuit.Circuit {
	return &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "s", "0", "voltage", 400.0, "resistance", 10.0, "tolerance", 0.0),
		part("R1", circuit.Resistor, "s", "hv", "value", 100e3, "tolerance", 0.0),
		part("C1", circuit.Capacitor, "hv", "0", "value", 1e-6, "tolerance", 0.0, "voltage", 630.0),
		part("R2", circuit.Resistor, "hv", "0", "value", 1e6, "tolerance", 0.0),
	}}
}

func assess(t *testing.T, c *circuit.Circuit, possible ...diagnosis.Fault) charge.Report {
	t.Helper()
	r, err := charge.Assess(context.Background(), c, possible, charge.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestSmallFlashStore(t *testing.T) {
	r := assess(t, flashStore())
	s := r.Stores[0]
	// The bleeder may be open, so the store charges to the supply and the
	// margin, and does not discharge by itself.
	if s.Voltage < 400 || s.Voltage > 400*1.06 {
		t.Errorf("greatest voltage %.1f V, want 400 V with a small margin", s.Voltage)
	}
	if math.Abs(s.Energy-0.08) > 0.012 || math.Abs(s.Charge-400e-6) > 30e-6 {
		t.Errorf("energy %.4f J and charge %.1f µC, G41 says 80 mJ and 400 µC", s.Energy, s.Charge*1e6)
	}
	if !s.Hazardous || !strings.Contains(s.Rule, "45 µC") {
		t.Errorf("hazardous %v by %q, G41: far above 45 µC", s.Hazardous, s.Rule)
	}
	if s.SecondsToSafe != nil {
		t.Errorf("safe after %.1f s, although the bleeder may be open", *s.SecondsToSafe)
	}
}

// TestTwoBleedersMakeItSafe: with any one of them open the other discharges
// it, in the time of an RC by closed form.
func TestTwoBleedersMakeItSafe(t *testing.T) {
	c := flashStore()
	c.Parts = append(c.Parts, part("R3", circuit.Resistor, "hv", "0", "value", 2e6, "tolerance", 0.0))
	r := assess(t, c)
	s := r.Stores[0]
	if s.SecondsToSafe == nil {
		t.Fatal("never safe, although one bleeder always remains")
	}
	want := 2e6 * 1e-6 * math.Log(s.Voltage/charge.CautionVolts) // R2 open leaves R3
	if math.Abs(*s.SecondsToSafe-want) > 0.01*want {
		t.Errorf("safe after %.3f s, closed form %.3f s", *s.SecondsToSafe, want)
	}
}

// TestNeighbourRecharges: a small capacitor beside a large one through a
// resistor stays charged as long as the large one, not as long as its own RC.
func TestNeighbourRecharges(t *testing.T) {
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "big", "0", "voltage", 300.0, "resistance", 1.0, "tolerance", 0.0),
		part("C1", circuit.Electrolytic, "big", "0", "value", 100e-6, "tolerance", 0.0),
		part("R1", circuit.Resistor, "big", "0", "value", 100e3, "tolerance", 0.0),
		part("R2", circuit.Resistor, "big", "0", "value", 100e3, "tolerance", 0.0),
		part("R3", circuit.Resistor, "big", "small", "value", 10e3, "tolerance", 0.0),
		part("C2", circuit.Capacitor, "small", "0", "value", 100e-9, "tolerance", 0.0),
		part("R4", circuit.Resistor, "small", "0", "value", 1e6, "tolerance", 0.0),
	}}
	for _, s := range assess(t, c).Stores {
		if s.Part != "C2" {
			continue
		}
		if s.SecondsToSafe == nil || *s.SecondsToSafe < 10e0 {
			t.Fatalf("C2 safe after %v s; C1 holds it up for 100 µF × 100 kΩ × ln(300/30) = 23 s", s.SecondsToSafe)
		}
	}
}

func TestPlainBatteryUnitIsNoHazard(t *testing.T) {
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("B1", circuit.Battery, "s", "0", "voltage", 9.0),
		part("C1", circuit.Electrolytic, "s", "0", "value", 220e-6),
	}}
	s := assess(t, c).Stores[0]
	if s.Hazardous || s.Caution || s.SecondsToSafe == nil || *s.SecondsToSafe != 0 {
		t.Errorf("a 9 V store is judged %+v", s)
	}
}

// TestFaultRaisesVoltage: the lower resistor of a divider open puts the whole
// supply on the capacitor across it.
func TestFaultRaisesVoltage(t *testing.T) {
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "s", "0", "voltage", 200.0, "tolerance", 0.0),
		part("R1", circuit.Resistor, "s", "m", "value", 180e3),
		part("R2", circuit.Resistor, "m", "0", "value", 20e3),
		part("C1", circuit.Capacitor, "m", "0", "value", 470e-9),
	}}
	s := assess(t, c).Stores[0]
	if s.Voltage < 200 || !s.Hazardous || !strings.Contains(s.Because, "R2") {
		t.Errorf("C1: %.0f V because %q, want 200 V since R2 may be open", s.Voltage, s.Because)
	}
}

func TestStepsDischargeBeforeTheyCheck(t *testing.T) {
	r := assess(t, flashStore())
	var order []charge.Do
	for i, s := range r.Steps {
		order = append(order, s.Do)
		if s.Order != i+1 || s.Text == "" {
			t.Errorf("step %d is numbered %d and says %q", i+1, s.Order, s.Text)
		}
		if s.Do == charge.Discharge && (s.Black != "0" || s.Resistor.Volts < r.Stores[0].Voltage) {
			t.Errorf("discharge from %s by %v, want the clip on common and a resistor for %.0f V", s.Black, s.Resistor, r.Stores[0].Voltage)
		}
	}
	want := []charge.Do{charge.PowerOff, charge.Measure, charge.Discharge, charge.Check}
	if len(order) != len(want) {
		t.Fatalf("steps %v, want %v", order, want)
	}
	for i := range want {
		if order[i] != want[i] {
			t.Fatalf("steps %v, want %v", order, want)
		}
	}
	if !strings.Contains(strings.Join(r.Cautions, " "), "meter") {
		t.Error("the report does not say that only the meter shows a capacitor discharged")
	}
}

func TestRefusesGuidance(t *testing.T) {
	mains := part("G1", circuit.Signal, "l", "n", "voltage", 230.0, "frequency", 50.0)
	for _, tc := range []struct {
		name string
		c    *circuit.Circuit
		word string
	}{
		{"mains", &circuit.Circuit{Common: "n", Parts: []circuit.Part{mains, part("C1", circuit.Capacitor, "l", "n", "value", 100e-9)}}, "mains"},
		{"mains without a capacitor", &circuit.Circuit{Common: "n", Parts: []circuit.Part{mains, part("R1", circuit.Resistor, "l", "n", "value", 1e6)}}, "mains"},
		{"microwave oven", &circuit.Circuit{Common: "0", Parts: []circuit.Part{
			part("PS1", circuit.Supply, "s", "0", "voltage", 2100.0), part("C1", circuit.Capacitor, "s", "0", "value", 1e-6)}}, "microwave"},
		{"picture tube", &circuit.Circuit{Common: "0", Parts: []circuit.Part{
			part("PS1", circuit.Supply, "s", "0", "voltage", 25e3), part("C1", circuit.Capacitor, "s", "0", "value", 2e-9)}}, "picture tube"},
		{"mains of unknown frequency", &circuit.Circuit{Common: "n", Parts: []circuit.Part{part("G1", circuit.Signal, "l", "n", "voltage", 120.0)}}, "mains"},
		{"called a microwave oven", &circuit.Circuit{Unit: "Timer board of a Microwave Oven", Common: "0", Parts: []circuit.Part{
			part("PS1", circuit.Supply, "s", "0", "voltage", 12.0), part("C1", circuit.Electrolytic, "s", "0", "value", 1e-3)}}, "microwave"},
		{"called a television", &circuit.Circuit{Unit: "portable television", Common: "0", Parts: []circuit.Part{part("PS1", circuit.Supply, "s", "0", "voltage", 12.0)}}, "picture tube"},
		{"studio flash", &circuit.Circuit{Common: "0", Parts: []circuit.Part{
			part("PS1", circuit.Supply, "s", "0", "voltage", 360.0), part("C1", circuit.Electrolytic, "s", "0", "value", 1500e-6)}}, "by hand"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := assess(t, tc.c)
			if len(r.Steps) != 0 || !strings.Contains(r.Refused, tc.word) {
				t.Errorf("%d steps, refused %q; want none and a reason with %q", len(r.Steps), r.Refused, tc.word)
			}
		})
	}
}

// TestUnmodelledCircuitIsJudgedAtItsSources: what can't be simulated is still
// judged, at the most that its sources give.
func TestUnmodelledCircuitIsJudgedAtItsSources(t *testing.T) {
	c := flashStore()
	c.Parts = append(c.Parts, circuit.Part{Ref: "V1", Kind: circuit.FlashTube, Amounts: map[string]circuit.Amount{"hold-off voltage": {Value: 500, Unit: q.Volt}},
		Leads: []circuit.Lead{{Name: "a", Net: "hv"}, {Name: "k", Net: "0"}, {Name: "t", Net: "trigger"}}})
	s := assess(t, c).Stores[0]
	if s.Voltage < 400 || !s.Hazardous {
		t.Errorf("%.0f V, hazardous %v; want at least the source's 400 V", s.Voltage, s.Hazardous)
	}
}

// stepUp is a converter as a transformer that steps 6 V up into a rectifier.
func stepUp() *circuit.Circuit {
	turns := []circuit.Winding{{Name: "primary", Turns: 10}, {Name: "secondary", Turns: 500}}
	return &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("B1", circuit.Battery, "b", "0", "voltage", 6.0),
		part("S1", circuit.Switch, "b", "s"),
		part("C1", circuit.Electrolytic, "s", "0", "value", 100e-6, "voltage", 16.0),
		part("D2", circuit.Diode, "0", "s"),
		{Ref: "T1", Kind: circuit.Transformer, Windings: turns, Leads: []circuit.Lead{
			{Name: "primary.1", Net: "s"}, {Name: "primary.2", Net: "c"}, {Name: "secondary.1", Net: "x"}, {Name: "secondary.2", Net: "0"}}},
		part("D1", circuit.Diode, "x", "hv"),
		part("C2", circuit.Capacitor, "hv", "0", "value", 1e-6, "voltage", 400.0),
	}, States: []circuit.State{{Name: "on", Settings: map[circuit.PartRef]circuit.Setting{"S1": {Form: circuit.Closed}}}}}
}

// TestTransformerStepsUp: an operating point shows nothing of what a
// transformer charges, so its turns and the capacitor's rating count; the
// capacitor across the battery is none of its business.
func TestTransformerStepsUp(t *testing.T) {
	for _, s := range assess(t, stepUp()).Stores {
		switch s.Part {
		case "C2":
			if s.Voltage < 300 || !s.Hazardous {
				t.Errorf("C2 behind 1 : 50 from 6 V: %.0f V, hazardous %v", s.Voltage, s.Hazardous)
			}
		case "C1":
			if s.Voltage > 10 {
				t.Errorf("C1 across the battery: %.0f V because %s", s.Voltage, s.Because)
			}
		}
	}
}

// TestCoilKicks: behind a coil and a rectifier the capacitor's own rating
// counts, since nothing bounds what the coil gives when its current stops.
func TestCoilKicks(t *testing.T) {
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("B1", circuit.Battery, "b", "0", "voltage", 9.0),
		part("L1", circuit.Inductor, "b", "x", "value", 1e-3),
		part("S1", circuit.Switch, "x", "0"),
		part("D1", circuit.Diode, "x", "hv"),
		part("C1", circuit.Capacitor, "hv", "0", "value", 1e-6, "voltage", 400.0),
		part("C3", circuit.Capacitor, "hv", "0", "value", 1e-6),
		part("C2", circuit.Electrolytic, "b", "0", "value", 100e-6, "voltage", 16.0),
	}}
	for _, s := range assess(t, c).Stores {
		if (s.Part == "C1" || s.Part == "C3") && (s.Voltage < 400 || !s.Hazardous) || s.Part == "C2" && s.Voltage > 11 {
			t.Errorf("%s: %.0f V because %s", s.Part, s.Voltage, s.Because)
		}
	}
}
