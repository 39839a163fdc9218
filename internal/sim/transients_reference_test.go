package sim_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// transientReference is one circuit of crosscheck/transients.py.
type transientReference struct {
	Name    string
	Span    float64
	Parts   []string
	Time    []float64
	Out     []float64
	Seconds float64
}

func transientReferences(t testing.TB) []transientReference {
	t.Helper()
	text, err := os.ReadFile("testdata/scipy_transients.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows []transientReference
	if err := json.Unmarshal(text, &rows); err != nil {
		t.Fatal(err)
	}
	return rows
}

// TestTransientsAgainstSciPy: thirty circuits over time against SciPy's
// general solver on equations written out by hand, within ten tolerances of
// the largest value.
func TestTransientsAgainstSciPy(t *testing.T) {
	rows := transientReferences(t)
	if len(rows) != 30 {
		t.Fatalf("%d circuits", len(rows))
	}
	for _, r := range rows {
		t.Run(r.Name, func(t *testing.T) {
			w := follow(t, build(t, r.Parts...), sim.TransientOptions{For: r.Span})
			largest, worst, at := 0.0, 0.0, 0.0
			for k, want := range r.Out {
				largest = max(largest, math.Abs(want))
				if d := math.Abs(valueAt(w, "out", r.Time[k]) - want); d > worst {
					worst, at = d, r.Time[k]
				}
			}
			if worst > 10*sim.DefaultTolerance*largest {
				t.Errorf("off by %.3g at %g s, of %g", worst, at, largest)
			}
		})
	}
}

// valueAt is a net's voltage at a time, by the straight line between points.
func valueAt(w *sim.Waveforms, net circuit.NetID, t float64) float64 {
	k, _ := slices.BinarySearch(w.Time, t)
	k = min(max(k, 1), len(w.Time)-1)
	v := w.Nets[net]
	return v[k-1] + (v[k]-v[k-1])*(t-w.Time[k-1])/(w.Time[k]-w.Time[k-1])
}

// BenchmarkTransientsOfReference is the thirty circuits once, at the tolerance
// that crosscheck/transients.py times SciPy at.
func BenchmarkTransientsOfReference(b *testing.B) {
	rows := transientReferences(b)
	scipy := 0.0
	for _, r := range rows {
		scipy += r.Seconds
	}
	for b.Loop() {
		for _, r := range rows {
			follow(b, build(b, r.Parts...), sim.TransientOptions{For: r.Span})
		}
	}
	b.ReportMetric(scipy*float64(b.N)/b.Elapsed().Seconds(), "times-SciPy")
}
