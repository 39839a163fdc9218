package schematic

import (
	"context"
	"math/rand/v2"
)

// tinker goes on from a wired drawing: it changes a few parts at a time, wires
// the whole anew and keeps what comes out tidier. The annealing judges by
// estimated wires; this judges by the wires themselves.
func tinker(ctx context.Context, b *board, opts Options) (*board, error) {
	l := b.l
	n := len(l.items)
	if n < 2 {
		return b, nil
	}
	rng := rand.New(rand.NewPCG(3, 4))
	tries := tinkerTries(n)
	for skipped := 0; tries > 0 && skipped < 40*tinkerTries(n); {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		set := b.suspects(rng)
		if l.anyApart(set) {
			skipped++
			continue
		}
		t := l.remember(set)
		before := l.local(set)
		l.change(rng, set, 3)
		l.refresh(set)
		if l.anyOverlapping(set) || l.local(set) > before+tinkerSlack {
			l.restore(t)
			skipped++
			continue
		}
		tries--
		if c, tidier := b.rewired(ctx, opts); tidier {
			b = c
			continue
		}
		l.restore(t)
	}
	return b, ctx.Err()
}

// rewired wires the layout of b anew, as it stands now, and tells whether that
// is tidier than b was.
func (b *board) rewired(ctx context.Context, opts Options) (*board, bool) {
	c := &board{l: b.l, opts: opts, ruler: b.ruler}
	if c.build(ctx) != nil {
		return b, false
	}
	if c.score = c.untidiness(); c.score >= b.score-1e-9 {
		return b, false
	}
	c.findWorst()
	return c, true
}

// tinkerSlack is how much worse than before a change may be by the estimate to
// be worth wiring.
const tinkerSlack = 12

// tinkerTries is how many wirings a circuit's size allows: their time grows
// with the square of it.
func tinkerTries(n int) int { return min(14000/(n*n), 50) }

// suspects picks an item to change, more often one on a net whose wires came
// out worse than estimated.
func (b *board) suspects(rng *rand.Rand) []int {
	if len(b.worst) > 0 && rng.IntN(3) > 0 {
		ts := b.l.terms[b.worst[rng.IntN(len(b.worst))]]
		a := ts[rng.IntN(len(ts))].item
		if rng.IntN(4) == 0 {
			return b.l.cluster(rng, a, 2+rng.IntN(3))
		}
		return []int{a}
	}
	return b.l.pick(rng)
}

// findWorst notes the nets whose wires are much longer or more bent than the
// estimate.
func (b *board) findWorst() {
	b.worst = nil
	for _, net := range b.l.wired {
		if float64(b.m.price(net))/stepCost > 1.3*b.l.wire[net]+8 {
			b.worst = append(b.worst, net)
		}
	}
}

func (l *layout) anyOverlapping(set []int) bool {
	for _, i := range set {
		if l.overlapping(i) {
			return true
		}
	}
	return false
}

// anyApart tells whether an item hangs on rails only: it keeps its place
// beside the circuit.
func (l *layout) anyApart(set []int) bool {
	for _, i := range set {
		if len(l.items[i].nets) == 0 {
			return true
		}
	}
	return false
}
