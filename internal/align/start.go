package align

import (
	"math"

	"foilside/internal/num/geom"
)

// starts are maps to begin a fit from: the direct linear solution, and the
// best similarity, which is never wild.
func starts(base model, pairs []Pair, used []int, mirrored bool) []model {
	chosen := make([]Pair, len(used))
	for k, i := range used {
		chosen[k] = pairs[i]
	}
	component, foil := split(chosen)
	var list []model
	if h, err := geom.Homography(component, foil); err == nil {
		m := base
		if m.setMatrix(h) {
			list = append(list, m)
		}
	}
	m := base
	if m.setMatrix(similarity(component, foil, mirrored)) {
		list = append(list, m)
	}
	return list
}

// similarity is the least-squares turn, scale and shift from a to b, mirrored
// or not.
//
// Source: in complex numbers b ≈ k·ā + s (mirrored) or k·a + s, a linear fit.
func similarity(a, b []geom.Point, mirrored bool) geom.Projective {
	ca, cb := mean(a), mean(b)
	flip := 1.0
	if mirrored {
		flip = -1
	}
	var re, im, norm float64
	for i := range a {
		p, q := a[i].Sub(ca), b[i].Sub(cb)
		p.Y *= flip
		re += q.X*p.X + q.Y*p.Y
		im += q.Y*p.X - q.X*p.Y
		norm += p.X*p.X + p.Y*p.Y
	}
	re, im = re/norm, im/norm
	m := geom.Projective{re, -im * flip, 0, im, re * flip, 0, 0, 0, 1}
	shift := cb.Sub(m.Apply(ca))
	m[2], m[5] = shift.X, shift.Y
	return m
}

// fitBest fits from every start and keeps the best end.
func fitBest(base model, pairs []Pair, used []int, p prior) (fitted, bool) {
	best, lowest, found := fitted{}, math.Inf(1), false
	for _, start := range starts(base, pairs, used, p.mirrored) {
		f, ok := fit(start, pairs, used, p)
		if !ok {
			continue
		}
		// Ends are compared at one noise, or the worse fit would set its own measure.
		g := f
		g.noise = f.expect
		if c := g.cost(f.model, f.slips, pairs); c < lowest {
			best, lowest, found = f, c, true
		}
	}
	return best, found
}
