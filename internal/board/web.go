package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Web is the nets as far as the photograph settles them: pieces of copper,
// each surely one conductor, and the places where two of them may be one. It
// does not change.
type Web struct{ web }

// Apart lists what the copper has to be told so that it falls into pieces at
// the doubtful places within its nets.
func Apart(c *copper.Copper) []copper.Continuity {
	var out []copper.Continuity
	for _, s := range sidesOf(c) {
		for _, a := range s[0] {
			for _, b := range s[1] {
				out = append(out, copper.Continuity{A: a, B: b})
			}
		}
	}
	return out
}

// sidesOf lists, for every doubtful place within a net, places on either side
// of it: those to probe there, and those that likelier places join to them.
// Copper names the nearest joint only, and what the doubtful place touches may
// be another piece of the same side.
func sidesOf(c *copper.Copper) map[int][2][]geom.Point {
	var order []int
	for i, d := range c.Doubtful {
		if d.Nets[0] == d.Nets[1] {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(c.Doubtful[j].ProbabilityJoined, c.Doubtful[i].ProbabilityJoined)
	})
	out := map[int][2][]geom.Point{}
	joined := map[geom.Point][]geom.Point{} // with what, so far
	for _, i := range order {
		var sides [2][]geom.Point
		for k, at := range c.Doubtful[i].Between {
			if sides[k] = joined[at]; sides[k] == nil {
				sides[k] = []geom.Point{at}
			}
		}
		out[i] = sides
		all := slices.Concat(sides[0], sides[1])
		for _, at := range all {
			joined[at] = all
		}
	}
	return out
}

// NewWeb reads the web off the copper as the photograph and the person's marks
// have it, before any continuity check. parted is the same copper with Apart as
// further evidence: its nets are the pieces.
func NewWeb(c, parted *copper.Copper) *Web { return &Web{*newWeb(c, parted)} }

// clone is the web for answers to add to.
func (w *Web) clone() *web {
	out := w.web
	out.pieces, out.bonds = slices.Clone(w.pieces), slices.Clone(w.bonds)
	for i := range out.pieces {
		out.pieces[i].probes = slices.Clone(out.pieces[i].probes)
	}
	return &out
}

// web is what a Web holds.
type web struct {
	c      *copper.Copper
	pieces []piece
	bonds  []bond
	of     []int32 // the piece of every working pixel, -1 for none
}

// piece is copper that is surely one conductor.
type piece struct {
	net    copper.NetID
	probes []int      // joints on it, by their number in the copper's list
	at     geom.Point // where a probe touches it that finds no joint; foil pixels
}

// bond is a place where two pieces may be one.
type bond struct {
	a, b  int
	p     float64 // that it is whole, before any check
	doubt int     // its number in the copper's list, -1 for one that only a meter knows of
}

// newWeb makes a piece of every net of the parted copper.
func newWeb(c, parted *copper.Copper) *web {
	w := &web{c: c, of: make([]int32, len(c.Labels.Of))}
	w.pieces = make([]piece, len(parted.Nets))
	for i, id := range parted.Labels.Of {
		w.of[i] = int32(id) - 1
		if id > 0 && w.pieces[id-1].net == 0 {
			w.pieces[id-1].net = c.Labels.Of[i]
		}
	}
	for i, j := range parted.Joints {
		if j.Net != nil {
			on := &w.pieces[*j.Net-1]
			on.probes = append(on.probes, i)
		}
	}
	sides := sidesOf(c)
	for i, d := range c.Doubtful {
		a, b := w.side(d, 0, sides[i]), w.side(d, 1, sides[i])
		if a >= 0 && b >= 0 && a != b {
			w.bonds = append(w.bonds, bond{a, b, inside(d.ProbabilityJoined), i})
			w.pieces[a].at, w.pieces[b].at = d.Between[0], d.Between[1]
		}
	}
	return w
}

// inside keeps a photograph's probability off the ends, where no meter could
// move it.
func inside(p float64) float64 { return math.Min(0.999, math.Max(0.001, p)) }

// side is the piece on one side of a doubtful place: the one that comes nearest
// to it of those that may be meant. within are the places known on either side
// where the doubtful place lies within a net.
func (w *web) side(d copper.Doubt, k int, within [2][]geom.Point) int {
	net := w.netAt(d.Between[k])
	will := func(p int) bool { return w.pieces[p].net == net }
	if d.Nets[0] == d.Nets[1] {
		will = w.pieceOfAny(within[k])
	}
	if near := w.nearest(geom.Point{X: d.X, Y: d.Y}, seekNear, will); near >= 0 {
		return near
	}
	return w.pieceAt(d.Between[k])
}

// pieceOfAny tells the pieces that one of the places is on.
func (w *web) pieceOfAny(places []geom.Point) func(int) bool {
	var on []int
	for _, at := range places {
		on = append(on, w.pieceAt(at))
	}
	return func(p int) bool { return slices.Contains(on, p) }
}

// Reach of a search for copper around a place, as shares of the photo's
// diagonal: where a doubtful place lies between two tracks, and where a probe
// was held that slipped beside its joint.
const (
	seekNear  = 0.006
	seekProbe = 0.012
)

func (w *web) netAt(at geom.Point) copper.NetID {
	if p := w.pieceAt(at); p >= 0 {
		return w.pieces[p].net
	}
	return 0
}

// pieceAt is the piece that a probe at a foil pixel touches, -1 for none.
func (w *web) pieceAt(at geom.Point) int {
	if j := w.jointAt(at); j >= 0 {
		if p := w.pieceOf(j); p >= 0 {
			return p
		}
	}
	return w.nearest(at, seekProbe, func(int) bool { return true })
}

// touching is how near to a joint a probe is held that touches it, in foil pixels.
const touching = 12.0

// jointAt is the joint that a probe touches, -1 for none.
func (w *web) jointAt(at geom.Point) int {
	best, bestD := -1, touching
	for i, j := range w.c.Joints {
		if d := at.Dist(geom.Point{X: j.X, Y: j.Y}); d < bestD {
			best, bestD = i, d
		}
	}
	return best
}

func (w *web) pieceOf(joint int) int {
	return slices.IndexFunc(w.pieces, func(p piece) bool { return slices.Contains(p.probes, joint) })
}

func (w *web) joint(i int) geom.Point { return geom.Point{X: w.c.Joints[i].X, Y: w.c.Joints[i].Y} }

// nearest looks around a foil pixel for a piece that will do, -1 for none.
func (w *web) nearest(at geom.Point, share float64, will func(piece int) bool) int {
	l := w.c.Labels
	k := float64(l.Scale)
	cx, cy := (at.X+0.5)/k-0.5, (at.Y+0.5)/k-0.5
	r := math.Max(3, share*math.Hypot(float64(l.W), float64(l.H)))
	best, bestD := -1, r
	for y := max(0, int(cy-r)); y <= min(l.H-1, int(cy+r)+1); y++ {
		for x := max(0, int(cx-r)); x <= min(l.W-1, int(cx+r)+1); x++ {
			d := math.Hypot(float64(x)-cx, float64(y)-cy)
			if p := int(w.of[y*l.W+x]); p >= 0 && d < bestD && will(p) {
				best, bestD = p, d
			}
		}
	}
	return best
}
