package sim_test

import (
	"math"
	"slices"
	"testing"

	"foilside/internal/sim"
)

// TestNoPeakIsLostInThinning: of a million points some thousand are kept, and
// with them every peak that is one point long.
func TestNoPeakIsLostInThinning(t *testing.T) {
	const points, limit = 1_000_000, 2000
	spike := func(k int) bool { return k%33_333 == 17 }
	time, volts := sim.Thinned(points, limit, func(k int) float64 {
		if spike(k) {
			return 7 + float64(k)
		}
		return math.Sin(float64(k) / 50)
	})
	if len(time) > limit {
		t.Errorf("%d points", len(time))
	}
	if !slices.IsSorted(time) {
		t.Error("time goes back")
	}
	for k := range points {
		if spike(k) && !slices.Contains(volts, 7+float64(k)) {
			t.Errorf("the peak at %d is lost", k)
		}
	}
}

// BenchmarkTenMillionPoints is a waveform of ten million points in the memory
// of twenty thousand.
func BenchmarkTenMillionPoints(b *testing.B) {
	for b.Loop() {
		sim.Thinned(10_000_000, sim.DefaultPoints, func(k int) float64 { return float64(k % 1000) })
	}
}
