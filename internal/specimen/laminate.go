package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// paintLaminate lays the bare board, with its fibres or cloth.
func paintLaminate(s *surface, b *Board, coarse, fine *tile) {
	base := b.baseMaterial()
	g := s.grid
	lo := geom.Point{X: -1, Y: -1}
	g.box(lo, b.Size.Add(geom.Point{X: 1, Y: 1}), func(i int, p geom.Point) {
		d := b.boardDistance(p)
		cov := g.cover(d)
		if cov <= 0 {
			return
		}
		m := base
		m.colour = m.colour.scale(1 + weave(b, p, coarse, fine))
		var nx, ny float32
		if d > -0.35 { // the sawn edge is rounded and pale
			m.colour = m.colour.scale(1.08)
			nx, ny = edgeNormal(b, p, 0.5)
		}
		s.lay(i, cov, m, nx, ny)
	})
}

// groundShadow darkens the bench beside the board, away from the lamp: falls is
// where the shadow of a point 1 mm high falls.
func groundShadow(s *surface, b *Board, falls geom.Point) {
	const lift = 2.5 // mm from the bench to the board's upper face
	off := falls.Scale(lift)
	for y := range s.h {
		for x := range s.w {
			i := y*s.w + x
			if s.alpha[i] >= 1 {
				continue
			}
			p := geom.Point{X: s.origin.X + float64(x)/s.scale, Y: s.origin.Y + float64(y)/s.scale}
			near := b.boardDistance(p) // a little all around
			if near > 3*lift {
				continue
			}
			d := min(near+1, b.boardDistance(p.Sub(off)))
			s.shade[i] = float32(1 - 0.6*smooth(0.5-d/3.5))
		}
	}
}

// bore gives the through hole at m its wall, as the camera at v sees it
// slanting in.
func bore(s *surface, b *Board, v View, m Mount) {
	const thick = 1.6
	wall := b.baseMaterial()
	wall.colour, wall.coat = wall.colour.scale(0.45), 0
	r := m.Hole / 2
	low := v.Lift(m.At, -thick)
	s.sweep(m.At, m.At, r+0.1, func(i int, q geom.Point) {
		in := s.cover(q.Dist(m.At) - r)
		open := s.cover(math.Max(q.Dist(low)-r, q.Dist(m.At)-r))
		s.lay(i, in, wall, 0, 0)
		s.alpha[i] = min(s.alpha[i], 1-open)
		if open > 0 {
			s.shade[i] = 0.4
		}
	})
}

// weave is the texture of the laminate at p as a relative brightness.
func weave(b *Board, p geom.Point, coarse, fine *tile) float32 {
	cloud := coarse.at(p.X*1.3, p.Y*1.3)
	speck := fine.at(p.X*9, p.Y*9)
	switch b.Laminate {
	case Phenolic:
		return 0.07*cloud + 0.07*coarse.at(p.X*2, p.Y*17) + 0.04*speck
	case Epoxy:
		return 0.04*cloud + 0.05*cloth(p, 0.55) + 0.02*speck
	default:
		return 0.03*cloud + 0.05*cloth(p, 0.8) + 0.03*speck
	}
}

// cloth is a woven pattern of the given thread distance, mm.
func cloth(p geom.Point, thread float64) float32 {
	return ripple(p.X/thread) * ripple(p.Y/thread)
}

// ripple is a wave of period 1, close to a sine and quicker.
func ripple(t float64) float32 {
	f := float32(t - math.Floor(t))
	v := 1 - 4*f
	if f > 0.5 {
		v = 4*f - 3
	}
	return v * (1.5 - 0.5*v*v)
}

// edgeNormal leans outward at the board's rim.
func edgeNormal(b *Board, p geom.Point, lean float32) (float32, float32) {
	const e = 0.05
	gx := b.boardDistance(geom.Point{X: p.X + e, Y: p.Y}) - b.boardDistance(geom.Point{X: p.X - e, Y: p.Y})
	gy := b.boardDistance(geom.Point{X: p.X, Y: p.Y + e}) - b.boardDistance(geom.Point{X: p.X, Y: p.Y - e})
	return float32(gx/(2*e)) * lean, float32(gy/(2*e)) * lean
}

// wear adds stains, specks, scratches and burns; stream keeps the two faces apart.
func wear(s *surface, b *Board, stream uint64) {
	r := newRand(b.Wear.Seed, 7+stream)
	for _, p := range b.Pads {
		if b.Wear.Flux > 0 && r.Float64() < 0.3+0.7*b.Wear.Flux {
			stain(s, p.At, between(r, 1.5, 3.5)+b.Wear.Flux, b.fluxTint(), b.Wear.Flux*between(r, 0.1, 0.5))
		}
	}
	for range b.Wear.Burns {
		at := geom.Point{X: r.Float64() * b.Size.X, Y: r.Float64() * b.Size.Y}
		stain(s, at, between(r, 3, 9), rgb{0.55, 0.32, 0.14}, between(r, 0.3, 0.8))
	}
	for range int(b.Wear.Dirt * 400) {
		at := geom.Point{X: r.Float64() * b.Size.X, Y: r.Float64() * b.Size.Y}
		stain(s, at, between(r, 0.1, 0.5), rgb{0.3, 0.26, 0.2}, between(r, 0.3, 0.9))
	}
	for range int(b.Wear.Dirt * 12) {
		at := geom.Point{X: r.Float64() * b.Size.X, Y: r.Float64() * b.Size.Y}
		stain(s, at, between(r, 3, 14), rgb{0.7, 0.66, 0.56}, between(r, 0.1, 0.5)*b.Wear.Dirt)
	}
	for range b.Wear.Scratches {
		scratch(s, b, r.Float64()*b.Size.X, r.Float64()*b.Size.Y, r.Float64()*7, between(r, 3, 25), between(r, 0.02, 0.07))
	}
}

// fluxTint is the colour of the stains around joints.
func (b *Board) fluxTint() rgb {
	if b.Look != nil {
		return rgb(b.Look.Flux)
	}
	return rgb{0.86, 0.72, 0.42}
}

// pit is a small hollow left by a drill's point.
func pit(s *surface, at geom.Point, radius float64) {
	s.sweep(at, at, radius, func(i int, p geom.Point) {
		v := p.Sub(at).Scale(1 / radius)
		if d := v.Norm(); d < 1 && s.alpha[i] == 1 {
			s.nx[i], s.ny[i] = float32(-0.8*v.X), float32(-0.8*v.Y)
			s.mat[i].colour = s.mat[i].colour.scale(float32(0.5 + 0.5*d))
		}
	})
}

// stain multiplies the colours around at by tint, fading with the distance.
func stain(s *surface, at geom.Point, radius float64, tint rgb, amount float64) {
	s.sweep(at, at, radius, func(i int, p geom.Point) {
		u := p.Dist(at) / radius
		k := amount * (1 - u*u) * (1 - u*u)
		if u < 1 {
			s.mat[i].colour = s.mat[i].colour.times(rgb{1, 1, 1}.mix(tint, float32(k)))
			s.mat[i].metal *= float32(1 - 0.4*k)
		}
	})
}

// scratch brightens a slightly bent thin line.
func scratch(s *surface, b *Board, x, y, angle, length, width float64) {
	a := geom.Point{X: x, Y: y}
	for range 6 {
		sin, cos := math.Sincos(angle)
		c := a.Add(geom.Point{X: cos, Y: sin}.Scale(length / 6))
		s.sweep(a, c, width+1/s.scale, func(i int, p geom.Point) {
			_, d := along(a, c, p)
			cov := s.cover(d-width) * 0.55
			if s.alpha[i] == 1 {
				m := &s.mat[i]
				m.colour = m.colour.scale(1 + 0.5*cov)
				m.rough = min(1, m.rough+0.2*cov)
			}
		})
		a = c
		angle += 0.08
	}
}
