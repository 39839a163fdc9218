package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// grid lays pixels over the board's plane: pixel (i, j) has its centre at
// origin + (i, j)/scale, in board mm.
type grid struct {
	origin geom.Point
	scale  float64 // pixels per mm
	w, h   int
}

// gridOver covers the box lo..hi.
func gridOver(lo, hi geom.Point, scale float64) grid {
	return grid{lo, scale, int(math.Ceil((hi.X-lo.X)*scale)) + 1, int(math.Ceil((hi.Y-lo.Y)*scale)) + 1}
}

// at is the index of the pixel nearest to p, and whether there is one.
func (g grid) at(p geom.Point) (int, bool) {
	x := int(math.Round((p.X - g.origin.X) * g.scale))
	y := int(math.Round((p.Y - g.origin.Y) * g.scale))
	return y*g.w + x, x >= 0 && y >= 0 && x < g.w && y < g.h
}

// rows gives the rows of pixels whose centres lie within y0..y1.
func (g grid) rows(y0, y1 float64) (int, int) {
	a := int(math.Ceil((y0 - g.origin.Y) * g.scale))
	b := int(math.Floor((y1 - g.origin.Y) * g.scale))
	return max(a, 0), min(b, g.h-1)
}

func (g grid) cols(x0, x1 float64) (int, int) {
	a := int(math.Ceil((x0 - g.origin.X) * g.scale))
	b := int(math.Floor((x1 - g.origin.X) * g.scale))
	return max(a, 0), min(b, g.w-1)
}

// visit is called for pixel i whose centre is p.
type visit func(i int, p geom.Point)

// sweep visits every pixel within r of the segment a–b, and few others.
func (g grid) sweep(a, b geom.Point, r float64, f visit) {
	y0, y1 := g.rows(math.Min(a.Y, b.Y)-r, math.Max(a.Y, b.Y)+r)
	step := 1 / g.scale
	for j := y0; j <= y1; j++ {
		y := g.origin.Y + float64(j)*step
		lo, hi, ok := spanNear(a, b, y, r)
		if !ok {
			continue
		}
		i0, i1 := g.cols(lo-r, hi+r)
		x := g.origin.X + float64(i0)*step
		for i := i0; i <= i1; i++ {
			f(j*g.w+i, geom.Point{X: x, Y: y})
			x += step
		}
	}
}

// spanNear is the range of x of the part of segment a–b that lies within r of
// the horizontal line y.
func spanNear(a, b geom.Point, y, r float64) (lo, hi float64, ok bool) {
	if a.Y > b.Y {
		a, b = b, a
	}
	if y+r < a.Y || y-r > b.Y {
		return 0, 0, false
	}
	xa, xb := a.X, b.X
	if dy := b.Y - a.Y; dy > 1e-9 {
		at := func(yy float64) float64 { return a.X + (b.X-a.X)*(yy-a.Y)/dy }
		if y-r > a.Y {
			xa = at(y - r)
		}
		if y+r < b.Y {
			xb = at(y + r)
		}
	}
	return math.Min(xa, xb), math.Max(xa, xb), true
}

// box visits every pixel of the box lo..hi.
func (g grid) box(lo, hi geom.Point, f visit) {
	y0, y1 := g.rows(lo.Y, hi.Y)
	x0, x1 := g.cols(lo.X, hi.X)
	step := 1 / g.scale
	for j := y0; j <= y1; j++ {
		for i := x0; i <= x1; i++ {
			f(j*g.w+i, geom.Point{X: g.origin.X + float64(i)*step, Y: g.origin.Y + float64(j)*step})
		}
	}
}

// along gives where p stands against segment a–b: the share of the way along
// it, held to 0..1, and the distance.
func along(a, b, p geom.Point) (t, d float64) {
	ab := b.Sub(a)
	ap := p.Sub(a)
	n := ab.X*ab.X + ab.Y*ab.Y
	if n > 0 {
		t = max(0, min(1, (ap.X*ab.X+ap.Y*ab.Y)/n))
	}
	dx, dy := ap.X-t*ab.X, ap.Y-t*ab.Y
	return t, math.Sqrt(dx*dx + dy*dy)
}
