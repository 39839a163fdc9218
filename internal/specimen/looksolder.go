package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// runs lists the solder that lies along tracks.
func (p *foilPainter) runs() []bead {
	var out []bead
	for k, run := range p.b.Look.Runs {
		if run.Track < 0 || run.Track >= len(p.b.Tracks) {
			continue
		}
		t := p.b.Tracks[run.Track]
		r := newRand(p.b.Wear.Seed, 7000+uint64(k))
		pts := piece(t.Path, run.From, run.To)
		for j := 1; j < len(pts); j++ {
			s := run.Solder
			s.Height *= between(r, 1-0.6*run.Lumps, 1+0.6*run.Lumps)
			radius := run.Radius * between(r, 1-0.35*run.Lumps, 1+0.35*run.Lumps)
			out = append(out, bead{pts[j-1], pts[j], radius, s, p.labels[t.Net]})
		}
	}
	return out
}

// piece is the part of a path between two shares of its length, in steps of
// at most 2 mm.
func piece(path []geom.Point, from, to float64) []geom.Point {
	fine := divide(path, 2)
	total := pathLength(fine)
	var out []geom.Point
	done := 0.0
	for i, q := range fine {
		if i > 0 {
			done += q.Dist(fine[i-1])
		}
		if u := done / math.Max(1e-9, total); u >= from-1e-9 && u <= to+1e-9 {
			out = append(out, q)
		}
	}
	return out
}

func pathLength(path []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(path); i++ {
		sum += path[i].Dist(path[i-1])
	}
	return sum
}

// divide adds points to a path so that none are farther apart than step.
func divide(path []geom.Point, step float64) []geom.Point {
	if len(path) == 0 {
		return nil
	}
	out := []geom.Point{path[0]}
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		n := max(1, int(math.Ceil(a.Dist(b)/step)))
		for k := 1; k <= n; k++ {
			t := float64(k) / float64(n)
			out = append(out, a.Scale(1-t).Add(b.Scale(t)))
		}
	}
	return out
}

// lookLeads draws the ends of the leads that stick out of their joints, with
// their shadows. They count as solder, also where they lie over the board.
func (p *foilPainter) lookLeads(falls geom.Point) {
	for k, pad := range p.b.Pads {
		if pad.Solder.Spread <= 0 {
			continue
		}
		r := newRand(p.b.Wear.Seed, 5000+uint64(k))
		s, c := math.Sincos(pad.Solder.Toward)
		radius := math.Min(0.35, pad.Hole*0.4)
		if pad.Solder.Lead <= 0 {
			tip := pad.At.Add(geom.Point{X: c, Y: s}.Scale(between(r, 0.05, 0.3)))
			p.lead(pad.At, tip, radius, float32(between(r, -0.5, 0.5)), float32(between(r, -0.5, 0.5)))
			continue
		}
		tip := pad.At.Add(geom.Point{X: c, Y: s}.Scale(pad.Solder.Lead))
		path := []geom.Point{pad.At, tip}
		castAlong(p.face.surface, path, radius, falls.Scale(0.8*pad.Solder.Height+0.3))
		p.rods(path, radius, solderMaterial(0.3, 0), SolderClass)
	}
}
