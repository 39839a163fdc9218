package schematic

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

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
