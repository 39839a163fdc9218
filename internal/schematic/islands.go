package schematic

import (
	"cmp"
	"slices"

	"foilside/internal/circuit"
)

// island is a set of items that wires hold together. Between islands there are
// rails only.
type island struct {
	items []int
	hull  rect
}

// islandGap is the least distance of islands, in grid steps.
const islandGap = 3

// packIslands stands the islands side by side: where the power comes in on the
// left, then what only hangs between the rails, then the rest from left to
// right as the signal has it.
func (l *layout) packIslands() {
	all := l.islands()
	if len(all) < 2 {
		return
	}
	slices.SortStableFunc(all, func(a, b island) int {
		if d := cmp.Compare(l.entrance(a), l.entrance(b)); d != 0 {
			return d
		}
		return cmp.Compare(l.meanStage(a), l.meanStage(b))
	})
	middle := l.middle(all)
	x := 0
	for _, s := range all {
		d := cell{x - s.hull.x0, 0}
		if len(s.items) < 3 {
			d.y = middle - (s.hull.y0+s.hull.y1)/2
		}
		for _, i := range s.items {
			l.pos[i] = l.pos[i].add(d)
		}
		x += s.hull.x1 - s.hull.x0 + islandGap
	}
	l.refreshAll()
}

// middle is the row about which the largest island lies.
func (l *layout) middle(all []island) int {
	best := all[0]
	for _, s := range all {
		if len(s.items) > len(best.items) {
			best = s
		}
	}
	return (best.hull.y0 + best.hull.y1) / 2
}

// islands finds them by the nets that are wired.
func (l *layout) islands() []island {
	group := make([]int, len(l.items))
	for i := range group {
		group[i] = i
	}
	find := func(i int) int {
		for group[i] != i {
			i = group[i]
		}
		return i
	}
	for _, ts := range l.terms {
		for _, t := range ts {
			group[find(t.item)] = find(ts[0].item)
		}
	}
	at := map[int]int{}
	var out []island
	for i := range l.items {
		r := find(i)
		k, ok := at[r]
		if !ok {
			k = len(out)
			at[r] = k
			out = append(out, island{hull: l.shape(i).hull.move(l.pos[i])})
		}
		out[k].items = append(out[k].items, i)
		out[k].hull = out[k].hull.union(l.shape(i).hull.move(l.pos[i]))
		for _, n := range l.items[i].nets {
			if len(l.spans[n]) > 0 {
				out[k].hull = out[k].hull.union(l.reach[n])
			}
		}
	}
	return out
}

// entrance orders the kinds of island: sources, then single parts between the
// rails, then circuits.
func (l *layout) entrance(s island) int {
	order := 2
	if len(s.items) == 1 {
		order = 1
	}
	for _, i := range s.items {
		if k := l.items[i].part.Kind; (k == circuit.Battery || k == circuit.Supply) && len(s.items) <= 3 {
			order = 0
		}
	}
	return order
}

func (l *layout) meanStage(s island) float64 {
	sum := 0.0
	for _, i := range s.items {
		sum += l.items[i].stage
	}
	return sum / float64(len(s.items))
}
