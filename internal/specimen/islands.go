package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// island is one connected piece of copper, solder included.
type island struct {
	net   string
	label uint16 // 1 and up
}

// wireUp renames the nets of tracks, areas and pads to islands: pieces of the
// same net that don't touch get labels of their own. It returns a copy of the
// board whose Net fields are island names, the islands, and their labels.
func wireUp(b *Board) (Board, []island, map[string]uint16) {
	shapes := shapesOf(b)
	group := joinTouching(shapes)
	c := *b
	c.Tracks = append([]Track(nil), b.Tracks...)
	c.Areas = append([]Area(nil), b.Areas...)
	c.Pads = append([]Pad(nil), b.Pads...)
	var islands []island
	names := map[int]string{}
	labels := map[string]uint16{}
	for i, s := range shapes {
		root := group.find(i)
		if names[root] == "" {
			label := uint16(len(islands) + 1)
			names[root] = islandName(label)
			labels[names[root]] = label
			islands = append(islands, island{s.net, label})
		}
		*s.rename(&c) = names[root]
	}
	c.Drops = append([]Drop(nil), b.Drops...)
	for i := range c.Drops {
		c.Drops[i].Net = copperUnder(&c, b, c.Drops[i])
	}
	return c, islands, labels
}

// copperUnder is the island on whose track a drop lies.
func copperUnder(wired, b *Board, d Drop) string {
	best, name := math.Inf(1), ""
	spot := stroke{a: d.At, b: d.At}
	for i, t := range b.Tracks {
		if t.Net != d.Net {
			continue
		}
		t.each(func(p, q geom.Point, wp, wq float64) {
			if g := (stroke{p, q, wp, wq}).gap(spot); g < best {
				best, name = g, wired.Tracks[i].Net
			}
		})
	}
	return name
}

func islandName(label uint16) string {
	return string([]rune{rune('A' + label/26), rune('a' + label%26)})
}

// shape is one piece of copper as a set of straight strokes.
type shape struct {
	net      string
	strokes  []stroke
	contours [][]geom.Point
	rename   func(*Board) *string
}

// stroke is a segment with round ends.
type stroke struct {
	a, b   geom.Point
	wa, wb float64
}

func shapesOf(b *Board) []shape {
	var out []shape
	for i, t := range b.Tracks {
		s := shape{net: t.Net, rename: func(c *Board) *string { return &c.Tracks[i].Net }}
		t.each(func(p, q geom.Point, wp, wq float64) { s.strokes = append(s.strokes, stroke{p, q, wp, wq}) })
		out = append(out, s)
	}
	for i, p := range b.Pads {
		a, e := p.ends()
		out = append(out, shape{net: p.Net, strokes: []stroke{{a, e, p.Diameter, p.Diameter}},
			rename: func(c *Board) *string { return &c.Pads[i].Net }})
	}
	for i, a := range b.Areas {
		out = append(out, shape{net: a.Net, contours: a.contours(),
			rename: func(c *Board) *string { return &c.Areas[i].Net }})
	}
	return out
}

// near reports whether the boxes of two shapes are within d of each other.
func (s shape) near(o shape, d float64) bool {
	a, b := s.box()
	c, e := o.box()
	return a.X < e.X+d && c.X < b.X+d && a.Y < e.Y+d && c.Y < b.Y+d
}

func (s shape) box() (lo, hi geom.Point) {
	lo = geom.Point{X: math.Inf(1), Y: math.Inf(1)}
	hi = lo.Scale(-1)
	for _, k := range s.strokes {
		r := max(k.wa, k.wb) / 2
		lo = geom.Point{X: min(lo.X, k.a.X-r, k.b.X-r), Y: min(lo.Y, k.a.Y-r, k.b.Y-r)}
		hi = geom.Point{X: max(hi.X, k.a.X+r, k.b.X+r), Y: max(hi.Y, k.a.Y+r, k.b.Y+r)}
	}
	for _, c := range s.contours {
		a, b := bounds(c)
		lo = geom.Point{X: min(lo.X, a.X), Y: min(lo.Y, a.Y)}
		hi = geom.Point{X: max(hi.X, b.X), Y: max(hi.Y, b.Y)}
	}
	return lo, hi
}

// gap is the smallest distance between two shapes, 0 where they touch.
func (s shape) gap(o shape) float64 {
	best := math.Inf(1)
	for _, p := range s.all() {
		for _, q := range o.all() {
			best = math.Min(best, p.gap(q))
		}
	}
	if s.holds(o) || o.holds(s) {
		return 0
	}
	return math.Max(0, best)
}

// all returns the strokes; those of an area are its edges without width.
func (s shape) all() []stroke {
	out := s.strokes
	for _, c := range s.contours {
		for i, p := range c {
			out = append(out, stroke{a: p, b: c[(i+1)%len(c)]})
		}
	}
	return out
}

func (s shape) holds(o shape) bool {
	return s.contours != nil && inside(s.contours, o.all()[0].a)
}

// inside reports whether p is within the contours (even-odd).
func inside(contours [][]geom.Point, p geom.Point) bool {
	in := false
	for _, c := range contours {
		for i, a := range c {
			b := c[(i+1)%len(c)]
			if (a.Y <= p.Y) != (b.Y <= p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}

// gap between two strokes; tapered ones count with their greater width where
// the nearest points are not ends.
func (s stroke) gap(o stroke) float64 {
	if segmentsCross(s.a, s.b, o.a, o.b) {
		return 0
	}
	best := math.Inf(1)
	ends := func(p geom.Point, w float64, q stroke) {
		t, d := along(q.a, q.b, p)
		best = math.Min(best, d-w/2-(q.wa+t*(q.wb-q.wa))/2)
	}
	ends(s.a, s.wa, o)
	ends(s.b, s.wb, o)
	ends(o.a, o.wa, s)
	ends(o.b, o.wb, s)
	return best
}

func segmentsCross(a, b, c, d geom.Point) bool {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) ||
		max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return false
	}
	side := func(p, q, r geom.Point) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// union-find over shape numbers.
type groups []int

func (g groups) find(i int) int {
	for g[i] != i {
		g[i] = g[g[i]]
		i = g[i]
	}
	return i
}

// unite puts i and j in one group, named by its first member.
func (g groups) unite(i, j int) {
	i, j = g.find(i), g.find(j)
	g[max(i, j)] = min(i, j)
}

func joinTouching(shapes []shape) groups {
	g := make(groups, len(shapes))
	for i := range g {
		g[i] = i
	}
	for i := range shapes {
		for j := range i {
			if shapes[i].net == shapes[j].net && g.find(i) != g.find(j) && shapes[i].near(shapes[j], 0.01) && shapes[i].gap(shapes[j]) <= 0 {
				g.unite(i, j)
			}
		}
	}
	return g
}
