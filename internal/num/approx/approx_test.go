package approx

import (
	"math"
	"testing"
)

func TestAbsOrRel(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		name     string
		a, b     float64
		abs, rel float64
		want     bool
	}{
		{"same", 3, 3, 0, 0, true},
		{"within abs", 1e-9, 0, 1e-8, 0, true},
		{"within rel", 1000, 1001, 0, 1e-3, true},
		{"outside both", 1000, 1002, 1, 1e-3, false},
		{"rel of the larger, either way round", 1001, 1000, 0, 1e-3, true},
		{"equal infinities", inf, inf, 0, 0, true},
		{"infinity against number", inf, 1e300, 1, 1, false},
		{"opposite infinities", inf, -inf, 1, 1, false},
		{"not a number", nan, nan, inf, inf, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := AbsOrRel(c.a, c.b, c.abs, c.rel); got != c.want {
				t.Errorf("got %v", got)
			}
		})
	}
}

func TestULP(t *testing.T) {
	next := math.Nextafter(1, 2)
	for _, c := range []struct {
		name string
		a, b float64
		n    uint64
		want bool
	}{
		{"same", 1, 1, 0, true},
		{"neighbours", 1, next, 1, true},
		{"neighbours asked to be equal", 1, next, 0, false},
		{"both zeros", 0, math.Copysign(0, -1), 0, true},
		{"across zero", math.SmallestNonzeroFloat64, -math.SmallestNonzeroFloat64, 2, true},
		{"far ends", -math.MaxFloat64, math.MaxFloat64, 1 << 62, false},
		{"not a number", math.NaN(), math.NaN(), math.MaxUint64, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := ULP(c.a, c.b, c.n); got != c.want {
				t.Errorf("got %v", got)
			}
		})
	}
}

func TestWeighted(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want []float64
		norm      float64
	}{
		{"nothing to compare", nil, nil, 0},
		{"equal", []float64{1, 2}, []float64{1, 2}, 0},
		{"one at its tolerance of two", []float64{1 + 0.1 + 0.1, 5}, []float64{1, 5}, math.Sqrt(0.5)},
		{"lengths differ", []float64{1}, nil, math.Inf(1)},
		{"not a number", []float64{math.NaN()}, []float64{1}, math.Inf(1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			// abs 0.1 and rel 0.1: a want of 1 tolerates 0.2.
			if got := Weighted(c.got, c.want, 0.1, 0.1); !AbsOrRel(got, c.norm, 1e-12, 1e-12) {
				t.Errorf("got %v, want %v", got, c.norm)
			}
		})
	}
}
