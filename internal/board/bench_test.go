package board

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkPlan plans the checks of a board on which everything hangs on one
// tree of 150 doubtful places: far more than a photograph of use leaves.
func BenchmarkPlan(b *testing.B) {
	r := rand.New(rand.NewPCG(2, 2))
	l := netList{pieces: 151}
	for i := range 150 {
		l.add(r, i+1, r.IntN(i+1))
	}
	for b.Loop() {
		p := newPlanner(newBelief(newMesh(l.pieces, l.bonds, anywhere)), anywhere, detours{})
		checks := 0
		if err := p.list(b.Context(), func(option, *belief) { checks++ }); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(checks), "checks")
		b.ReportMetric(p.likely.all(), "sure")
	}
}
