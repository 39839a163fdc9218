package copper

import (
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// correct returns the graph with the brush strokes painted in, and then the
// cuts.
func (p *Plate) correct(ev Evidence) *graph {
	if len(ev.Cuts) == 0 && len(ev.Strokes) == 0 {
		return p.graph
	}
	g := p.graph.clone()
	k := knife{g: g, changed: map[int]bool{}, reach: p.reach}
	p.brush(g, ev.Strokes, k.changed)
	for _, c := range ev.Cuts {
		ends := shrunk([]geom.Point{c.From, c.To}, p.Scale)
		k.cut(ends[0], ends[1])
	}
	g.reflood(k.changed)
	return g
}

// knife lowers levels along lines.
type knife struct {
	g       *graph
	changed map[int]bool // tiles that must be flooded anew
	reach   float64
}

// cut parts the copper along the segment from a to b. Where both ends lie on
// copper and the line ran along a bridge between them instead of across it,
// the bridge is cut through at its weakest place on that line.
func (k *knife) cut(a, b geom.Point) {
	between := k.copperAt(a) && k.copperAt(b)
	beside := k.local(a, b)
	weakest, across := k.weakest(a, b), b.Sub(a)
	paintLine(a, b, k.lower)
	if !between || a == b || beside.parted(k, a, b) {
		return
	}
	k.through(weakest, across.Scale(1/across.Norm()))
}

func (k *knife) inside(x, y int) bool { return x >= 0 && y >= 0 && x < k.g.w && y < k.g.h }

func (k *knife) level(x, y int) uint8 {
	if !k.inside(x, y) {
		return 0
	}
	return k.g.levels[y*k.g.w+x]
}

func (k *knife) copperAt(p geom.Point) bool {
	return k.level(int(math.Round(p.X)), int(math.Round(p.Y))) >= cutLevel
}

func (k *knife) lower(x, y int) {
	if k.inside(x, y) {
		k.g.levels[y*k.g.w+x] = 0
		k.changed[y/tileSide*k.g.tw+x/tileSide] = true
	}
}

// weakest is the place on the segment where the level is lowest; of several,
// the one nearest to the middle.
func (k *knife) weakest(a, b geom.Point) geom.Point {
	n := int(math.Ceil(2*a.Dist(b))) + 1
	best, bestLevel, bestOff := a, 256, math.Inf(1)
	for i := range n + 1 {
		t := float64(i) / float64(n)
		q := a.Add(b.Sub(a).Scale(t))
		level, off := int(k.level(int(math.Round(q.X)), int(math.Round(q.Y)))), math.Abs(t-0.5)
		if level < bestLevel || level == bestLevel && off < bestOff {
			best, bestLevel, bestOff = q, level, off
		}
	}
	return best
}

// through cuts from a place to bare board on both sides, at right angles to
// the direction along.
func (k *knife) through(at, along geom.Point) {
	for _, side := range []geom.Point{{X: -along.Y, Y: along.X}, {X: along.Y, Y: -along.X}} {
		end := at
		for r := 0.0; r <= k.reach; r++ {
			end = at.Add(side.Scale(r))
			// The first cut already lowered what lies within two pixels.
			if r > 3 && !k.copperAt(end) {
				break
			}
		}
		paintLine(at, end, k.lower)
	}
}

// banks are the copper pieces on the two sides of a line before it was cut.
type banks struct{ left, right geom.Point }

// local finds copper on either side of the segment's middle.
func (k *knife) local(a, b geom.Point) banks {
	mid := a.Add(b).Scale(0.5)
	n := geom.Point{X: a.Y - b.Y, Y: b.X - a.X}
	if l := n.Norm(); l > 0 {
		n = n.Scale(1 / l)
	}
	return banks{k.firstCopper(mid, n), k.firstCopper(mid, n.Scale(-1))}
}

// firstCopper looks from a place, beyond what a cut lowers, for copper.
func (k *knife) firstCopper(from, towards geom.Point) geom.Point {
	for r := 3.0; r <= k.reach; r++ {
		if q := from.Add(towards.Scale(r)); k.copperAt(q) {
			return q
		}
	}
	return from
}

// parted reports whether the cut from a to b separated its banks, as far as
// can be seen within reach of it.
func (s banks) parted(k *knife, a, b geom.Point) bool {
	if !k.copperAt(s.left) || !k.copperAt(s.right) {
		return false
	}
	x0, x1 := int(math.Min(a.X, b.X)-k.reach)-2, int(math.Max(a.X, b.X)+k.reach)+2
	y0, y1 := int(math.Min(a.Y, b.Y)-k.reach)-2, int(math.Max(a.Y, b.Y)+k.reach)+2
	m := raster.NewMask(x1-x0+1, y1-y0+1)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if k.level(x, y) >= cutLevel {
				m.Pix[(y-y0)*m.W+x-x0] = 1
			}
		}
	}
	pieces := raster.Components(m, false)
	at := func(p geom.Point) int32 {
		return pieces.Of[(int(math.Round(p.Y))-y0)*m.W+int(math.Round(p.X))-x0]
	}
	return at(s.left) != at(s.right)
}
