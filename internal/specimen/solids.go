package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// rod draws a lying body of revolution with its axis h over the board from a
// to b; radius gives its radius and paint its material by the share along.
func (p *bodyPainter) rod(a, b geom.Point, h, widest float64, radius func(t float64) float64, paint func(t, across float64) material) {
	a, b = p.v.Lift(a, h), p.v.Lift(b, h)
	length := b.Dist(a)
	if length == 0 {
		return
	}
	u := b.Sub(a).Scale(1 / length)
	p.s.sweep(a, b, widest+1/p.s.scale, func(i int, q geom.Point) {
		d := q.Sub(a)
		t := (d.X*u.X + d.Y*u.Y) / length
		if t < -0.02 || t > 1.02 {
			return
		}
		side := d.Y*u.X - d.X*u.Y
		r := radius(math.Max(0, math.Min(1, t)))
		edge := math.Max(math.Abs(side)-r, math.Max(-t, t-1)*length)
		cov := p.s.cover(edge)
		if cov <= 0 {
			return
		}
		n := math.Max(-0.96, math.Min(0.96, side/r))
		lean := (radius(math.Min(1, t+0.02)) - radius(math.Max(0, t-0.02))) / (0.04 * length)
		nx, ny := -u.Y*n-u.X*lean*0.7, u.X*n-u.Y*lean*0.7
		p.s.lay(i, cov, paint(t, n), float32(nx), float32(ny))
	})
}

// can draws an upright cylinder of radius r and height h around c.
func (p *bodyPainter) can(c geom.Point, r, h float64, wall func(up, turn float64) material, top func(q geom.Point) (material, float32, float32)) {
	tip := p.v.Lift(c, h)
	grow := r * p.v.Above / (p.v.Above - h)
	lean := tip.Sub(c)
	ln := lean.Norm()
	if ln > 0.05 {
		p.wall(c, tip, r, grow, wall)
	}
	p.s.sweep(tip, tip, grow+1/p.s.scale, func(i int, q geom.Point) {
		v := q.Sub(tip).Scale(1 / grow)
		m, nx, ny := top(v)
		p.s.lay(i, p.s.cover(q.Dist(tip)-grow), m, nx, ny)
	})
}

// wall draws the visible side of a cylinder, the one toward the camera's foot.
func (p *bodyPainter) wall(c, tip geom.Point, r, grow float64, paint func(up, turn float64) material) {
	ln := tip.Dist(c)
	u := tip.Sub(c).Scale(1 / ln)
	p.s.sweep(c, tip, grow+1/p.s.scale, func(i int, q geom.Point) {
		t, d := along(c, tip, q)
		cov := p.s.cover(d - (r + t*(grow-r)))
		if cov <= 0 {
			return
		}
		v := q.Sub(c)
		side := math.Max(-0.98, math.Min(0.98, (v.Y*u.X-v.X*u.Y)/r))
		front := -math.Sqrt(1 - side*side)
		up := math.Max(0, math.Min(1, (v.X*u.X+v.Y*u.Y-front*r)/ln))
		nx, ny := (u.X*front-u.Y*side)*0.93, (u.Y*front+u.X*side)*0.93
		m := paint(up, side)
		m.colour = m.colour.scale(float32(0.75 + 0.25*up))
		p.s.lay(i, cov, m, float32(nx), float32(ny))
	})
}

// block draws an upright prism over a convex outline (any winding).
func (p *bodyPainter) block(outline []geom.Point, h float64, side, top material) {
	up := make([]geom.Point, len(outline))
	for i, q := range outline {
		up[i] = p.v.Lift(q, h)
	}
	mid := centre(outline)
	for i, a := range outline {
		j := (i + 1) % len(outline)
		e := outline[j].Sub(a)
		n := geom.Point{X: e.Y, Y: -e.X}.Scale(1 / math.Max(1e-9, e.Norm()))
		if out := a.Sub(mid); n.X*out.X+n.Y*out.Y < 0 {
			n = n.Scale(-1)
		}
		p.flat([]geom.Point{a, outline[j], up[j], up[i]}, side, n.Scale(0.9))
	}
	p.bevelled(up, top)
}

func centre(pts []geom.Point) geom.Point {
	var m geom.Point
	for _, p := range pts {
		m = m.Add(p)
	}
	return m.Scale(1 / float64(len(pts)))
}

// convexDistance is the signed distance to a convex outline, and the outward
// normal of its nearest edge.
func convexDistance(pts []geom.Point, q geom.Point) (float64, geom.Point) {
	best, normal := math.Inf(-1), geom.Point{}
	mid := centre(pts)
	for i, a := range pts {
		e := pts[(i+1)%len(pts)].Sub(a)
		l := e.Norm()
		if l < 1e-9 {
			continue
		}
		n := geom.Point{X: e.Y / l, Y: -e.X / l}
		if (mid.X-a.X)*n.X+(mid.Y-a.Y)*n.Y > 0 {
			n = n.Scale(-1)
		}
		if d := (q.X-a.X)*n.X + (q.Y-a.Y)*n.Y; d > best {
			best, normal = d, n
		}
	}
	return best, normal
}

func bounds(pts []geom.Point) (lo, hi geom.Point) {
	lo, hi = pts[0], pts[0]
	for _, p := range pts {
		lo = geom.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = geom.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	return lo, hi
}

// flat fills a convex outline with one inclination.
func (p *bodyPainter) flat(pts []geom.Point, m material, n geom.Point) {
	lo, hi := bounds(pts)
	e := geom.Point{X: 1 / p.s.scale, Y: 1 / p.s.scale}
	p.s.box(lo.Sub(e), hi.Add(e), func(i int, q geom.Point) {
		d, _ := convexDistance(pts, q)
		p.s.lay(i, p.s.cover(d), m, float32(n.X), float32(n.Y))
	})
}

// bevelled fills a convex outline whose rim is rounded.
func (p *bodyPainter) bevelled(pts []geom.Point, m material) {
	lo, hi := bounds(pts)
	e := geom.Point{X: 1 / p.s.scale, Y: 1 / p.s.scale}
	p.s.box(lo.Sub(e), hi.Add(e), func(i int, q geom.Point) {
		d, n := convexDistance(pts, q)
		lean := math.Max(0, 1+d/0.5) * 0.7
		p.s.lay(i, p.s.cover(d), m, float32(n.X*lean), float32(n.Y*lean))
	})
}

// oriented is the rectangle around c with half extents a along u and b across.
func oriented(c, u geom.Point, a, b float64) []geom.Point {
	v := geom.Point{X: -u.Y, Y: u.X}
	at := func(s, t float64) geom.Point { return c.Add(u.Scale(s * a)).Add(v.Scale(t * b)) }
	return []geom.Point{at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)}
}

// legs draws straight leads from the body's ends at height h down to the holes.
func (p *bodyPainter) leg(from geom.Point, h float64, to geom.Point) {
	p.shadowLine(from, to)
	layRod(p.s, p.v.Lift(from, h), to, 0.3, leadMetal)
	dark := material{colour: rgb{0.02, 0.02, 0.02}, rough: 1}
	p.s.sweep(to, to, 0.45, func(i int, q geom.Point) {
		d := q.Dist(to)
		p.s.lay(i, p.s.cover(math.Max(d-0.42, 0.26-d))*0.6, dark, 0, 0)
	})
}

func (p *bodyPainter) shadowLine(a, b geom.Point) {
	castWire(p.s, []geom.Point{a, b}, 0.2, 0.5)
}
