package schematic

import (
	"context"
	"errors"
	"math"
	"sync"

	"foilside/internal/lettering"
)

// bestAttempt places and wires the circuit a few times over, from different
// random numbers, and keeps the tidiest. Two run at a time. A small circuit in
// which wires still cross gets more attempts, in which a crossing costs more:
// there it is often needless.
func bestAttempt(ctx context.Context, l *layout, opts Options) (*board, error) {
	runs := min(max(120/max(len(l.items), 1), 2), 4)
	if opts.Attempts > 0 {
		runs = opts.Attempts
	}
	best, err := attempts(ctx, l, 0, runs, opts)
	for again := 1; err != nil && ctx.Err() == nil && again <= furtherRuns; again++ {
		best, err = attempts(ctx, l, runs+again, 1, opts)
	}
	const few = 20
	if err != nil || opts.Attempts > 0 || len(l.items) > few || best.crossings() == 0 {
		return best, err
	}
	strict := *l
	strict.w.crossing *= 2
	again, err := attempts(ctx, &strict, runs, 320/len(l.items), opts)
	if err != nil {
		return nil, err
	}
	if again.crossings() < best.crossings() {
		again.l.w = l.w
		again.score = again.untidiness()
		return again, nil
	}
	return best, nil
}

// furtherRuns is how many more placements are tried where none could be wired:
// blocks with many leads on rails at times leave no room for a mark.
const furtherRuns = 8

// attempts tries so many placements, from the first random number on.
func attempts(ctx context.Context, l *layout, first, runs int, opts Options) (*board, error) {
	boards := make([]*board, runs)
	errs := make([]error, runs)
	var wait sync.WaitGroup
	free := make(chan struct{}, 2)
	for k := range runs {
		wait.Add(1)
		free <- struct{}{}
		go func() {
			defer func() { <-free; wait.Done() }()
			boards[k], errs[k] = attempt(ctx, l.fork(), uint64(first+k), opts)
		}()
	}
	wait.Wait()
	return pickBest(boards, errs)
}

// pickBest is the tidiest board, or the first error where there is none.
func pickBest(boards []*board, errs []error) (*board, error) {
	best := -1
	for k := range boards {
		if errs[k] == nil && (best < 0 || boards[k].score < boards[best].score) {
			best = k
		}
	}
	if best < 0 {
		return nil, errs[0]
	}
	return boards[best], nil
}

// attempt is one placement with its wires.
func attempt(ctx context.Context, l *layout, seed uint64, opts Options) (*board, error) {
	ruler, err := lettering.NewRuler()
	if err != nil {
		return nil, err
	}
	if err := l.place(ctx, seed); err != nil {
		return nil, err
	}
	b, err := wire(ctx, l, opts, ruler)
	if err != nil {
		return nil, err
	}
	b.score = b.untidiness()
	return b, nil
}

// untidiness weighs what a reader minds: nets broken up into names, crossings,
// bends, long wires, and what the placement itself holds against itself.
func (b *board) untidiness() float64 {
	d := b.drawing()
	sum := crossingPrice*float64(d.Metrics.Crossings) + 2*float64(d.Metrics.Bends) + 40*float64(len(b.onward))
	for _, s := range d.straights() {
		price := 0.4
		if b.l.view.rail[b.l.view.index[d.Wires[s.wire].Net]] != noRail {
			price = 0.1 // rails lead out of the way
		}
		sum += price * (math.Abs(s.a.X-s.b.X) + math.Abs(s.a.Y-s.b.Y)) / Unit
	}
	sum += 1.5 * float64(len(d.Marks))
	for i := range b.l.items {
		sum += b.l.own(i)
		for _, o := range b.l.items[i].after {
			sum += b.l.pairOrder(i, o.item, o.weight)
		}
	}
	for _, p := range b.l.pairs {
		sum += b.l.pairCost(p)
	}
	return sum
}

// crossingPrice is what a crossing counts beside a bend's 2: crossings hurt
// reading most.
const crossingPrice = 16

// crossings counts the board's crossings of wires.
func (b *board) crossings() int {
	d := b.drawing()
	return d.Metrics.Crossings
}

// wire draws the wires of a placed circuit. Where there is no room for them,
// the parts are moved apart and it begins again.
func wire(ctx context.Context, l *layout, opts Options, ruler *lettering.Ruler) (*board, error) {
	const tries = 5
	for k := 1; ; k++ {
		b := &board{l: l, opts: opts, ruler: ruler}
		err := errCrowded
		if !l.crowded() {
			err = b.build(ctx)
		}
		if err == nil || ctx.Err() != nil || k == tries {
			return b, err
		}
		l.spread()
	}
}

var errCrowded = errors.New("the parts can't be kept apart; please report this circuit")

// place finds where every part goes.
func (l *layout) place(ctx context.Context, seed uint64) error {
	l.start()
	if err := l.anneal(ctx, seed, annealMoves(len(l.items)), 12); err != nil {
		return err
	}
	l.settle()
	if err := l.polish(ctx, 3, 6); err != nil {
		return err
	}
	l.squeeze()
	if err := l.polish(ctx, 2, 6); err != nil {
		return err
	}
	l.packIslands()
	return nil
}

func (l *layout) everything() []int {
	all := make([]int, len(l.items))
	for i := range all {
		all[i] = i
	}
	return all
}

// annealMoves gives small circuits many moves a part and keeps large ones
// within the time: a move takes longer the more parts there are.
func annealMoves(n int) int {
	const most, least = 55000, 34000
	return min(3000*n, max(most*45/max(n, 45), least))
}
