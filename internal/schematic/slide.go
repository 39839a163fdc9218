package schematic

import (
	"context"
	"slices"
)

// slideFeedback tries every part that leads back at other heights over and
// under its stage, wires the whole anew each time, and keeps the tidiest: the
// estimate of a wire does not see what it must go round.
func slideFeedback(ctx context.Context, b *board, opts Options) (*board, error) {
	l := b.l
	tries := tinkerTries(len(l.items))
	const few = 40
	if len(l.items) <= few {
		tries *= 2
	}
	for i := range l.items {
		if !l.view.back[l.items[i].part.Ref] {
			continue
		}
		for _, at := range l.slides(i) {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if tries <= 0 {
				return b, nil
			}
			set := []int{i}
			t := l.remember(set)
			l.pos[i] = at
			l.refresh(set)
			if l.overlapping(i) {
				l.restore(t)
				continue
			}
			tries--
			if c, tidier := b.rewired(ctx, opts); tidier {
				b = c
				continue
			}
			l.restore(t)
		}
	}
	return b, nil
}

// slides are the free heights for an item, midway between where its two nets
// end otherwise, the cheapest by the estimate first.
func (l *layout) slides(i int) []cell {
	const reach, most = 24, 14
	type slide struct {
		at   cell
		cost float64
	}
	set := []int{i}
	t := l.remember(set)
	var all []slide
	from := l.pos[i]
	for _, x := range []int{from.x, l.midway(i)} {
		for y := from.y - reach; y <= from.y+reach; y += 2 {
			l.pos[i] = cell{x, y}
			l.stand(i)
			if l.overlapping(i) {
				continue
			}
			l.refresh(set)
			all = append(all, slide{cell{x, y}, l.local(set)})
		}
		l.restore(t)
	}
	slices.SortFunc(all, func(a, b slide) int {
		if a.cost < b.cost {
			return -1
		}
		if a.cost > b.cost {
			return 1
		}
		return a.at.y - b.at.y
	})
	var out []cell
	for _, s := range all {
		if len(out) < most && !slices.ContainsFunc(out, func(c cell) bool { return c.x == s.at.x && abs(c.y-s.at.y) < 4 }) {
			out = append(out, s.at)
		}
	}
	return out
}

// midway is the column halfway between the other ends of an item's two nets.
func (l *layout) midway(i int) int {
	sum, n := 0, 0
	for _, net := range l.items[i].nets {
		best, found := 0, false
		for _, t := range l.terms[net] {
			if t.item == i {
				continue
			}
			if at, _ := l.end(t); !found || abs(at.x-l.pos[i].x) < abs(best-l.pos[i].x) {
				best, found = at.x, true
			}
		}
		if found {
			sum += best
			n++
		}
	}
	if n == 0 {
		return l.pos[i].x
	}
	return sum / n
}
