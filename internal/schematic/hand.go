package schematic

import (
	"cmp"
	"context"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
)

// Place is where a part stands, kept from one drawing to the next. X and Y
// count grid steps of Unit, from a corner that all places of a drawing share,
// to the symbol's own origin.
type Place struct {
	Ref     circuit.PartRef
	X, Y    int
	Orient  Orient
	Variant int  // which of the part's symbols, 0 the customary one
	Caption int  // which of the places for its caption, 0 the customary one
	Sheet   int  // 0 where there is only one
	Pinned  bool // set by hand: nothing moves it
}

// Places lists where the parts of the drawing stand.
func (d *Drawing) Places() []Place {
	var out []Place
	for _, p := range d.Parts {
		at := gridCell(p.At)
		out = append(out, Place{Ref: p.Ref, X: at.x, Y: at.y, Orient: p.Orient, Variant: p.Variant, Caption: p.Caption, Sheet: p.Sheet, Pinned: p.Pinned})
	}
	return out
}

// showPins notes which parts a hand has pinned.
func (d *Drawing) showPins(places []Place) {
	for _, p := range places {
		for i := range d.Parts {
			if d.Parts[i].Ref == p.Ref {
				d.Parts[i].Pinned = p.Pinned
			}
		}
	}
}

// home is where an item stood before.
type home struct {
	at     cell
	known  bool
	pinned bool
}

// keep goes on from given places: what has one stays there, what is new goes
// where it is cheapest without moving anything, and only what would lie on a
// pinned part makes way. It reports false where too little is known.
//
// With outside, what is new goes beside the whole circuit, where its wires
// always find a way.
func (l *layout) keep(ctx context.Context, places []Place, outside bool) (bool, error) {
	homes := l.homes(places)
	var fresh, known []int
	for i, h := range homes {
		if h.known {
			known = append(known, i)
		} else {
			fresh = append(fresh, i)
		}
	}
	if len(known) == 0 || len(fresh) > len(known) {
		return false, nil
	}
	l.away(fresh)
	l.refreshAll()
	l.recaption(known)
	l.makeWay(homes, known)
	l.insertAll(fresh, outside)
	l.letGo()
	l.recaption(l.everything())
	return true, ctx.Err()
}

// homes takes up the places of the items, and sets those that have one there.
func (l *layout) homes(places []Place) []home {
	at := map[circuit.PartRef]Place{}
	for _, p := range places {
		at[p.Ref] = p
	}
	homes := make([]home, len(l.items))
	for i := range l.items {
		p, ok := at[l.items[i].part.Ref]
		if !ok {
			continue
		}
		homes[i] = home{cell{p.X, p.Y}, true, p.Pinned}
		l.pos[i], l.turn[i] = cell{p.X, p.Y}, l.nearestTurn(i, p)
	}
	return homes
}

// nearestTurn is the way to draw an item that comes nearest to the one asked
// for: a turn that would lead a supply down is not among them.
func (l *layout) nearestTurn(i int, p Place) int {
	best, bestCost := 0, math.Inf(1)
	for k := range l.items[i].shapes {
		sh := &l.items[i].shapes[k]
		cost := sh.cost
		if sh.orient.Quarters != p.Orient.Quarters {
			cost += 4000
		}
		if sh.orient.Mirror != p.Orient.Mirror {
			cost += 2000
		}
		if sh.variant != p.Variant {
			cost += 1000
		}
		if sh.caption != p.Caption {
			cost += 100
		}
		if cost < bestCost {
			best, bestCost = k, cost
		}
	}
	return best
}

// away takes items out of the drawing until their turn comes: far off, and far
// from each other.
func (l *layout) away(set []int) {
	const far = 1 << 14
	for k, i := range set {
		l.pos[i] = cell{far, far + 200*k}
	}
	l.lost = make([]bool, len(l.items))
	for _, i := range set {
		l.lost[i] = true
	}
}

// makeWay moves what lies on a pinned part, or on another one, to the nearest
// place that is free.
func (l *layout) makeWay(homes []home, known []int) {
	order := slices.Clone(known)
	slices.SortStableFunc(order, func(a, b int) int { // what overlaps much goes last
		return cmp.Compare(l.lapped(a), l.lapped(b))
	})
	for _, pinned := range []bool{false, true} { // two pinned on one place: one has to yield
		for _, i := range order {
			if homes[i].pinned == pinned && l.overlapping(i) {
				l.giveWay(i, homes)
			}
		}
	}
}

// giveWay moves an item out of the way, alone to a free place near by or with all
// that lies beyond it by a few steps, whichever leaves the tidier drawing.
func (l *layout) giveWay(i int, homes []home) {
	all := l.everything()
	was := l.remember(all)
	from := l.pos[i]
	l.insert(i, []cell{from}, []int{l.turn[i]})
	best := l.remember(all)
	bestCost := l.local(all) + 2*float64(abs(l.pos[i].x-from.x)+abs(l.pos[i].y-from.y))
	for side := Up; side <= Left; side++ {
		for d := 1; d <= farthestShift; d++ {
			l.restore(was)
			l.shiftAside(i, side, d, homes)
			if l.overlapping(i) || l.crowdedBut(was) {
				continue
			}
			if cost := l.local(all) + float64(d); cost < bestCost {
				best, bestCost = l.remember(all), cost
			}
			break
		}
	}
	l.restore(best)
}

// farthestShift is how far a side of the drawing is shifted to make way, in
// grid steps.
const farthestShift = 14

// shiftAside shifts an item, and all that is not pinned on that side of it.
func (l *layout) shiftAside(i int, side Side, d int, homes []home) {
	from := l.pos[i]
	beyond := func(p cell) bool {
		switch side {
		case Up:
			return p.y <= from.y
		case Down:
			return p.y >= from.y
		case Left:
			return p.x <= from.x
		}
		return p.x >= from.x
	}
	for j := range l.items {
		if j == i || beyond(l.pos[j]) && !homes[j].pinned && (l.lost == nil || !l.lost[j]) {
			l.pos[j] = l.pos[j].add(side.step().times(d))
		}
	}
	l.refreshAll()
}

// crowdedBut tells whether an item that was moved since lies on another.
func (l *layout) crowdedBut(since undo) bool {
	for k, i := range since.set {
		if l.pos[i] != since.pos[k] && l.overlapping(i) {
			return true
		}
	}
	return false
}

func (l *layout) lapped(i int) int {
	n := 0
	for j := range l.items {
		if j != i && l.world[i].grow(1).meets(l.world[j]) && l.overlap(i, j) > 0 {
			n++
		}
	}
	return n
}

// insertAll places new items, the one with most neighbours in place first.
func (l *layout) insertAll(fresh []int, outside bool) {
	left := slices.Clone(fresh)
	for len(left) > 0 {
		best, bestTies := 0, -1
		for k, i := range left {
			if n := len(l.anchors(i)); n > bestTies {
				best, bestTies = k, n
			}
		}
		i := left[best]
		left = slices.Delete(left, best, best+1)
		at := l.anchors(i)
		if len(at) == 0 || outside {
			at = []cell{l.outskirts()}
		}
		l.lost[i] = false
		l.insert(i, at, l.ways(i))
	}
}

// ways lists the turns of an item, each with its customary caption.
func (l *layout) ways(i int) []int {
	type way struct {
		orient  Orient
		variant int
	}
	best := map[way]int{}
	var out []int
	for k := range l.items[i].shapes {
		sh := &l.items[i].shapes[k]
		w := way{sh.orient, sh.variant}
		if _, ok := best[w]; !ok {
			best[w] = k
			out = append(out, k)
		}
	}
	return out
}

// anchors are the ends in place of the nets that an item is on; for a part on
// rails only, those of parts that share both.
func (l *layout) anchors(i int) []cell {
	var out []cell
	for _, net := range l.items[i].nets {
		for _, t := range l.terms[net] {
			if t.item != i && !l.lost[t.item] {
				at, _ := l.end(t)
				out = append(out, at)
			}
		}
	}
	return out
}

// outskirts is a place right of everything.
func (l *layout) outskirts() cell {
	var hull rect
	first := true
	for i, w := range l.world {
		if l.lost[i] {
			continue
		}
		if first {
			hull, first = w, false
		}
		hull = hull.union(w)
	}
	return cell{hull.x1 + 6, (hull.y0 + hull.y1) / 2}
}

// insert puts an item at the cheapest free place about the anchors, in the
// cheapest of the turns, searching further off until there is one.
func (l *layout) insert(i int, anchors []cell, turns []int) {
	set := []int{i}
	for reach := 10; ; reach *= 2 {
		best, bestTurn, bestCost := cell{}, 0, math.Inf(1)
		step := max(1, reach/20, len(turns)/16)
		seen := map[cell]bool{}
		for _, a := range anchors {
			for dx := -reach; dx <= reach; dx += step {
				for dy := -reach; dy <= reach; dy += step {
					at := a.add(cell{dx, dy})
					if seen[at] {
						continue
					}
					seen[at] = true
					for _, k := range turns {
						l.pos[i], l.turn[i] = at, k
						l.stand(i)
						if l.overlapping(i) {
							continue
						}
						l.refresh(set)
						cost := l.local(set)
						if len(turns) == 1 { // it makes way: as little as it can
							cost += 2 * float64(abs(dx)+abs(dy))
						}
						if cost < bestCost {
							best, bestTurn, bestCost = at, k, cost
						}
					}
				}
			}
		}
		if !math.IsInf(bestCost, 1) {
			l.pos[i], l.turn[i] = best, bestTurn
			l.refresh(set)
			return
		}
	}
}

// letGo lets all nets be estimated again.
func (l *layout) letGo() {
	l.lost = nil
	l.refreshAll()
}

// recaption moves captions that are in the way to the best side; the symbols
// stay as they are.
func (l *layout) recaption(items []int) {
	for _, i := range items {
		if !l.overlapping(i) {
			continue
		}
		set := []int{i}
		was := l.turn[i]
		best, bestCost := was, math.Inf(1)
		for k := range l.items[i].shapes {
			a, b := &l.items[i].shapes[k], &l.items[i].shapes[was]
			if a.orient != b.orient || a.variant != b.variant {
				continue
			}
			l.turn[i] = k
			l.refresh(set)
			if c := l.local(set); c < bestCost && !l.overlapping(i) {
				best, bestCost = k, c
			}
		}
		l.turn[i] = best
		l.refresh(set)
	}
}

// kept draws the circuit on from given places. It returns nil where they tell
// too little, or where nothing can be wired without moving more.
func kept(ctx context.Context, l *layout, opts Options, ruler *lettering.Ruler) (*board, error) {
	var f *layout
	for _, outside := range []bool{false, true} {
		f = l.fork()
		if ok, err := f.keep(ctx, opts.Places, outside); !ok || err != nil {
			return nil, err
		}
		b := &board{l: f, opts: opts, ruler: ruler}
		if !f.crowded() && b.build(ctx) == nil {
			b.score = b.untidiness()
			return b, nil
		}
	}
	b, err := wire(ctx, f, opts, ruler) // moves parts apart only where there is no other way
	if err != nil {
		return nil, ctx.Err()
	}
	b.score = b.untidiness()
	return b, nil
}
