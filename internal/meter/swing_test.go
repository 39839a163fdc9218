package meter_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// source is a signal of a shape at 1 kHz and 10 V into a divider by two.
func source(shape string) *circuit.Circuit {
	c := divider(9, 10e3, 10e3)
	for i, p := range c.Parts {
		if p.Kind == circuit.Battery || p.Kind == circuit.Supply {
			c.Parts[i] = circuit.Part{Ref: p.Ref, Kind: circuit.Signal, Leads: p.Leads, Words: map[string]string{"shape": shape},
				Amounts: map[string]circuit.Amount{"voltage": {Value: 10}, "frequency": {Value: 1000}, "resistance": {Value: 0}}}
		}
	}
	return c
}

// TestVoltsOfWaves: half of 10 V rms on volts-ac, whatever the shape; a meter
// that responds to the average shows π/√8 of the rectified average, 11 % more
// for a square and 4 % less for a triangle (from the definitions); volts-dc
// shows the average, nothing but for the pulse's tenth of √10 times 10 V.
func TestVoltsOfWaves(t *testing.T) {
	rows := []struct {
		shape             string
		rms, average, avg float64
	}{
		{"sine", 5, 5, 0},
		{"square", 5, 5 * math.Pi / math.Sqrt(8), 0},
		{"triangle", 5, 5 * math.Sqrt(3) / 2 * math.Pi / math.Sqrt(8), 0},
		{"pulse", 5 * math.Sqrt(0.9), 5 * 0.18 * math.Sqrt(10) * math.Pi / math.Sqrt(8), 5 * math.Sqrt(0.1)},
	}
	for _, r := range rows {
		t.Run(r.shape, func(t *testing.T) {
			model, err := sim.Compile(source(r.shape), sim.Options{})
			if err != nil {
				t.Fatal(err)
			}
			expect := func(mode meter.Mode, m meter.Meter) float64 {
				e, err := meter.Expect(context.Background(), model, between(mode, "mid", "gnd"), meter.Options{Meter: m})
				if err != nil {
					t.Fatal(err)
				}
				if e.Nominal == nil || e.Low == nil || *e.Low > *e.Nominal || *e.High < *e.Nominal {
					t.Fatalf("no reading in its band: %+v", e)
				}
				if !strings.Contains(strings.Join(e.Cautions, " "), "swings") {
					t.Errorf("it is not said that it swings: %v", e.Cautions)
				}
				return *e.Nominal
			}
			averaging := meter.Default(meter.Digital)
			averaging.AverageResponding = true
			for what, pair := range map[string][2]float64{
				"volts-ac":         {expect(meter.VoltsAC, meter.Default(meter.Digital)), r.rms},
				"volts-ac average": {expect(meter.VoltsAC, averaging), r.average},
				"volts-dc":         {expect(meter.VoltsDC, meter.Default(meter.Digital)), r.avg},
			} {
				if math.Abs(pair[0]-pair[1]) > 2e-3*5 {
					t.Errorf("%s reads %g V, want %g V", what, pair[0], pair[1])
				}
			}
		})
	}
}

// TestVoltsACAtRest: a circuit that comes to rest has no alternating voltage,
// and that is said.
func TestVoltsACAtRest(t *testing.T) {
	model, err := sim.Compile(divider(9, 1e3, 1e3), sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	e, err := meter.Expect(context.Background(), model, between(meter.VoltsAC, "mid", "gnd"), meter.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if e.Nominal == nil || math.Abs(*e.Nominal) > 1e-9 {
		t.Errorf("reads %v", e.Nominal)
	}
	if !strings.Contains(strings.Join(e.Cautions, " "), "comes to rest") {
		t.Errorf("cautions %v", e.Cautions)
	}
}

// TestTableOverACycle: the table of a circuit that swings tells the average and
// the rms of the cycle at every place, as the single readings do.
func TestTableOverACycle(t *testing.T) {
	model, err := sim.Compile(source("pulse"), sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var done []float64
	o := meter.Options{Draws: 20, Progress: func(share float64, _ string) { done = append(done, share) }}
	rows, err := meter.Table(context.Background(), model, nil, o)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[meter.Mode]int{}
	for _, r := range rows {
		seen[r.Mode]++
		one, err := meter.Expect(context.Background(), model, between(r.Mode, circuit.NetID(r.Red), "gnd"), o)
		if err != nil {
			t.Fatal(err)
		}
		// 10 MΩ on 5 kΩ lower the reading by a two-thousandth.
		if r.Nominal == nil || one.Nominal == nil || math.Abs(*r.Nominal-*one.Nominal) > 1e-3*math.Abs(*one.Nominal)+1e-9 {
			t.Errorf("%s at %s: table %v, alone %v", r.Mode, r.Red, deref(r.Nominal), deref(one.Nominal))
		}
	}
	if seen[meter.Ohms] != 2 || seen[meter.VoltsDC] != 2 || seen[meter.VoltsAC] != 2 || len(done) != 2 {
		t.Errorf("rows %v, progress %v", seen, done)
	}
}
