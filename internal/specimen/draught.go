package specimen

import (
	"math"
	"math/rand/v2"

	"foilside/internal/num/geom"
)

// draughtsman improves the look of routed tracks and never breaks a gap.
type draughtsman struct {
	b   *Board
	gap float64
}

func newDraughtsman(b *Board, gap float64) *draughtsman { return &draughtsman{b, gap} }

// clear reports whether a track keeps the gap to all copper of other nets,
// to mounting holes and to the edge.
func (d *draughtsman) clear(t Track) bool {
	s := shape{net: t.Net}
	t.each(func(p, q geom.Point, wp, wq float64) { s.strokes = append(s.strokes, stroke{p, q, wp, wq}) })
	for _, o := range shapesOf(d.b) {
		if o.net != t.Net && s.near(o, d.gap) && s.gap(o) < d.gap {
			return false
		}
	}
	for _, m := range d.b.Mounts {
		if s.gap(shape{strokes: []stroke{{m.At, m.At, m.Hole, m.Hole}}}) < d.gap {
			return false
		}
	}
	for _, p := range t.Path {
		if min(p.X, p.Y, d.b.Size.X-p.X, d.b.Size.Y-p.Y) < t.Width/2+0.6 {
			return false
		}
	}
	return true
}

// widen gives nets wider tracks where there is room, nets with many leads the
// widest.
func (d *draughtsman) widen(widest float64, r *rand.Rand) {
	leads := map[string]int{}
	for _, p := range d.b.Pads {
		leads[p.Net]++
	}
	wish := map[string]float64{}
	for i := range d.b.Tracks {
		t := &d.b.Tracks[i]
		if wish[t.Net] == 0 {
			k := math.Min(1, 0.15*float64(leads[t.Net])) * between(r, 0.3, 1)
			wish[t.Net] = t.Width + k*(widest-t.Width)
		}
		for w := wish[t.Net]; w > t.Width; w -= 0.2 {
			u := *t
			u.Width = w
			if d.clear(u) {
				t.Width = w
				break
			}
		}
	}
}

// round bends corners into curves.
func (d *draughtsman) round() {
	for i, t := range d.b.Tracks {
		for _, r := range []float64{4, 2, 1} {
			u := t
			u.Path = fillet(t.Path, r)
			if d.clear(u) {
				d.b.Tracks[i] = u
				break
			}
		}
	}
}

// fillet replaces each corner by a curve that starts up to r before it.
func fillet(path []geom.Point, r float64) []geom.Point {
	if len(path) < 3 {
		return path
	}
	out := []geom.Point{path[0]}
	for i := 1; i < len(path)-1; i++ {
		a, c, b := path[i-1], path[i], path[i+1]
		la, lb := a.Dist(c), b.Dist(c)
		k := math.Min(r, math.Min(la, lb)*0.49)
		p, q := c.Add(a.Sub(c).Scale(k/la)), c.Add(b.Sub(c).Scale(k/lb))
		for n := range 6 {
			t := float64(n) / 5
			out = append(out, p.Scale((1-t)*(1-t)).Add(c.Scale(2*t*(1-t))).Add(q.Scale(t*t)))
		}
	}
	return append(out, path[len(path)-1])
}

// teardrops widen tracks toward the pads at which they end.
func (d *draughtsman) teardrops() {
	for _, t := range d.b.Tracks {
		for _, path := range [][]geom.Point{t.Path, reversed(t.Path)} {
			if p := d.padAt(path[0], t.Net); p != nil && len(path) > 1 {
				l := math.Min(1.5*p.Diameter, path[0].Dist(path[1]))
				v := path[1].Sub(path[0])
				end := path[0].Add(v.Scale(l / v.Norm()))
				drop := Track{Net: t.Net, Width: p.Diameter * 0.9, Taper: t.Width, Path: []geom.Point{path[0], end}}
				if drop.Width > t.Width && l > p.Diameter*0.7 && d.clear(drop) {
					d.b.Tracks = append(d.b.Tracks, drop)
				}
			}
		}
	}
}

func reversed(p []geom.Point) []geom.Point {
	out := make([]geom.Point, len(p))
	for i, q := range p {
		out[len(p)-1-i] = q
	}
	return out
}

func (d *draughtsman) padAt(p geom.Point, net string) *Pad {
	for i := range d.b.Pads {
		if d.b.Pads[i].Net == net && d.b.Pads[i].At.Dist(p) < 0.01 {
			return &d.b.Pads[i]
		}
	}
	return nil
}

// etch leaves lettering in copper at a place where no copper is near.
func (d *draughtsman) etch(text string, r *rand.Rand) {
	height := between(r, 1.5, 2.5)
	half := geom.Point{X: 0.45 * height * float64(len(text))}
	for range 200 {
		at := geom.Point{X: r.Float64() * d.b.Size.X, Y: r.Float64() * d.b.Size.Y}
		if d.clear(Track{Width: height * 1.6, Path: []geom.Point{at.Sub(half), at.Add(half)}}) {
			d.b.Etched = append(d.b.Etched, Etching{text, at, height})
			return
		}
	}
}

// solderAll gives every pad its joint, and lets some solder fall on tracks.
func solderAll(b *Board, s Style, r *rand.Rand) {
	for i := range b.Pads {
		p := &b.Pads[i]
		p.Solder = randomSolder(p.Diameter, s.Joint, r)
		p.Solder.Toward = trackDirection(b, p, r)
		if r.Float64() < 0.35 {
			p.Solder.Tail = between(r, 0.6, 1+1.5*s.Joint) * p.Diameter
		}
		if r.Float64() < 0.15+0.25*s.Joint {
			p.Solder.Lead = between(r, 1, 2.2)
		}
		p.Angle = p.Solder.Toward
	}
	for _, t := range b.Tracks {
		if len(t.Path) > 1 && r.Float64() < 0.3*s.Joint {
			k := r.IntN(len(t.Path) - 1)
			at := t.Path[k].Add(t.Path[k+1].Sub(t.Path[k]).Scale(r.Float64()))
			d := Drop{Net: t.Net, At: at, Solder: randomSolder(t.Width*between(r, 0.8, 1.8), s.Joint, r)}
			b.Drops = append(b.Drops, d)
		}
	}
}

func randomSolder(diameter, careless float64, r *rand.Rand) Solder {
	return Solder{
		Spread: diameter / 2 * (1 + between(r, -0.12, 0.25) + careless*between(r, -0.1, 0.5)),
		Height: diameter * between(r, 0.22, 0.4+0.3*careless),
		Convex: math.Max(0, math.Min(1, r.NormFloat64()*0.25+0.4+0.4*careless*r.Float64())),
		Dull:   math.Max(0, math.Min(1, between(r, -0.3, 0.3+0.5*careless))),
	}
}

// trackDirection is the way a track leaves the pad.
func trackDirection(b *Board, p *Pad, r *rand.Rand) float64 {
	for _, t := range b.Tracks {
		for _, path := range [][]geom.Point{t.Path, reversed(t.Path)} {
			if t.Net == p.Net && path[0].Dist(p.At) < 0.01 && len(path) > 1 {
				v := path[1].Sub(path[0])
				return math.Atan2(v.Y, v.X)
			}
		}
	}
	return r.Float64() * 2 * math.Pi
}
