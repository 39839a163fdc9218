package copper

import (
	"context"
	"image"
	"math"

	"foilside/internal/num/geom"
)

// Trace turns a foil photo and the evidence on it into nets. It is Look and
// then Nets.
//
// Errors: *OutsideError for evidence off the photo, *NoCopperError where
// nothing looks like copper, ctx.Err().
func Trace(ctx context.Context, img *image.RGBA, ev Evidence, opts Options) (*Copper, error) {
	p, err := Look(ctx, img, ev, opts)
	if err != nil {
		return nil, err
	}
	return p.Nets(ctx, ev)
}

// Nets cuts the component tree into nets under the corrections of the
// evidence; the samples play no part any more.
func (p *Plate) Nets(ctx context.Context, ev Evidence) (*Copper, error) {
	if err := ev.check(p.W, p.H); err != nil {
		return nil, err
	}
	g := p.correct(ev)
	marks := p.marks(g)
	t := grow(g, p.links(g, ev), marks)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	c := &Copper{plate: p, levels: g.levels, Nets: []Net{}, Joints: []Joint{}, Asked: []Answer{}}
	odds := p.weigh(g, t)
	nets := t.cut(func(i int32) bool { return odds[i] >= 0 })
	name := c.label(g, nets)
	c.nameJoints(marks)
	c.Doubtful = p.doubts(t, odds, nets, name, marks)
	return c, ctx.Err()
}

// paintLine visits pixels that part the plane along the segment: a line two
// pixels thick, so that nothing steps across it.
func paintLine(a, b geom.Point, visit func(x, y int)) {
	n := int(math.Ceil(4*a.Dist(b))) + 1
	for i := range n + 1 {
		q := a.Add(b.Sub(a).Scale(float64(i) / float64(n)))
		x, y := int(math.Floor(q.X)), int(math.Floor(q.Y))
		visit(x, y)
		visit(x+1, y)
		visit(x, y+1)
		visit(x+1, y+1)
	}
}

// links turns joins and measured continuity into evidence between basins. An
// end that touches no copper carries no evidence.
func (p *Plate) links(g *graph, ev Evidence) []link {
	var out []link
	add := func(a, b geom.Point, joined bool) {
		ends := shrunk([]geom.Point{a, b}, p.Scale)
		u, v := p.snap(g, ends[0]), p.snap(g, ends[1])
		if u >= 0 && v >= 0 && u != v {
			out = append(out, link{u, v, joined})
		}
	}
	for _, j := range ev.Joins {
		add(j.From, j.To, true)
	}
	for _, m := range ev.Measured {
		add(m.A, m.B, m.Joined)
	}
	return out
}

// snap is the basin of the nearest copper to a working place, -1 where none
// lies within reach.
func (p *Plate) snap(g *graph, at geom.Point) int32 {
	cx, cy := int(math.Round(at.X)), int(math.Round(at.Y))
	best, bestD := int32(-1), math.Inf(1)
	r := int(p.reach)
	for y := max(cy-r, 0); y <= min(cy+r, g.h-1); y++ {
		for x := max(cx-r, 0); x <= min(cx+r, g.w-1); x++ {
			d := math.Hypot(float64(x)-at.X, float64(y)-at.Y)
			i := y*g.w + x
			if d >= bestD || d > p.reach || g.levels[i] < cutLevel || !p.substantial(i) && !p.brushedOver(g, i) {
				continue
			}
			best, bestD = g.basinAt(i), d
		}
	}
	return best
}

// substantial reports whether working pixel i lay on a piece of copper that is
// more than a speck, before corrections.
func (p *Plate) substantial(i int) bool {
	b := p.graph.basinAt(i)
	return b >= 0 && p.nets.solid[p.nets.of[b]] >= p.speck()
}

// speck is the area in working pixels below which a piece that carries no
// joint is no net: three squares of a track's width.
func (p *Plate) speck() int32 { return int32(3 * p.stroke * p.stroke) }

// marks lists the basin of every joint, -1 for joints off the copper.
func (p *Plate) marks(g *graph) []int32 {
	out := make([]int32, len(p.joints))
	for i, j := range p.joints {
		out[i] = p.markAt(g, j)
	}
	return out
}

// markAt is the basin of a joint at a working place: that of the copper there
// or, in a hole or a reflection, of the nearest copper of the net that most
// rays from it meet first; a sliver beside the place is neither.
func (p *Plate) markAt(g *graph, at geom.Point) int32 {
	here := int(math.Round(at.Y))*g.w + int(math.Round(at.X))
	if p.onCopper(g, at) && (p.substantial(here) || p.brushedOver(g, here)) {
		return g.basinAt(here)
	}
	hits, near, nearD := map[int32]int{}, map[int32]int32{}, map[int32]float64{}
	best := int32(-1)
	for k := range rayCount {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / rayCount)
		i, r := p.firstMet(g, at, cos, sin)
		if i < 0 {
			continue
		}
		net := p.nets.of[p.graph.basinAt(i)]
		hits[net]++
		if d, known := nearD[net]; !known || r < d {
			near[net], nearD[net] = g.basinAt(i), r
		}
		if best < 0 || hits[net] > hits[best] || hits[net] == hits[best] && net < best {
			best = net
		}
	}
	if best < 0 {
		return p.snap(g, at)
	}
	return near[best]
}

// firstMet is the first pixel of copper that is more than a speck along a ray
// within reach, and how far it is; -1 for none.
func (p *Plate) firstMet(g *graph, from geom.Point, dx, dy float64) (int, float64) {
	for r := 1.0; r <= p.reach; r++ {
		q := geom.Point{X: from.X + r*dx, Y: from.Y + r*dy}
		if !p.onCopper(g, q) {
			continue
		}
		if i := int(math.Round(q.Y))*g.w + int(math.Round(q.X)); p.substantial(i) {
			return i, r
		}
	}
	return -1, 0
}

// onCopper reports whether the pixel at a working place is copper.
func (p *Plate) onCopper(g *graph, at geom.Point) bool {
	x, y := int(math.Round(at.X)), int(math.Round(at.Y))
	return x >= 0 && y >= 0 && x < g.w && y < g.h && g.levels[y*g.w+x] >= cutLevel
}
