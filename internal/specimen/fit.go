package specimen

import (
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// placement is one part being placed: a body with leads at grid places.
type placement struct {
	part  Part
	foot  footprint
	at    geom.Point // mm, of the first lead
	turn  int        // quarter turns
	nets  []int      // number of each lead's net
	held  bool       // placed by hand
	room  float64    // mm kept around the leads for their pads
	rooms [4][2]geom.Point
}

// lead returns the place of lead i.
func (p *placement) lead(i int) geom.Point {
	return p.at.Add(quarter(p.foot.leads[i].Scale(pitch), p.turn))
}

// box is the room the part needs.
func (p *placement) box() (lo, hi geom.Point) {
	r := p.rooms[p.turn&3]
	return p.at.Add(r[0]), p.at.Add(r[1])
}

// measure notes the part's rooms around its first lead, by quarter turns.
func (p *placement) measure() {
	lo, hi := bounds(p.foot.leads)
	e := geom.Point{X: math.Max(p.foot.end, p.room), Y: math.Max(p.foot.side, p.room)}
	lo, hi = lo.Scale(pitch).Sub(e), hi.Scale(pitch).Add(e)
	for k := range p.rooms {
		p.rooms[k][0], p.rooms[k][1] = bounds([]geom.Point{quarter(lo, k), quarter(hi, k)})
	}
}

func quarter(p geom.Point, turns int) geom.Point {
	for range turns & 3 {
		p = geom.Point{X: -p.Y, Y: p.X}
	}
	return p
}

// table is the board on which parts are being placed.
type table struct {
	size   geom.Point
	margin float64 // from lead or body to the edge
	parts  []*placement
	keep   []Mount // keep clear of these
	r      *rand.Rand
	names  []string       // nets, in order of first use
	index  map[string]int // net → its number
	nets   [][]pinRef     // by number
	trees  [][]edge       // by number
}

type pinRef struct{ part, lead int }

type edge struct{ a, b geom.Point }

// free reports whether part k stands on the board and on nobody's room.
func (t *table) free(k int) bool {
	lo, hi := t.parts[k].box()
	m := t.margin
	if t.parts[k].foot.edge {
		m *= 0.6
	}
	if lo.X < m || lo.Y < m || hi.X > t.size.X-m || hi.Y > t.size.Y-m {
		return false
	}
	for _, q := range t.keep {
		e := q.Hole/2 + 1.2
		if q.At.X > lo.X-e && q.At.X < hi.X+e && q.At.Y > lo.Y-e && q.At.Y < hi.Y+e {
			return false
		}
	}
	for j, o := range t.parts {
		if j == k {
			continue
		}
		a, b := o.box()
		if lo.X < b.X && hi.X > a.X && lo.Y < b.Y && hi.Y > a.Y {
			return false
		}
	}
	return true
}

// spot returns a random place on the grid.
func (t *table) spot() geom.Point {
	nx, ny := int(t.size.X/gridHalf)-2, int(t.size.Y/gridHalf)-2
	return geom.Point{X: float64(1+t.r.IntN(nx)) * gridHalf, Y: float64(1+t.r.IntN(ny)) * gridHalf}
}

const gridHalf = pitch / 2

// scatter finds a first place for every part, bodies that need most room first.
func (t *table) scatter(order []int) bool {
	for _, p := range t.parts {
		if !p.held {
			p.at = geom.Point{X: -1000, Y: -1000}
		}
	}
	for _, k := range order {
		p := t.parts[k]
		if p.held {
			continue
		}
		ok := false
		for try := 0; try < 4000 && !ok; try++ {
			p.at, p.turn = t.spot(), t.r.IntN(4)
			ok = t.free(k)
		}
		if !ok {
			return false
		}
	}
	return true
}

// spanning is a shortest tree over the leads of a net.
func (t *table) spanning(net int) []edge {
	pins := t.nets[net]
	if len(pins) < 2 {
		return nil
	}
	at := make([]geom.Point, len(pins))
	for i, p := range pins {
		at[i] = t.parts[p.part].lead(p.lead)
	}
	best := make([]float64, len(at))
	from := make([]int, len(at))
	for i := range at {
		best[i] = at[i].Dist(at[0])
	}
	var out []edge
	done := make([]bool, len(at))
	done[0] = true
	for range len(at) - 1 {
		k := -1
		for i := range at {
			if !done[i] && (k < 0 || best[i] < best[k]) {
				k = i
			}
		}
		done[k] = true
		out = append(out, edge{at[from[k]], at[k]})
		for i := range at {
			if d := at[i].Dist(at[k]); d < best[i] {
				best[i], from[i] = d, k
			}
		}
	}
	return out
}

// Costs of a placement in mm of track: a crossing will cost a detour or a link.
const (
	crossingCost = 14.0
	edgeCost     = 2.0 // per mm that a wire's pad stands inside
)

// cost of the nets in touched, which names each once.
func (t *table) cost(touched []int) float64 {
	sum := 0.0
	for _, n := range touched {
		for _, e := range t.trees[n] {
			sum += abs(e.a.X-e.b.X) + abs(e.a.Y-e.b.Y)
		}
		for m, o := range t.trees {
			if m == n {
				continue
			}
			c := float64(crossingsOf(t.trees[n], o)) * crossingCost
			if slices.Contains(touched, m) {
				c /= 2
			}
			sum += c
		}
	}
	return sum
}

func crossingsOf(a, b []edge) int {
	n := 0
	for _, e := range a {
		for _, f := range b {
			if segmentsCross(e.a, e.b, f.a, f.b) {
				n++
			}
		}
	}
	return n
}

// edgeDistance is how far an edge part stands from the nearest edge.
func (t *table) edgeDistance(p *placement) float64 {
	if !p.foot.edge {
		return 0
	}
	worst := 0.0
	for i := range p.foot.leads {
		q := p.lead(i)
		worst = math.Max(worst, min(q.X, q.Y, t.size.X-q.X, t.size.Y-q.Y))
	}
	return worst * edgeCost
}

// anneal moves, turns and swaps parts until the nets are short and seldom cross.
func (t *table) anneal(moves int) {
	for n := range t.nets {
		t.trees[n] = t.spanning(n)
	}
	for m := range moves {
		heat := 40 * math.Pow(1-float64(m)/float64(moves), 2)
		i := t.r.IntN(len(t.parts))
		j := i
		if t.r.Float64() < 0.3 {
			j = t.r.IntN(len(t.parts))
		}
		if !t.parts[i].held && !t.parts[j].held {
			t.try(i, j, heat, float64(m)/float64(moves))
		}
	}
}

// try moves part i, or swaps it with j, and takes that back where it is worse.
func (t *table) try(i, j int, heat, late float64) {
	a, b := t.parts[i], t.parts[j]
	touched := slices.Compact(slices.Sorted(slices.Values(append(slices.Clone(a.nets), b.nets...))))
	old := [2]placement{*a, *b}
	t.move(a, b, late)
	if !t.free(i) || !t.free(j) {
		*a, *b = old[0], old[1]
		return
	}
	after := [2]placement{*a, *b}
	*a, *b = old[0], old[1]
	before := t.cost(touched) + t.edgeDistance(a) + t.edgeDistance(b)
	*a, *b = after[0], after[1]
	kept := make([][]edge, len(touched))
	for k, n := range touched {
		kept[k] = t.trees[n]
		t.trees[n] = t.spanning(n)
	}
	gain := before - t.cost(touched) - t.edgeDistance(a) - t.edgeDistance(b)
	if gain >= 0 || t.r.Float64() < math.Exp(gain/max(heat, 1e-9)) {
		return
	}
	for k, n := range touched {
		t.trees[n] = kept[k]
	}
	*a, *b = old[0], old[1]
}

// move changes the places of a and b at random; a single part where they are one.
func (t *table) move(a, b *placement, late float64) {
	switch {
	case a != b:
		a.at, b.at = b.at, a.at
		a.turn, b.turn = t.r.IntN(4), t.r.IntN(4)
	case t.r.Float64() < 0.25:
		a.turn = t.r.IntN(4)
	case t.r.Float64() < late:
		a.at = a.at.Add(geom.Point{X: float64(t.r.IntN(7)-3) * gridHalf, Y: float64(t.r.IntN(7)-3) * gridHalf})
	default:
		a.at, a.turn = t.spot(), t.r.IntN(4)
	}
}
