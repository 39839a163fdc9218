package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// prints lays what is printed on the foil side. Solder and holes take no ink.
func (p *foilPainter) prints(text *lettering) {
	for _, k := range p.b.Look.Prints {
		if len(k.Path) == 0 {
			continue
		}
		lay := p.inker(k)
		if k.Text != "" {
			s, c := math.Sincos(k.Angle)
			text.in(k.Face).each(p.face.grid, k.Text, k.Path[0], geom.Point{X: -c, Y: s}, geom.Point{X: s, Y: c}, k.Size, lay)
			continue
		}
		for j := 1; j < len(k.Path); j++ {
			a, b := k.Path[j-1], k.Path[j]
			p.face.sweep(a, b, k.Size/2+1/p.face.scale, func(i int, q geom.Point) {
				_, d := along(a, b, q)
				lay(i, p.face.cover(d-k.Size/2))
			})
		}
	}
}

// inker lays one print's ink by the share of a pixel it covers.
func (p *foilPainter) inker(k Print) func(i int, a float32) {
	s := p.face.surface
	ink := material{colour: rgb(k.Ink), rough: 0.7, coat: 0.02}
	return func(i int, a float32) {
		if c := Class(p.face.class[i]); (c != BareBoard && c != CopperClass) || a <= 0 {
			return
		}
		if k.Worn > 0 {
			x, y := float64(i%s.w)/s.scale, float64(i/s.w)/s.scale
			a *= float32(smooth(1.2 - 2*k.Worn + 1.5*float64(p.fine.at(x*4, y*4)+0.7*p.coarse.at(x*2, y*2))))
		}
		s.tint(i, a*0.9, ink)
	}
}

// wires lays the jumpers and the other wires of a board with a look.
func (p *foilPainter) wires(falls geom.Point) {
	for _, w := range p.b.Look.Wires {
		path := w.Path
		if !w.Stiff {
			path = smoothPath(path)
		}
		p.wire(w, path, falls)
	}
}

func (p *foilPainter) wire(w Wire, path []geom.Point, falls geom.Point) {
	total := pathLength(path)
	if total < 0.5 {
		return
	}
	castAlong(p.face.surface, path, w.Width/2, falls.Scale(w.Lift))
	metal := solderMaterial(0.35, 0)
	core := w.Width / 2
	if !w.Bare {
		core *= 0.55
		p.rods(path, core, metal, SolderClass)
		from, to := w.Strip[0]/total, 1-w.Strip[1]/total
		path = piece(path, from, to)
		metal = material{colour: rgb(w.Ink), rough: 0.4, coat: float32(w.Gloss)}
		p.milky = float32(w.Milky)
		p.rods(path, w.Width/2, metal, WireClass)
		p.milky = 0
		return
	}
	p.rods(path, core, metal, WireClass)
}

// rods draws round pieces along a path and notes their class.
func (p *foilPainter) rods(path []geom.Point, radius float64, m material, class Class) {
	s := p.face.surface
	for k := 1; k < len(path); k++ {
		a, b := path[k-1], path[k]
		u := b.Sub(a)
		n := u.Norm()
		if n == 0 {
			continue
		}
		u = u.Scale(1 / n)
		s.sweep(a, b, radius+1/s.scale, func(i int, q geom.Point) {
			_, d := along(a, b, q)
			v := q.Sub(a)
			side := math.Max(-0.97, math.Min(0.97, (v.Y*u.X-v.X*u.Y)/radius))
			k := m
			if p.milky > 0 && s.alpha[i] > 0 {
				k.colour = k.colour.mix(s.mat[i].colour, p.milky)
			}
			s.lay(i, s.cover(d-radius), k, float32(-u.Y*side), float32(u.X*side))
			if d <= radius && (class != SolderClass || Class(p.face.class[i]) != WireClass) {
				p.face.class[i] = uint8(class)
			}
		})
	}
}

// castAlong darkens the place where the shadow of a round thing falls.
func castAlong(s *surface, path []geom.Point, radius float64, off geom.Point) {
	soft := 0.25 + 0.25*off.Norm()
	for k := 1; k < len(path); k++ {
		a, b := path[k-1].Add(off), path[k].Add(off)
		s.sweep(a, b, radius+soft, func(i int, q geom.Point) {
			_, d := along(a, b, q)
			t := float32(smooth((radius + soft - d) / (2 * soft)))
			s.shade[i] = min(s.shade[i], 1-0.55*t)
		})
	}
}

// covers lays stickers and tape; they are no part of the board.
func (p *foilPainter) covers(text *lettering) {
	s := p.face.surface
	for _, c := range p.b.Look.Covers {
		sin, cos := math.Sincos(c.Angle)
		u, v := geom.Point{X: -cos, Y: sin}, geom.Point{X: sin, Y: cos}
		m := material{colour: rgb(c.Ink), rough: 0.6, coat: float32(c.Gloss)}
		box := oriented(c.At, u, c.Size.X/2, c.Size.Y/2)
		p.flatCover(box, m, Background)
		ink := material{colour: rgb(c.Letter), rough: 0.8}
		for k, line := range c.Text {
			h := c.Size.Y / float64(len(c.Text)+1) * 0.6
			at := c.At.Add(v.Scale(c.Size.Y * ((float64(k)+1)/float64(len(c.Text)+1) - 0.5)))
			text.each(s.grid, line, at, u, v, h, func(i int, a float32) {
				if d, _ := convexDistance(box, s.point(i)); d < 0 {
					s.tint(i, a, ink)
				}
			})
		}
	}
}

// point is the place of pixel i.
func (g grid) point(i int) geom.Point {
	return geom.Point{X: g.origin.X + float64(i%g.w)/g.scale, Y: g.origin.Y + float64(i/g.w)/g.scale}
}

func (p *foilPainter) flatCover(box []geom.Point, m material, class Class) {
	s := p.face.surface
	lo, hi := bounds(box)
	e := geom.Point{X: 0.6, Y: 0.6}
	s.box(lo.Sub(e), hi.Add(e), func(i int, q geom.Point) {
		d, _ := convexDistance(box, q)
		if d > 0 {
			s.shade[i] *= float32(1 - 0.3*smooth(1-d/0.5))
		}
		s.lay(i, s.cover(d), m, 0, 0)
		if d <= 0 {
			p.face.class[i] = uint8(class)
		}
	})
}

// fingers hold the board; what they hide is background.
func (p *foilPainter) fingers(falls geom.Point) {
	for _, f := range p.b.Look.Fingers {
		path := []geom.Point{f.A, f.B}
		castAlong(p.face.surface, path, f.Radius, falls.Scale(3))
		skin := material{colour: rgb(f.Ink), rough: 0.9, coat: 0.03}
		p.rods(path, f.Radius, skin, Background)
		u := f.B.Sub(f.A)
		u = u.Scale(1 / math.Max(1e-9, u.Norm()))
		nail := material{colour: rgb(f.Ink).mix(rgb{0.9, 0.75, 0.68}, 0.5), rough: 0.3, coat: 0.08}
		tip := f.B.Add(u.Scale(f.Radius * 0.35))
		p.disc(tip, f.Radius*0.55, nail)
	}
}

func (p *foilPainter) disc(at geom.Point, radius float64, m material) {
	s := p.face.surface
	s.sweep(at, at, radius+1/s.scale, func(i int, q geom.Point) {
		v := q.Sub(at).Scale(0.5 / radius)
		s.lay(i, s.cover(q.Dist(at)-radius), m, float32(v.X), float32(v.Y))
	})
}

// pools spread thin films over whatever is there.
func (p *foilPainter) pools() {
	s := p.face.surface
	for k, q := range p.b.Look.Pools {
		s.sweep(q.At, q.At, q.Radius*1.5, func(i int, at geom.Point) {
			if s.alpha[i] < 1 {
				return
			}
			x, y := at.X+13*float64(k), at.Y
			d := at.Dist(q.At) - q.Radius*(1+0.5*float64(p.coarse.at(x*14/q.Radius, y*14/q.Radius)))
			cov := float32(smooth(0.5 - d/(0.15*q.Radius)))
			if cov <= 0 {
				return
			}
			m := &s.mat[i]
			rim := float32(1 - q.Rim*smooth(1-abs(d)/(0.2*q.Radius)))
			film := m.colour.times(rgb(q.Ink)).mix(rgb(q.Ink), float32(q.Chalk))
			m.colour = m.colour.mix(film.scale(rim), cov)
			m.metal *= 1 - cov*float32(0.2+0.7*q.Chalk)
			m.coat += (float32(q.Gloss) - m.coat) * cov
		})
	}
}

// nuts lie over mounting holes.
func (p *foilPainter) nuts(falls geom.Point) {
	s := p.face.surface
	for _, n := range p.b.Look.Nuts {
		castAlong(s, []geom.Point{n.At, n.At}, n.Radius, falls.Scale(1.5))
		sides := n.Sides
		if sides == 0 {
			sides = 24
		}
		ring := make([]geom.Point, sides)
		for k := range ring {
			sin, cos := math.Sincos(n.Turn + 2*math.Pi*float64(k)/float64(sides))
			ring[k] = n.At.Add(geom.Point{X: cos, Y: sin}.Scale(n.Radius))
		}
		m := material{colour: rgb(n.Ink), metal: 0.8, rough: 0.4}
		lo, hi := bounds(ring)
		e := geom.Point{X: 0.2, Y: 0.2}
		s.box(lo.Sub(e), hi.Add(e), func(i int, q geom.Point) {
			d, out := convexDistance(ring, q)
			lean := math.Max(0, 1+d/0.6) * 0.6
			s.lay(i, s.cover(d), m, float32(out.X*lean), float32(out.Y*lean))
			if d <= 0 {
				p.face.class[i] = uint8(Background)
			}
		})
		m.colour = m.colour.scale(0.8)
		p.disc(n.At, n.Radius*0.5, m)
	}
}

// halos brown the laminate around hot joints, not the metal.
func (p *foilPainter) halos() {
	s := p.face.surface
	for _, h := range p.b.Look.Halos {
		s.sweep(h.At, h.At, h.Radius, func(i int, q geom.Point) {
			if Class(p.face.class[i]) != BareBoard {
				return
			}
			u := q.Dist(h.At) / h.Radius
			if u < 1 {
				k := float32(h.Amount * (1 - u*u) * (1 - u*u))
				s.mat[i].colour = s.mat[i].colour.times(rgb{1, 1, 1}.mix(rgb(h.Ink), k))
			}
		})
	}
}
