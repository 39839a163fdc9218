package sim_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// transientReference is one circuit of crosscheck/transients.py.
type transientReference struct {
	Name  string
	Span  float64
	Parts []string
	Time  []float64
	Out   []float64
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
			if off, at := r.off(w); off > 10*sim.DefaultTolerance {
				t.Errorf("off by %.3g of the largest value at %g s", off, at)
			}
		})
	}
}

// off is the largest error of a run, over the largest value, and when.
func (r *transientReference) off(w *sim.Waveforms) (worst, at float64) {
	largest := 0.0
	for k, want := range r.Out {
		largest = max(largest, math.Abs(want))
		if d := math.Abs(valueAt(w, "out", r.Time[k]) - want); d > worst {
			worst, at = d, r.Time[k]
		}
	}
	return worst / largest, at
}

// valueAt is a net's voltage at a time, by the straight line between points.
func valueAt(w *sim.Waveforms, net circuit.NetID, t float64) float64 {
	k, _ := slices.BinarySearch(w.Time, t)
	k = min(max(k, 1), len(w.Time)-1)
	v := w.Nets[net]
	return v[k-1] + (v[k]-v[k-1])*(t-w.Time[k-1])/(w.Time[k]-w.Time[k-1])
}

// BenchmarkTransientsOfReference is the thirty circuits once, compiled
// before.
func BenchmarkTransientsOfReference(b *testing.B) {
	rows := transientReferences(b)
	var models []*sim.Model
	for _, r := range rows {
		models = append(models, compile(b, build(b, r.Parts...)))
	}
	for b.Loop() {
		for k, r := range rows {
			if _, err := models[k].Transient(b.Context(), circuit.State{}, sim.TransientOptions{For: r.Span}); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// TestTransientsForOthers writes errors and times of the thirty circuits at
// several tolerances for crosscheck/transient_speed.py.
func TestTransientsForOthers(t *testing.T) {
	path := os.Getenv("FOILSIDE_TRANSIENTS")
	if path == "" {
		t.Skip("crosscheck/transient_speed.py asks for it")
	}
	found := map[string][][2]float64{}
	for _, r := range transientReferences(t) {
		m := compile(t, build(t, r.Parts...))
		for tolerance := 1e-2; tolerance > 2e-6; tolerance /= math.Sqrt(10) {
			opt := sim.TransientOptions{For: r.Span, Tolerance: tolerance, Watch: []circuit.NetID{"out"}}
			off, least := 0.0, math.Inf(1)
			for range 40 {
				start := time.Now()
				w, err := m.Transient(t.Context(), circuit.State{}, opt)
				least = min(least, time.Since(start).Seconds())
				if err != nil {
					t.Fatal(err)
				}
				off, _ = r.off(w)
			}
			found[r.Name] = append(found[r.Name], [2]float64{off, least})
		}
	}
	text, err := json.Marshal(found)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
}
