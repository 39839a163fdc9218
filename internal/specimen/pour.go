package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// pour fills the space between nets with copper, each place with the net
// nearest to it, leaving the gap: the broad copper of older boards.
//
// A place belongs to net A where the nearest other net is farther than A by
// the gap. Walking from there toward A keeps that so: the copper of a pour
// always hangs together with what it grew from. Two such regions are at least
// the gap apart, as the difference of two distances changes by at most twice
// the way walked.
func pour(b *Board, gap float64) {
	wired, islands, labels := wireUp(b)
	p := newPouring(&wired, labels)
	for _, s := range islands {
		for _, a := range p.region(s.label, gap+pourSlack) {
			a.Net = s.net
			b.Areas = append(b.Areas, a)
		}
	}
}

const (
	pourCell  = 0.3  // mm between samples
	pourSlack = 0.25 // mm for straight pieces between samples
	pourReach = 7.0  // mm from the net's tracks
	pourEdge  = 1.2  // mm from the board's edge
)

// pouring knows at each sample the two nearest nets.
type pouring struct {
	grid
	b      *Board
	d1, d2 []float64
	l1, l2 []uint16
}

func newPouring(b *Board, labels map[string]uint16) *pouring {
	g := gridOver(geom.Point{}, b.Size, 1/pourCell)
	n := g.w * g.h
	p := &pouring{g, b, make([]float64, n), make([]float64, n), make([]uint16, n), make([]uint16, n)}
	for i := range n {
		p.d1[i], p.d2[i] = far*2, far*2
	}
	for _, s := range shapesOf(b) {
		for _, k := range s.strokes {
			p.add(k, labels[s.net])
		}
	}
	for _, m := range b.Mounts {
		p.add(stroke{m.At, m.At, m.Hole + 1, m.Hole + 1}, math.MaxUint16)
	}
	return p
}

func (p *pouring) add(k stroke, label uint16) {
	reach := pourReach + 3
	p.sweep(k.a, k.b, reach, func(i int, q geom.Point) {
		t, d := along(k.a, k.b, q)
		d = math.Max(0, d-(k.wa+t*(k.wb-k.wa))/2)
		switch {
		case label == p.l1[i]:
			p.d1[i] = math.Min(p.d1[i], d)
		case d < p.d1[i]:
			p.d2[i], p.l2[i] = p.d1[i], p.l1[i]
			p.d1[i], p.l1[i] = d, label
		case label == p.l2[i]:
			p.d2[i] = math.Min(p.d2[i], d)
		case d < p.d2[i]:
			p.d2[i], p.l2[i] = d, label
		}
	})
}

// level is above 0 inside the region of a label.
func (p *pouring) level(i int, label uint16, gap float64) float64 {
	q := geom.Point{X: p.origin.X + float64(i%p.w)/p.scale, Y: p.origin.Y + float64(i/p.w)/p.scale}
	rim := min(q.X, q.Y, p.b.Size.X-q.X, p.b.Size.Y-q.Y) - pourEdge
	switch label {
	case p.l1[i]:
		return min(p.d2[i]-p.d1[i]-gap, pourReach-p.d1[i], rim)
	case p.l2[i]:
		return min(p.d1[i]-p.d2[i]-gap, rim)
	default:
		return -far
	}
}

// region traces the outline of a label's region, with its holes.
func (p *pouring) region(label uint16, gap float64) []Area {
	v := make([]float64, p.w*p.h)
	for i := range v {
		v[i] = p.level(i, label, gap)
		if v[i] == 0 {
			v[i] = -1e-9
		}
	}
	var outer, holes [][]geom.Point
	for _, c := range contours(p.grid, v) {
		c = simplify(c, 0.05)
		if len(c) < 3 || math.Abs(signedArea(c)) < 1 {
			continue
		}
		if signedArea(c) > 0 {
			outer = append(outer, c)
		} else {
			holes = append(holes, c)
		}
	}
	var out []Area
	for _, o := range outer {
		a := Area{Outline: o}
		for _, h := range holes {
			if inside([][]geom.Point{o}, h[0]) {
				a.Holes = append(a.Holes, h)
			}
		}
		out = append(out, a)
	}
	return out
}

func signedArea(c []geom.Point) float64 {
	s := 0.0
	for i, p := range c {
		q := c[(i+1)%len(c)]
		s += p.X*q.Y - q.X*p.Y
	}
	return s / 2
}

// contours are the closed lines at level 0 of v, the greater side on the
// right in a picture with y down, so that outlines have positive area and
// holes negative.
func contours(g grid, v []float64) [][]geom.Point {
	next := map[int]int{} // grid edge → grid edge
	at := map[int]geom.Point{}
	var order []int
	for y := 0; y+1 < g.h; y++ {
		for x := 0; x+1 < g.w; x++ {
			for _, s := range cellLines(g, v, x, y, at) {
				next[s[0]] = s[1]
				order = append(order, s[0])
			}
		}
	}
	var out [][]geom.Point
	for _, e := range order {
		var c []geom.Point
		for {
			n, ok := next[e]
			if !ok {
				break
			}
			delete(next, e)
			c = append(c, at[e])
			e = n
		}
		if len(c) > 2 {
			out = append(out, c)
		}
	}
	return out
}

// cellLines are the pieces of contour through one cell, as pairs of grid
// edges; edge 2·i runs right from sample i, 2·i+1 down from it.
func cellLines(g grid, v []float64, x, y int, at map[int]geom.Point) [][2]int {
	i := y*g.w + x
	corner := [4]int{i, i + 1, i + g.w + 1, i + g.w}
	side := [4]int{2 * i, 2*(i+1) + 1, 2 * (i + g.w), 2*i + 1}
	var in, out []int
	for k := range 4 {
		a, b := corner[k], corner[(k+1)%4]
		if (v[a] > 0) == (v[b] > 0) {
			continue
		}
		t := v[a] / (v[a] - v[b])
		p := geom.Point{X: float64(a%g.w) + t*float64(b%g.w-a%g.w), Y: float64(a/g.w) + t*float64(b/g.w-a/g.w)}
		at[side[k]] = g.origin.Add(p.Scale(1 / g.scale))
		if v[a] > 0 {
			out = append(out, side[k])
		} else {
			in = append(in, side[k])
		}
	}
	var lines [][2]int
	for k, e := range out {
		lines = append(lines, [2]int{e, in[k%len(in)]})
	}
	if len(out) == 2 && v[corner[0]] > 0 { // saddle: keep the corners apart
		lines = [][2]int{{out[0], in[1]}, {out[1], in[0]}}
	}
	return lines
}

// simplify drops points nearer than tol to the line between kept ones
// (Douglas and Peucker 1973), on a closed line.
func simplify(c []geom.Point, tol float64) []geom.Point {
	k := 0
	for i := range c {
		if c[i].Dist(c[0]) > c[k].Dist(c[0]) {
			k = i
		}
	}
	a := thin(c[:k+1], tol)
	b := thin(append(append([]geom.Point{}, c[k:]...), c[0]), tol)
	return append(a[:len(a)-1], b[:len(b)-1]...)
}

func thin(c []geom.Point, tol float64) []geom.Point {
	if len(c) < 3 {
		return append([]geom.Point{}, c...)
	}
	worst, k := 0.0, 0
	for i := 1; i < len(c)-1; i++ {
		if _, d := along(c[0], c[len(c)-1], c[i]); d > worst {
			worst, k = d, i
		}
	}
	if worst <= tol {
		return []geom.Point{c[0], c[len(c)-1]}
	}
	a, b := thin(c[:k+1], tol), thin(c[k:], tol)
	return append(a[:len(a)-1], b...)
}
