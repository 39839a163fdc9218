package geom

import (
	"cmp"
	"math"
	"slices"
)

// Hull is the convex hull of the points, clockwise as seen with y down, no
// three of its corners on a line.
//
// Source: monotone chain, Andrew, Inf. Process. Lett. 9 (1979).
func Hull(points []Point) []Point {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	sorted = slices.Compact(sorted)
	if len(sorted) < 3 {
		return sorted
	}
	half := func(order []Point) []Point {
		var h []Point
		for _, p := range order {
			for len(h) >= 2 && Turn(h[len(h)-2], h[len(h)-1], p) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h[:len(h)-1]
	}
	one := half(sorted)
	slices.Reverse(sorted)
	return append(one, half(sorted)...)
}

// SmallestBox is the turned rectangle of least area round a convex hull, its
// corners clockwise as seen with y down.
//
// Source: one side of it lies along a side of the hull, Freeman & Shapira,
// Commun. ACM 18 (1975). Here by trying every side.
func SmallestBox(hull []Point) [4]Point {
	least, best := math.Inf(1), [4]Point{}
	for i, a := range hull {
		b := hull[(i+1)%len(hull)]
		length := a.Dist(b)
		if length == 0 {
			continue
		}
		u := b.Sub(a).Scale(1 / length)
		v := Point{-u.Y, u.X}
		lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
		for _, p := range hull {
			q := Point{p.X*u.X + p.Y*u.Y, p.X*v.X + p.Y*v.Y}
			lo = Point{math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)}
			hi = Point{math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)}
		}
		if area := (hi.X - lo.X) * (hi.Y - lo.Y); area < least {
			least = area
			at := func(x, y float64) Point { return u.Scale(x).Add(v.Scale(y)) }
			best = [4]Point{at(lo.X, lo.Y), at(hi.X, lo.Y), at(hi.X, hi.Y), at(lo.X, hi.Y)}
		}
	}
	return best
}
