package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// smoothPath rounds the corners of a path by cutting them twice; its ends
// stay.
func smoothPath(path []geom.Point) []geom.Point {
	for range 3 {
		if len(path) < 3 {
			return path
		}
		out := []geom.Point{path[0]}
		for i := 1; i < len(path); i++ {
			a, b := path[i-1], path[i]
			if i > 1 {
				out = append(out, a.Scale(0.75).Add(b.Scale(0.25)))
			}
			if i < len(path)-1 {
				out = append(out, a.Scale(0.25).Add(b.Scale(0.75)))
			}
		}
		path = append(out, path[len(path)-1])
	}
	return path
}

// layWire draws a round wire along a path with its shadow.
func layWire(s *surface, path []geom.Point, radius float64, colour rgb, lift float64) {
	castWire(s, path, radius, lift)
	m := material{colour: colour, rough: 0.35, coat: 0.06}
	for k := 1; k < len(path); k++ {
		layRod(s, path[k-1], path[k], radius, m)
	}
}

// castWire darkens the place beside a wire lying lift over the board.
func castWire(s *surface, path []geom.Point, radius, lift float64) {
	off := geom.Point{X: 0.5 * lift, Y: 0.6 * lift}
	for k := 1; k < len(path); k++ {
		a, b := path[k-1].Add(off), path[k].Add(off)
		s.sweep(a, b, radius+0.4, func(i int, p geom.Point) {
			_, d := along(a, b, p)
			t := float32(math.Max(0, math.Min(1, (radius+0.4-d)/0.8)))
			s.shade[i] = min(s.shade[i], 1-0.5*t)
		})
	}
}

// layRod draws a straight round rod from a to b.
func layRod(s *surface, a, b geom.Point, radius float64, m material) {
	u := b.Sub(a)
	if n := u.Norm(); n > 0 {
		u = u.Scale(1 / n)
	}
	s.sweep(a, b, radius+1/s.scale, func(i int, p geom.Point) {
		_, d := along(a, b, p)
		v := p.Sub(a)
		side := math.Max(-0.97, math.Min(0.97, (v.Y*u.X-v.X*u.Y)/radius))
		s.lay(i, s.cover(d-radius), m, float32(-u.Y*side), float32(u.X*side))
	})
}
