package charge_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"foilside/internal/charge"
	"foilside/internal/circuit"
)

func divider() *circuit.Circuit {
	return &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "s", "0", "voltage", 100.0, "resistance", 0.0, "tolerance", 0.0),
		part("R1", circuit.Resistor, "s", "m", "value", 9e3, "tolerance", 0.05, "power", 1.0),
		part("R2", circuit.Resistor, "m", "0", "value", 1e3, "tolerance", 0.05, "power", 0.25),
		part("C1", circuit.Electrolytic, "m", "0", "value", 47e-6, "voltage", 16.0),
	}}
}

func replace(t *testing.T, c *circuit.Circuit, ref circuit.PartRef) charge.Replacement {
	t.Helper()
	r, err := charge.Replace(context.Background(), c, ref, charge.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestStressByOhmsLaw: 100 V over 10 kΩ is 10 mA, 0.9 W in R1 and 0.1 W in R2.
func TestStressByOhmsLaw(t *testing.T) {
	r := replace(t, divider(), "R1")
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s %g, by Ohm's law %g", what, got, want)
		}
	}
	near("voltage", r.Stress.Volts, 90)
	near("current", r.Stress.Amps, 10e-3)
	near("power", r.Stress.Watts, 0.9)
	near("share of the rating", *r.Stress.Worst, 0.9)
	near("required power at half load", r.Required.Watts, 1.8)
	if !strings.Contains(r.Stress.Text, "hard") {
		t.Errorf("90 %% of the rating is worded %q", r.Stress.Text)
	}
}

func TestResistorOptions(t *testing.T) {
	r := replace(t, divider(), "R1")
	if first := r.Options[0]; math.Abs(first.Value-9.1e3) > 1 || len(first.Values) != 0 || !strings.Contains(first.Text, "2 W") {
		t.Errorf("first option %+v; nearest to 9 kΩ in E24 is 9.1 kΩ, and 1.8 W ask for 2 W", first)
	}
	pair := false
	for _, o := range r.Options {
		switch o.Joined {
		case "series":
			pair = true
			if math.Abs(o.Values[0]+o.Values[1]-o.Value) > 1e-6 {
				t.Errorf("%v do not make %g in series", o.Values, o.Value)
			}
		case "parallel":
			pair = true
			if math.Abs(o.Values[0]*o.Values[1]/(o.Values[0]+o.Values[1])-o.Value) > 1e-6 {
				t.Errorf("%v do not make %g in parallel", o.Values, o.Value)
			}
		}
	}
	if !pair {
		t.Error("no pair for a value that is in no series up to E24")
	}
}

// TestEffectCountsNotCloseness: a bleeder across a stiff supply may be 12 kΩ
// for 10 kΩ without any reading changing; in a divider it may not.
func TestEffectCountsNotCloseness(t *testing.T) {
	c := divider()
	c.Parts = append(c.Parts, part("R3", circuit.Resistor, "s", "0", "value", 10e3))
	for _, o := range replace(t, c, "R3").Options {
		if o.Effect > 0.01 {
			t.Errorf("%s across a stiff supply has an effect of %.3f", o.Text, o.Effect)
		}
	}
	off := replace(t, c, "R1").Options
	if last := off[len(off)-1]; last.Effect < 0.2 {
		t.Errorf("%s in the divider has an effect of %.3f only", last.Text, last.Effect)
	}
}

func TestCapacitorOptionsKeepTheRating(t *testing.T) {
	r := replace(t, divider(), "C1")
	if math.Abs(r.Required.Volts-12.5) > 1e-6 {
		t.Errorf("10 V at 80 %% derating ask for 12.5 V, got %g", r.Required.Volts)
	}
	for _, o := range r.Options {
		if !strings.Contains(o.Text, "16 V") || o.Value < 37e-6 || o.Value > 104e-6 {
			t.Errorf("option %q, want 16 V and 47 to 100 µF", o.Text)
		}
	}
}

func TestReplaceRefuses(t *testing.T) {
	if _, err := charge.Replace(context.Background(), divider(), "R99", charge.Options{}); err == nil || !strings.Contains(err.Error(), "R99") {
		t.Errorf("a part that is not there: %v", err)
	}
}

// TestPulseAsCapacitorsFill: 100 V through 100 Ω onto an empty capacitor are
// 1 A and 100 W for a moment, and next to nothing afterwards.
func TestPulseAsCapacitorsFill(t *testing.T) {
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "s", "0", "voltage", 100.0, "resistance", 0.0, "tolerance", 0.0),
		part("R1", circuit.Resistor, "s", "f", "value", 100.0, "tolerance", 0.0, "power", 1.0),
		part("C1", circuit.Electrolytic, "f", "0", "value", 100e-6, "voltage", 160.0),
		part("R2", circuit.Resistor, "f", "0", "value", 100e3),
	}}
	r := replace(t, c, "R1")
	if s := r.Stress; math.Abs(s.Pulse.Amps-1) > 1e-3 || math.Abs(s.Pulse.Watts-100) > 0.1 || s.Watts > 1e-3 || !strings.Contains(s.Pulse.When, "fill") {
		t.Errorf("by Ohm's law 1 A and 100 W for a moment: %+v", s.Load)
	}
	if math.Abs(r.Required.Watts-16) > 0.1 || !strings.Contains(strings.Join(r.Notes, " "), "pulses") {
		t.Errorf("100 W for a moment ask for 16 W at 6.25 times, and for a type that stands pulses: %+v, %q", r.Required, r.Notes)
	}
}

// rectifier is 10 V rms at 50 Hz through a diode into a reservoir with a load.
func rectifier() *circuit.Circuit {
	diode := part("D1", circuit.Diode, "ac", "out", "current", 1.0, "reverse voltage", 50.0)
	diode.Type = "1N4001"
	return &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("G1", circuit.Signal, "ac", "0", "voltage", 10.0, "frequency", 50.0, "resistance", 1.0),
		diode,
		part("C1", circuit.Electrolytic, "out", "0", "value", 470e-6, "voltage", 25.0),
		part("R1", circuit.Resistor, "out", "0", "value", 220.0, "power", 1.0),
		part("R2", circuit.Resistor, "ac", "0", "value", 1e3, "tolerance", 0.0, "power", 0.5),
	}}
}

// TestStressOverACycle: the peak inverse voltage of a half-wave rectifier is
// near twice the peak (from the definitions), its diode's current comes in
// pulses, and a resistor across the source takes its rms power.
func TestStressOverACycle(t *testing.T) {
	c := rectifier()
	d := replace(t, c, "D1")
	if !d.Stress.Swings || d.Stress.Pulse.Volts < 25 || d.Stress.Pulse.Volts > 28.3 {
		t.Errorf("peak inverse voltage %.1f V, wanted just below 2√2·10 V: %+v", d.Stress.Pulse.Volts, d.Stress)
	}
	if d.Stress.Pulse.Amps < 3*d.Stress.Amps || d.Stress.Amps < 0.06 {
		t.Errorf("current %.3f A rms with peaks of %.3f A", d.Stress.Amps, d.Stress.Pulse.Amps)
	}
	if w := replace(t, c, "R2").Stress; math.Abs(w.Watts-0.1*0.99) > 0.004 || math.Abs(w.Pulse.Watts-2*w.Watts) > 0.01 {
		t.Errorf("10 V rms across 1 kΩ take 0.1 W in the mean and 0.2 W at the peak: %+v", w.Load)
	}
	if r := replace(t, c, "C1"); r.Required.Amps < 0.05 {
		t.Errorf("no ripple current is asked of the reservoir: %+v", r.Required)
	}
}

// TestReservoirByItsRipple: half the reservoir is worse than twice it, and what
// its tolerance allows counts as 1 at most.
func TestReservoirByItsRipple(t *testing.T) {
	for _, o := range replace(t, rectifier(), "C1").Options {
		if math.Abs(o.Value/470e-6-1) < 0.2 && o.Effect > 1.001 {
			t.Errorf("%s lies within the tolerance, and has an effect of %.2f", o.Text, o.Effect)
		}
		if o.Value > 900e-6 && o.Effect < 1 {
			t.Errorf("%s halves the ripple, and has an effect of %.2f only", o.Text, o.Effect)
		}
	}
}

// TestSubstitutesStandWhatIsAsked: by kind, material and rating, never a type
// that would break down.
func TestSubstitutesStandWhatIsAsked(t *testing.T) {
	c := rectifier()
	for _, o := range replace(t, c, "D1").Options[1:] {
		if strings.HasPrefix(o.Type, "OA") || o.Type == "1N4148" || o.Type == "1N4001" || o.Type == "" {
			t.Errorf("%s in place of a rectifier", o.Text)
		}
	}
	stage := func(kind circuit.Kind, typed string) *circuit.Circuit {
		sign := circuit.NetID("s")
		return &circuit.Circuit{Common: "0", Parts: []circuit.Part{
			part("PS1", circuit.Supply, sign, "0", "voltage", 30.0, "resistance", 0.0, "tolerance", 0.0),
			part("R1", circuit.Resistor, "s", "c", "value", 1e3), part("R2", circuit.Resistor, "s", "b", "value", 100e3),
			part("R3", circuit.Resistor, "b", "0", "value", 10e3), part("R4", circuit.Resistor, "e", "0", "value", 220.0),
			{Ref: "Q1", Kind: kind, Type: typed, Leads: []circuit.Lead{{Name: "c", Net: "c"}, {Name: "b", Net: "b"}, {Name: "e", Net: "e"}}},
		}}
	}
	if r := replace(t, stage(circuit.NPN, "BC547B"), "Q1"); math.Abs(r.Required.Volts-30/0.7) > 0.5 {
		t.Errorf("cut off it stands off all 30 V, which ask for 43 V: %+v", r.Required)
	}
	options := replace(t, stage(circuit.NPN, "BC547B"), "Q1").Options
	if len(options) < 3 || options[0].Type != "BC547B" {
		t.Fatalf("options for a BC547B: %+v", options)
	}
	for _, o := range options[1:] {
		if strings.HasPrefix(o.Type, "BC108") || strings.HasPrefix(o.Type, "AC") || strings.HasPrefix(o.Type, "BC557") {
			t.Errorf("%s: 30 V ask for 43 V of a silicon npn", o.Text)
		}
	}
}

// TestReformingSteps: 47 µF for 350 V by the rules of the trade.
func TestReformingSteps(t *testing.T) {
	c := divider()
	c.Parts[3] = part("C1", circuit.Electrolytic, "m", "0", "value", 47e-6, "voltage", 350.0)
	r := replace(t, c, "C1").Reform
	if r == nil || math.Abs(r.Ohms-180e3) > 1 || math.Abs(r.Watts-2) > 1e-9 || math.Abs(r.Leakage-164.5e-6) > 1e-9 {
		t.Fatalf("2 mA into a short, 0.01·C·V in the end: %+v", r)
	}
	last := r.Steps[len(r.Steps)-1]
	if last.Volts != 350 || !strings.Contains(strings.Join(r.Cautions, " "), "discharge it") || !strings.Contains(strings.Join(r.Cautions, " "), "dangerous") {
		t.Errorf("ends at %g V with cautions %q", last.Volts, r.Cautions)
	}
	if r := replace(t, divider(), "R1").Reform; r != nil {
		t.Errorf("a resistor is reformed: %+v", r)
	}
}

func TestCapacitorPairs(t *testing.T) {
	c := divider()
	c.Parts[0] = part("PS1", circuit.Supply, "s", "0", "voltage", 5000.0, "resistance", 0.0, "tolerance", 0.0)
	c.Parts[3] = part("C1", circuit.Electrolytic, "m", "0", "value", 47e-6, "voltage", 450.0)
	found := map[string]charge.Option{}
	for _, o := range replace(t, c, "C1").Options {
		found[o.Joined] = o
	}
	if p := found["parallel"]; len(p.Values) != 2 || math.Abs(p.Values[0]+p.Values[1]-p.Value) > 1e-12 || math.Abs(p.Value/47e-6-1) > 0.2 {
		t.Errorf("parallel %+v", p)
	}
	if s := found["series"]; len(s.Values) != 2 || s.Values[0] != s.Values[1] || math.Abs(s.Value/47e-6-1) > 0.2 {
		t.Errorf("500 V at 80 %% ask for more than one electrolytic stands; series %+v", s)
	}
}
