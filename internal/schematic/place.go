package schematic

import (
	"slices"

	"foilside/internal/circuit"
)

// item is a part to place: the ways to draw it, and what pulls it where.
type item struct {
	part   circuit.Part
	shapes []shape
	nets   []int   // the nets to route that it is on, each once
	stage  float64 // where along the signal it belongs, in grid steps
	after  []order // parts that belong further right
	before []order // parts that belong further left
	pairs  []int   // the pairs that it is in
	mirror []int   // for each shape, the one that is its mirror image
	back   bool    // it leads back along the signal
}

// order says that another part belongs on the far side.
type order struct {
	item   int
	weight float64
}

// terminal is a lead of an item on a net that is routed.
type terminal struct{ item, pin int }

// span is a straight piece of an estimated wire; lo ≤ hi.
type span struct {
	vertical   bool
	at, lo, hi int
}

// layout is a placement under way, with the cost of each of its pieces kept
// up to date.
type layout struct {
	view  *netView
	items []item
	pairs []pair
	terms [][]terminal // by net; empty for rails and lone leads
	pos   []cell
	turn  []int // index into the item's shapes
	spans [][]span
	reach []rect    // about each net's spans
	world []rect    // about each item where it stands
	wire  []float64 // cost of each net's own length and bends
	depth float64   // rows between supply and common
	w     weights
	lost  []bool   // items that have no place yet; nil: all have one
	wired []int    // the nets that are routed
	ends  []ending // scratch: of the net under estimation
	inSet []bool   // scratch: nets of the set under evaluation
	mates []bool   // scratch: items of the set under evaluation
}

// weights turn dislikes into grid steps of wire. They are tuned by eye on the
// circuits of the tests; docs/drawing.md tells what for.
type weights struct {
	bend, crossing, through, alongside float64
	overlap, overlapArea               float64
	level, rail, stage, order          float64
}

func customaryWeights() weights {
	return weights{
		bend: 1.6, crossing: 5, through: 7, alongside: 3,
		overlap: 25, overlapArea: 1.5,
		level: 0.12, rail: 0.35, stage: 0.06, order: 1.2,
	}
}

func (l *layout) shape(i int) *shape { return &l.items[i].shapes[l.turn[i]] }

// end is where a terminal's wire begins: one step out of the lead.
func (l *layout) end(t terminal) (at cell, out Side) {
	p := l.shape(t.item).pins[t.pin]
	return l.pos[t.item].add(p.at).add(p.out.step()), p.out
}

// newLayout gathers the items of a circuit. spread widens the distances that
// the pulls aim at.
func newLayout(c *circuit.Circuit, s *shaper) (*layout, error) {
	l := &layout{view: s.view, w: customaryWeights(), terms: make([][]terminal, len(s.view.nets))}
	stage := s.view.stages(c)
	for i, p := range c.Parts {
		shapes, err := s.shapes(p)
		if err != nil {
			return nil, err
		}
		l.items = append(l.items, item{part: p, shapes: shapes, stage: stage[i] * stageWidth, mirror: mirrors(shapes), back: s.view.back[p.Ref]})
		for k, n := range shapes[0].pins {
			if !n.rail && s.view.joins(n.net) {
				l.terms[n.net] = append(l.terms[n.net], terminal{i, k})
			}
		}
	}
	for net, ts := range l.terms {
		for _, t := range ts {
			if it := &l.items[t.item]; len(it.nets) == 0 || it.nets[len(it.nets)-1] != net {
				it.nets = append(it.nets, net)
			}
		}
	}
	for net, ts := range l.terms {
		if len(ts) > 1 {
			l.wired = append(l.wired, net)
		}
	}
	l.pairs = findPairs(c, s.view)
	for _, p := range slices.Clone(l.pairs) {
		l.pairs = append(l.pairs, findMates(c, s.view, p)...)
	}
	l.pairs = append(l.pairs, findRows(c, s.view)...)
	for k, p := range l.pairs {
		for _, i := range []int{p.left, p.right} {
			l.items[i].pairs = append(l.items[i].pairs, k)
			for j := range l.items[i].shapes {
				if sh := &l.items[i].shapes[j]; sh.orient.Mirror && !p.over && !p.mates {
					sh.cost -= mirrorCost(c.Parts[i].Kind) // the pair decides
				}
			}
		}
	}
	l.setOrders()
	l.depth = l.rows()
	return l, nil
}

// fork is a layout of the same items with places of its own.
func (l *layout) fork() *layout {
	f := *l
	f.ends = nil
	f.pos = make([]cell, len(l.items))
	f.turn = make([]int, len(l.items))
	f.world = make([]rect, len(l.items))
	f.mates = make([]bool, len(l.items))
	f.spans = make([][]span, len(l.terms))
	f.wire = make([]float64, len(l.terms))
	f.reach = make([]rect, len(l.terms))
	f.inSet = make([]bool, len(l.terms))
	return &f
}

// mirrors finds for each shape the one turned round left to right; a shape
// without one stands for itself.
func mirrors(shapes []shape) []int {
	out := make([]int, len(shapes))
	for i, s := range shapes {
		out[i] = i
		want := Orient{Mirror: !s.orient.Mirror, Quarters: (4 - s.orient.Quarters) & 3}
		for j, t := range shapes {
			if t.orient == want && t.variant == s.variant {
				out[i] = j
				break
			}
		}
	}
	return out
}

// stageWidth is how many grid steps one stage of signal takes.
const stageWidth = 13

// setOrders finds the pairs on a common net of which one clearly comes later
// along the signal.
func (l *layout) setOrders() {
	for _, ts := range l.terms {
		if len(ts) > 8 {
			continue
		}
		for _, a := range ts {
			for _, b := range ts {
				if d := l.items[b.item].stage - l.items[a.item].stage; a.item != b.item && d > 0.25*stageWidth {
					w := min(1.6*d/stageWidth, 1)
					l.items[a.item].after = append(l.items[a.item].after, order{b.item, w})
					l.items[b.item].before = append(l.items[b.item].before, order{a.item, w})
				}
			}
		}
	}
}

// rows estimates how deep the drawing gets: parts stand about seven rows
// apart, and as many hang in a chain as the levels between the rails show.
func (l *layout) rows() float64 {
	levels := map[int]bool{}
	for i, ts := range l.terms {
		if len(ts) > 0 {
			levels[int(l.view.level[i]*8)] = true
		}
	}
	n := float64(min(max(len(levels), 2), 5))
	return 5 * n
}

// start puts every part at its stage and level, apart enough to begin with.
func (l *layout) start() {
	for i := range l.items {
		it := &l.items[i]
		sum, n := 0.0, 0.0
		for _, p := range it.shapes[0].pins {
			sum += 1 - l.view.level[p.net]
			n++
		}
		y := 0.5
		if n > 0 {
			y = sum / n
		}
		l.pos[i] = cell{int(it.stage), int(y * l.depth)}
		l.turn[i] = 0
		for k := range it.shapes {
			if it.shapes[k].cost < it.shapes[l.turn[i]].cost {
				l.turn[i] = k
			}
		}
	}
	l.refreshAll()
}

// refreshAll brings up to date what follows from places and turns.
func (l *layout) refreshAll() {
	for i := range l.items {
		l.stand(i)
	}
	for net := range l.terms {
		l.estimate(net)
	}
}

// stand brings up to date the room that an item takes.
func (l *layout) stand(i int) { l.world[i] = l.shape(i).hull.move(l.pos[i]) }
