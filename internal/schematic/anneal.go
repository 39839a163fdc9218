package schematic

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// local is the cost of everything that the items of the set take part in.
func (l *layout) local(set []int) float64 {
	cost := 0.0
	var nets [32]int
	touched := nets[:0]
	for _, i := range set {
		l.mates[i] = true
		for _, n := range l.items[i].nets {
			if !l.inSet[n] {
				l.inSet[n] = true
				touched = append(touched, n)
			}
		}
	}
	for _, n := range touched {
		cost += l.wire[n]
		reach := l.reach[n]
		for _, m := range l.wired {
			if reach.meets(l.reach[m]) && m != n && (!l.inSet[m] || m > n) {
				cost += l.clash(n, m)
			}
		}
		for i, w := range l.world {
			if reach.meets(w) && !l.mates[i] {
				cost += l.hits(n, i)
			}
		}
	}
	for _, i := range set {
		cost += l.itemCost(i)
	}
	for _, n := range touched {
		l.inSet[n] = false
	}
	for _, i := range set {
		l.mates[i] = false
	}
	return cost
}

// itemCost is an item's share: its stance, its neighbours, every wire that
// runs through it. Pairs within the set count once.
func (l *layout) itemCost(i int) float64 {
	cost := l.own(i)
	hull := l.world[i]
	room := hull.grow(1)
	for j, w := range l.world {
		if room.meets(w) && j != i && (!l.mates[j] || j > i) {
			cost += l.overlap(i, j)
		}
	}
	for _, m := range l.wired {
		if hull.meets(l.reach[m]) {
			cost += l.hits(m, i)
		}
	}
	for _, k := range l.items[i].pairs {
		p := l.pairs[k]
		if other := p.left + p.right - i; !l.mates[other] || other > i {
			cost += l.pairCost(p)
		}
	}
	for _, o := range l.items[i].after {
		if !l.mates[o.item] || o.item > i {
			cost += l.pairOrder(i, o.item, o.weight)
		}
	}
	for _, o := range l.items[i].before {
		if !l.mates[o.item] || o.item > i {
			cost += l.pairOrder(o.item, i, o.weight)
		}
	}
	return cost
}

// undo is one change of a few items, that can be taken back.
type undo struct {
	set  []int
	pos  []cell
	turn []int
}

func (l *layout) remember(set []int) undo {
	t := undo{set: set}
	for _, i := range set {
		t.pos, t.turn = append(t.pos, l.pos[i]), append(t.turn, l.turn[i])
	}
	return t
}

func (l *layout) restore(t undo) {
	for k, i := range t.set {
		l.pos[i], l.turn[i] = t.pos[k], t.turn[k]
	}
	l.refresh(t.set)
}

// refresh estimates the nets of the items anew.
func (l *layout) refresh(set []int) {
	for _, i := range set {
		l.stand(i)
		for _, n := range l.items[i].nets {
			l.estimate(n)
		}
	}
}

// anneal improves the placement by random changes, accepting worse ones less
// and less. The same seed gives the same placement.
func (l *layout) anneal(ctx context.Context, seed uint64, moves int, hot float64) error {
	rng := rand.New(rand.NewPCG(1, seed))
	n := len(l.items)
	if n == 0 {
		return nil
	}
	const cold = 0.15
	for k := range moves {
		if k%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		heat := hot * math.Pow(cold/hot, float64(k)/float64(moves))
		reach := 1 + int(12*heat/hot)
		set := l.pick(rng)
		before := l.local(set)
		t := l.remember(set)
		l.change(rng, set, reach)
		l.refresh(set)
		if d := l.local(set) - before; d > 0 && rng.Float64() >= math.Exp(-d/heat) {
			l.restore(t)
		}
	}
	return nil
}

// pick chooses the items to change: mostly one, at times its pair, a neighbour
// or a whole cluster.
func (l *layout) pick(rng *rand.Rand) []int {
	a := rng.IntN(len(l.items))
	if ps := l.items[a].pairs; len(ps) > 0 && rng.IntN(3) == 0 {
		p := l.pairs[ps[rng.IntN(len(ps))]]
		return []int{a, p.left + p.right - a}
	}
	switch rng.IntN(10) {
	case 0:
		if b := rng.IntN(len(l.items)); b != a {
			return []int{a, b}
		}
	case 1:
		return l.cluster(rng, a, 2)
	case 2:
		return l.cluster(rng, a, 2+rng.IntN(6))
	}
	return []int{a}
}

// cluster gathers up to n items that wires join, from a outward at random.
func (l *layout) cluster(rng *rand.Rand, a, n int) []int {
	set := []int{a}
	for tries := 0; len(set) < n && tries < 3*n; tries++ {
		nets := l.items[set[rng.IntN(len(set))]].nets
		if len(nets) == 0 {
			break
		}
		ts := l.terms[nets[rng.IntN(len(nets))]]
		if b := ts[rng.IntN(len(ts))].item; !slices.Contains(set, b) {
			set = append(set, b)
		}
	}
	return set
}

// change moves, turns, exchanges or lines up the items.
func (l *layout) change(rng *rand.Rand, set []int, reach int) {
	a := set[0]
	if len(set) > 1 {
		switch {
		case len(set) == 2 && rng.IntN(3) == 0:
			b := set[1]
			l.pos[a], l.pos[b] = l.pos[b], l.pos[a]
		case rng.IntN(4) == 0:
			l.reflect(set)
		default:
			d := cell{rng.IntN(2*reach+1) - reach, rng.IntN(2*reach+1) - reach}
			for _, i := range set {
				l.pos[i] = l.pos[i].add(d)
			}
		}
		return
	}
	switch rng.IntN(6) {
	case 0:
		l.turn[a] = rng.IntN(len(l.items[a].shapes))
	case 1, 2:
		l.lineUp(rng, a)
	case 3:
		if rng.IntN(2) == 0 {
			l.pos[a].x += rng.IntN(2*reach+1) - reach
		} else {
			l.pos[a].y += rng.IntN(2*reach+1) - reach
		}
	default:
		l.pos[a] = l.pos[a].add(cell{rng.IntN(2*reach+1) - reach, rng.IntN(2*reach+1) - reach})
	}
}

// reflect turns a cluster round left to right, about its middle.
func (l *layout) reflect(set []int) {
	lo, hi := l.pos[set[0]].x, l.pos[set[0]].x
	for _, i := range set {
		lo, hi = min(lo, l.pos[i].x), max(hi, l.pos[i].x)
	}
	for _, i := range set {
		l.pos[i].x = lo + hi - l.pos[i].x
		l.turn[i] = l.items[i].mirror[l.turn[i]]
	}
}

// lineUp moves an item so that one of its leads lies straight before, above or
// below another lead of the same net, perhaps turning it on the way.
func (l *layout) lineUp(rng *rand.Rand, a int) {
	it := &l.items[a]
	if rng.IntN(3) == 0 {
		l.turn[a] = rng.IntN(len(it.shapes))
	}
	if len(it.nets) == 0 {
		return
	}
	ts := l.terms[it.nets[rng.IntN(len(it.nets))]]
	mine, other := ts[rng.IntN(len(ts))], ts[rng.IntN(len(ts))]
	for k := range ts { // one of ours, whichever comes first
		if ts[k].item == a {
			mine = ts[k]
			break
		}
	}
	if other.item == a || mine.item != a {
		return
	}
	at, out := l.end(other)
	p := l.shape(a).pins[mine.pin]
	place := at.add(out.step().times(rng.IntN(4))) // straight before it
	if rng.IntN(2) == 0 {
		if rng.IntN(2) == 0 { // or on its line anywhere near where we are
			place = cell{l.pos[a].x + p.at.x + p.out.step().x, at.y}
		} else {
			place = cell{at.x, l.pos[a].y + p.at.y + p.out.step().y}
		}
	}
	e := p.at.add(p.out.step())
	l.pos[a] = cell{place.x - e.x, place.y - e.y}
}

// settle moves items out of each other's way for good: each that overlaps
// goes to the cheapest free place near by, further off if need be.
func (l *layout) settle() {
	for round := 0; round < 6; round++ {
		moved := false
		for i := range l.items {
			if l.overlapping(i) {
				l.evade(i)
				moved = true
			}
		}
		if !moved {
			return
		}
	}
}

// crowded tells whether any two items overlap.
func (l *layout) crowded() bool {
	for i := range l.items {
		if l.overlapping(i) {
			return true
		}
	}
	return false
}

// spread moves all parts apart by a third, and those apart that still overlap.
func (l *layout) spread() {
	for i := range l.pos {
		l.pos[i] = cell{l.pos[i].x * 4 / 3, l.pos[i].y * 4 / 3}
	}
	l.refreshAll()
	l.settle()
}

func (l *layout) overlapping(i int) bool {
	room := l.world[i].grow(1)
	for j, w := range l.world {
		if j != i && room.meets(w) && l.overlap(i, j) > 0 {
			return true
		}
	}
	return false
}

// evade searches rings of growing size about the item's place.
func (l *layout) evade(i int) {
	set := []int{i}
	from, turn := l.pos[i], l.turn[i]
	for reach := 4; reach <= 4096; reach *= 2 {
		best, bestTurn, bestCost := from, turn, math.Inf(1)
		step := max(1, reach/16)
		for dx := -reach; dx <= reach; dx += step {
			for dy := -reach; dy <= reach; dy += step {
				l.pos[i] = from.add(cell{dx, dy})
				l.stand(i)
				if l.overlapping(i) {
					continue
				}
				l.refresh(set)
				if c := l.local(set); c < bestCost {
					best, bestTurn, bestCost = l.pos[i], l.turn[i], c
				}
			}
		}
		l.pos[i], l.turn[i] = best, bestTurn
		l.refresh(set)
		if !math.IsInf(bestCost, 1) {
			return
		}
	}
}

// polish tries every small move and turn of every item and keeps what helps,
// until nothing does.
func (l *layout) polish(ctx context.Context, rounds, reach int) error {
	for range rounds {
		better := false
		for i := range l.items {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			better = l.polishItem(i, reach) || better
		}
		if !better {
			return nil
		}
	}
	return nil
}

func (l *layout) polishItem(i, reach int) bool {
	set := []int{i}
	from, turn := l.pos[i], l.turn[i]
	best, bestTurn, bestCost := from, turn, l.local(set)-1e-9
	better := false
	try := func(at cell, k int) {
		l.pos[i], l.turn[i] = at, k
		l.refresh(set)
		if c := l.local(set); c < bestCost {
			best, bestTurn, bestCost, better = at, k, c, true
		}
	}
	for dx := -reach; dx <= reach; dx++ {
		for dy := -reach; dy <= reach; dy++ {
			if dx == 0 || dy == 0 || abs(dx)+abs(dy) <= 3 {
				try(from.add(cell{dx, dy}), turn)
			}
		}
	}
	for k := range l.items[i].shapes {
		try(from, k)
	}
	l.pos[i], l.turn[i] = best, bestTurn
	l.refresh(set)
	return better
}

// squeeze closes gaps and opens narrow places: it shifts all items beyond a
// line by a step or two and keeps what lowers the cost.
func (l *layout) squeeze() {
	all := l.everything()
	for range 4 {
		cost := l.local(all)
		before := cost
		for _, vertical := range []bool{false, true} {
			for _, line := range l.lines(vertical) {
				for _, by := range []int{-3, -1, 1} {
					t := l.remember(all)
					l.shiftBeyond(vertical, line, by)
					if c := l.local(all); c < cost-1e-9 {
						cost = c
						if by < 0 {
							line += by
						}
						continue
					}
					l.restore(t)
				}
			}
		}
		if cost >= before-1e-9 {
			return
		}
	}
}

// lines are the coordinates at which items stand, in order.
func (l *layout) lines(vertical bool) []int {
	var out []int
	for _, p := range l.pos {
		if vertical {
			out = append(out, p.y)
		} else {
			out = append(out, p.x)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (l *layout) shiftBeyond(vertical bool, line, by int) {
	for i := range l.pos {
		switch {
		case vertical && l.pos[i].y >= line:
			l.pos[i].y += by
		case !vertical && l.pos[i].x >= line:
			l.pos[i].x += by
		}
	}
	l.refreshAll()
}
