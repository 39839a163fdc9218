// Package approx is the one place that knows what "nearly equal" means.
//
// Three measures, each for its own use: AbsOrRel where a length scale is
// known, ULP where two roads should end on the same float64, and Weighted
// where every component has its own tolerance, as in an integrator's norm.
package approx

import "math"

// AbsOrRel reports whether a and b differ by at most abs, or by at most rel of
// the larger. Not-a-number is near nothing; equal infinities are equal.
func AbsOrRel(a, b, abs, rel float64) bool {
	if a == b {
		return true
	}
	if math.IsInf(a, 0) || math.IsInf(b, 0) {
		return false
	}
	d := math.Abs(a - b)
	return d <= abs || d <= rel*math.Max(math.Abs(a), math.Abs(b))
}

// ULP reports whether at most n float64 values lie from a to b. Zero counts
// once, whatever its sign.
func ULP(a, b float64, n uint64) bool {
	if math.IsNaN(a) || math.IsNaN(b) {
		return false
	}
	x, y := ordinal(a), ordinal(b)
	if x > y {
		x, y = y, x
	}
	// The difference of two int64 always fits uint64.
	return uint64(y)-uint64(x) <= n
}

// ordinal numbers the float64 values in their order, both zeros as 0.
func ordinal(v float64) int64 {
	bits := int64(math.Float64bits(v))
	if bits < 0 {
		return math.MinInt64 - bits
	}
	return bits
}

// Weighted is the root mean square of the differences, each divided by
// abs + rel·|want|: below 1 the vectors agree within the tolerances. Vectors
// of different length, and not-a-number, give +Inf.
//
// Source: error-weighted norm as in Hairer, Nørsett & Wanner, Solving Ordinary
// Differential Equations I, 2nd ed., eq. II.4.11.
func Weighted(got, want []float64, abs, rel float64) float64 {
	if len(got) != len(want) {
		return math.Inf(1)
	}
	if len(got) == 0 {
		return 0
	}
	sum := 0.0
	for i, w := range want {
		e := (got[i] - w) / (abs + rel*math.Abs(w))
		sum += e * e
	}
	norm := math.Sqrt(sum / float64(len(got)))
	if math.IsNaN(norm) {
		return math.Inf(1)
	}
	return norm
}
