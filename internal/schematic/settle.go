package schematic

import (
	"context"
	"math"
	"slices"
)

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
