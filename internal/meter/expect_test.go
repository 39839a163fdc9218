package meter_test

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// spreadOut gives parts a tolerance.
func spreadOut(c *circuit.Circuit, tolerance float64) *circuit.Circuit {
	for _, p := range c.Parts {
		if p.Kind == circuit.Resistor {
			p.Amounts["tolerance"] = circuit.Amount{Value: tolerance, Unit: quantity.Percent}
		}
	}
	return c
}

func expectAll(t *testing.T, c *circuit.Circuit, q meter.Query) meter.Expected {
	t.Helper()
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	e, err := meter.Expect(context.Background(), model, q, meter.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestBandOfOneResistorIsClosedForm(t *testing.T) {
	// Evenly spread over ±5 %: 95 % lie within ±4.75 %.
	e := expectAll(t, spreadOut(parts(resistor("R1", "a", "gnd", 1000)), 0.05), between(meter.Ohms, "a", "gnd"))
	for _, row := range []struct {
		name string
		got  *float64
		want float64
	}{{"nominal", e.Nominal, 1000}, {"low", e.Low, 952.5}, {"high", e.High, 1047.5}} {
		if row.got == nil || math.Abs(*row.got-row.want) > 0.6 {
			t.Errorf("%s is %v, want %g", row.name, deref(row.got), row.want)
		}
	}
	// 1 % + 1 digit of 4 in the 2 kΩ range.
	if math.Abs(e.MeterError-11) > 1e-6 {
		t.Errorf("the meter's own error is %g Ω, want 11", e.MeterError)
	}
}

func TestBandOfADividerIsThatOfPlainSampling(t *testing.T) {
	e := expectAll(t, spreadOut(divider(10, 10e3, 10e3), 0.1), between(meter.VoltsDC, "mid", "gnd"))
	rng := rand.New(rand.NewPCG(1, 2))
	sampled := make([]float64, 100000)
	for i := range sampled {
		a, b := 10e3*(1+0.1*(2*rng.Float64()-1)), 10e3*(1+0.1*(2*rng.Float64()-1))
		b = b * 10e6 / (b + 10e6)
		sampled[i] = 10 * b / (a + b)
	}
	slices.Sort(sampled)
	low, high := sampled[2500], sampled[97500]
	// The ends of the band over 1,000 units scatter by 0.011 V (binomial).
	if math.Abs(*e.Low-low) > 0.025 || math.Abs(*e.High-high) > 0.025 {
		t.Errorf("band %g to %g, plain sampling %g to %g", *e.Low, *e.High, low, high)
	}
}

func TestExpectIsRepeatable(t *testing.T) {
	c := stages(2)
	a := expectAll(t, c, between(meter.VoltsDC, "c0", "gnd"))
	b := expectAll(t, c, between(meter.VoltsDC, "c0", "gnd"))
	if d := cmp.Diff(a, b); d != "" {
		t.Error(d)
	}
	if !(*a.Low < *a.Nominal && *a.Nominal < *a.High) {
		t.Errorf("band %g, %g, %g", *a.Low, *a.Nominal, *a.High)
	}
}

func TestHazards(t *testing.T) {
	for _, row := range []struct {
		name  string
		volts float64
		says  []string
		want  meter.Hazard
	}{
		{"9 V", 9, nil, meter.Hazard{}},
		{"40 V", 80, []string{"one hand away"}, meter.Hazard{Care: true}},
		{"200 V", 400, []string{"dangerous to touch"}, meter.Hazard{Care: true, Danger: true}},
		{"above the meter's rating", 1400, []string{"dangerous", "600 V", "do not connect"}, meter.Hazard{Care: true, Danger: true, Exceeded: true}},
	} {
		t.Run(row.name, func(t *testing.T) {
			h := expectAll(t, divider(row.volts, 10e3, 10e3), between(meter.VoltsDC, "mid", "gnd")).Hazard
			if h.Care != row.want.Care || h.Danger != row.want.Danger || h.Exceeded != row.want.Exceeded || math.Abs(h.Volts-row.volts/2) > 0.01*row.volts {
				t.Errorf("got %+v", h)
			}
			for _, s := range row.says {
				if !strings.Contains(h.Text, s) {
					t.Errorf("%q does not say %q", h.Text, s)
				}
			}
			if row.says == nil && h.Text != "" {
				t.Errorf("says %q of %s", h.Text, row.name)
			}
		})
	}
}

func TestCautions(t *testing.T) {
	stored := divider(400, 10e3, 10e3)
	stored.Parts = append(stored.Parts, part("C1", circuit.Electrolytic, "mid", "gnd", "value", 1e-6, quantity.Farad, 0))
	floating := divider(9, 1e3, 1e3)
	floating.Parts = append(floating.Parts, part("C1", circuit.Capacitor, "mid", "out", "value", 1e-6, quantity.Farad, 0))
	for _, row := range []struct {
		name string
		c    *circuit.Circuit
		q    meter.Query
		says []string
	}{
		{"ohms beside a charged capacitor", stored, between(meter.Ohms, "mid", "gnd"), []string{"every supply off", "C1 may still be charged: this place stands at 200 V"}},
		{"volts beside a short across the battery", parts(part("BT1", circuit.Battery, "a", "gnd", "voltage", 9, quantity.Volt, 1), resistor("R1", "a", "gnd", 0.01)),
			between(meter.VoltsDC, "a", "gnd"), []string{"BT1 delivers 8.91 A, as good as a short across it"}},
		{"volts at a net that floats", floating, between(meter.VoltsDC, "out", "gnd"), []string{"net out has no path to gnd for direct current: C1 only"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			said := strings.Join(expectAll(t, row.c, row.q).Cautions, "\n")
			for _, s := range row.says {
				if !strings.Contains(said, s) {
					t.Errorf("%q does not say %q", said, s)
				}
			}
		})
	}
	t.Run("a floating net reads nothing", func(t *testing.T) {
		e := expectAll(t, floating, between(meter.VoltsDC, "out", "gnd"))
		if e.Nominal == nil || *e.Nominal != 0 || e.Unloaded != nil {
			t.Errorf("reads %v, unloaded %v; want 0 and null", deref(e.Nominal), deref(e.Unloaded))
		}
	})
}

func TestOverRangeHasNoNumber(t *testing.T) {
	e := expectAll(t, spreadOut(parts(resistor("R1", "a", "gnd", 20.1e6)), 0.05), between(meter.Ohms, "a", "gnd"))
	text, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	if !e.Overrange || e.Nominal != nil || e.Low == nil || e.High != nil || !strings.Contains(string(text), `"nominal":null`) {
		t.Errorf("got %s", text)
	}
}

func TestLatchReadsEitherWay(t *testing.T) {
	c := parts(part("BT1", circuit.Battery, "v", "gnd", "voltage", 9, quantity.Volt, 1),
		resistor("R1", "v", "a", 1e3), resistor("R2", "v", "b", 1e3), resistor("R3", "a", "y", 22e3), resistor("R4", "b", "x", 22e3),
		transistor("Q1", circuit.NPN, "a", "x", "gnd", 200, 0.65, 0.002), transistor("Q2", circuit.NPN, "b", "y", "gnd", 200, 0.65, 0.002))
	e := expectAll(t, c, between(meter.VoltsDC, "a", "gnd"))
	if len(e.Also) != 1 || math.Abs(math.Abs(*e.Nominal-e.Also[0])-8.5) > 0.3 || !strings.Contains(strings.Join(e.Cautions, "\n"), "latches") {
		t.Errorf("reads %g and also %v with cautions %q", *e.Nominal, e.Also, e.Cautions)
	}
}

func TestTableIsEveryNetBothWays(t *testing.T) {
	model, err := sim.Compile(stages(1), sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows, err := meter.Table(context.Background(), model, nil, meter.Options{Draws: 100})
	if err != nil {
		t.Fatal(err)
	}
	if want := 2 * (len(model.Nets()) - 1); len(rows) != want {
		t.Fatalf("%d rows, want %d", len(rows), want)
	}
	for _, r := range rows {
		one, err := meter.Expect(context.Background(), model, between(r.Mode, circuit.NetID(r.Red), "gnd"), meter.Options{Draws: 100})
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(one, r); d != "" {
			t.Errorf("%s at %s differs from the single reading:\n%s", r.Mode, r.Red, d)
		}
	}
}

func TestMetersOfAJob(t *testing.T) {
	given := map[string]float64{"input": 1e6, "open circuit": 2.5, "test current": 1e-3, "rated": 1000, "junction limit": 2.5, "joined below": 30}
	m := meter.New("mine", meter.Digital, func(p string) (float64, bool) { v, ok := given[p]; return v, ok })
	want := meter.Default(meter.Digital)
	want.Name, want.Input, want.OpenCircuit, want.Rated, want.JunctionLimit, want.JoinedBelow = "mine", 1e6, 2.5, 1000, 2.5, 30
	want.JunctionOpen = 3.75
	// 2.5 V and 1 mA into a short: 2.5 kΩ in the lowest range.
	want.OhmsRanges = []float64{2.5e3, 25e3, 250e3, 2.5e6, 25e6, 250e6}
	if d := cmp.Diff(want, m, cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(a) })); d != "" {
		t.Error(d)
	}
}

func TestDisplay(t *testing.T) {
	m := meter.Default(meter.Digital)
	for _, row := range []struct {
		mode  meter.Mode
		value float64
		want  float64
	}{
		{meter.VoltsDC, 4.31449, 4.314}, {meter.VoltsDC, 0.123456, 0.1235}, {meter.VoltsDC, -12.3456, -12.35}, {meter.Ohms, 3912.4, 3910},
		{meter.Ohms, 47123, 47100}, {meter.Junction, 0.61234, 0.612},
	} {
		if got := m.Round(row.mode, row.value); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s %g shows as %g, want %g", row.mode, row.value, got, row.want)
		}
	}
	if got := m.MaxError(meter.VoltsDC, 5); math.Abs(got-(0.025+0.002)) > 1e-12 {
		t.Errorf("0.5 %% + 2 digits of 5.000 V is %g", got)
	}
}
