package specimen

import (
	"math"
	"slices"

	"foilside/internal/num/geom"
)

const (
	far  = 9.0 // mm: stands for "nowhere near"
	band = 0.6 // mm outside a shape over which its distance is kept
)

// field is the signed distance to the nearest of many shapes, mm, negative
// inside, with the label of that shape. Deep inside areas it holds -1.
type field struct {
	grid
	d     []float32
	label []uint16
}

func newField(g grid) *field {
	f := &field{g, make([]float32, g.w*g.h), make([]uint16, g.w*g.h)}
	for i := range f.d {
		f.d[i] = far
	}
	return f
}

func (f *field) put(i int, d float64, label uint16) {
	if float32(d) < f.d[i] {
		f.d[i], f.label[i] = float32(d), label
	}
}

// taper adds a segment with round ends whose width runs from wa to wb.
func (f *field) taper(a, b geom.Point, wa, wb float64, label uint16) {
	f.sweep(a, b, math.Max(wa, wb)/2+band, func(i int, p geom.Point) {
		t, d := along(a, b, p)
		f.put(i, d-(wa+t*(wb-wa))/2, label)
	})
}

// polygon adds the inside of contours (even-odd).
func (f *field) polygon(contours [][]geom.Point, label uint16) {
	g := f.grid
	fillPolygon(g, contours, func(i int) { f.put(i, -1, label) })
	for _, pts := range contours {
		for k, a := range pts {
			b := pts[(k+1)%len(pts)]
			g.sweep(a, b, band, func(i int, p geom.Point) {
				_, d := along(a, b, p)
				f.edge(i, d, label)
			})
		}
	}
}

// edge brings the distance at i to at most d from an area's edge, keeping its
// sign there.
func (f *field) edge(i int, d float64, label uint16) {
	switch {
	case f.label[i] != label || f.d[i] > 0:
		f.put(i, d, label)
	case float32(-d) > f.d[i]:
		f.d[i] = float32(-d)
	}
}

// fillPolygon calls f for every pixel whose centre is inside (even-odd).
func fillPolygon(g grid, contours [][]geom.Point, f func(i int)) {
	lo, hi := bounds(contours[0])
	y0, y1 := g.rows(lo.Y, hi.Y)
	var xs []float64
	for j := y0; j <= y1; j++ {
		xs = xs[:0]
		for _, pts := range contours {
			xs = crossings(pts, g.origin.Y+float64(j)/g.scale, xs)
		}
		slices.Sort(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			a, b := g.cols(xs[k], xs[k+1])
			for i := a; i <= b; i++ {
				f(j*g.w + i)
			}
		}
	}
}

// crossings appends the x at which the polygon crosses the line y.
func crossings(pts []geom.Point, y float64, xs []float64) []float64 {
	for k, a := range pts {
		b := pts[(k+1)%len(pts)]
		if (a.Y <= y) != (b.Y <= y) {
			xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
		}
	}
	return xs
}

// pad adds a round or oblong pad.
func (f *field) pad(p Pad, grow float64, label uint16) {
	a, b := p.ends()
	f.taper(a, b, p.Diameter+2*grow, p.Diameter+2*grow, label)
}

// ends are the middles of an oblong pad's round ends; a round pad's are equal.
func (p Pad) ends() (geom.Point, geom.Point) {
	half := math.Max(0, p.Length-p.Diameter) / 2
	s, c := math.Sincos(p.Angle)
	v := geom.Point{X: c * half, Y: s * half}
	return p.At.Sub(v), p.At.Add(v)
}

// copperField paints all copper of the board. label[i] is the index into
// islands plus 1 of the copper at i.
func copperField(g grid, b *Board, net map[string]uint16) *field {
	f := newField(g)
	for _, a := range b.Areas {
		f.polygon(a.contours(), net[a.Net])
	}
	for _, t := range b.Tracks {
		t.each(func(p, q geom.Point, wp, wq float64) { f.taper(p, q, wp, wq, net[t.Net]) })
	}
	for _, p := range b.Pads {
		f.pad(p, 0, net[p.Net])
	}
	return f
}

// each calls f for every straight piece of the track with its two widths.
func (t Track) each(f func(p, q geom.Point, wp, wq float64)) {
	total := 0.0
	for i := 1; i < len(t.Path); i++ {
		total += t.Path[i].Dist(t.Path[i-1])
	}
	end := t.Width
	if t.Taper > 0 {
		end = t.Taper
	}
	done := 0.0
	for i := 1; i < len(t.Path); i++ {
		p, q := t.Path[i-1], t.Path[i]
		s0 := done
		done += p.Dist(q)
		wp, wq := t.Width, t.Width
		if total > 0 {
			wp, wq = t.Width+(end-t.Width)*s0/total, t.Width+(end-t.Width)*done/total
		}
		f(p, q, wp, wq)
	}
}
