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
