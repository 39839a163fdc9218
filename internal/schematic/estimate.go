package schematic

import "slices"

// estimate draws a net the way a router probably will, a trunk with branches,
// and keeps its pieces and what they cost in length and bends.
func (l *layout) estimate(net int) {
	ts := l.terms[net]
	l.spans[net] = l.spans[net][:0]
	l.wire[net] = 0
	if len(ts) < 2 {
		return
	}
	l.ends = l.ends[:0]
	var buf [24]int
	xs, ys := buf[:0:12], buf[12:12:24]
	for _, t := range ts {
		if l.lost != nil && l.lost[t.item] {
			continue
		}
		p := &l.shape(t.item).pins[t.pin]
		at := l.pos[t.item].add(p.at).add(p.out.step())
		l.ends = append(l.ends, ending{at, p.out})
		xs, ys = append(xs, at.x), append(ys, at.y)
	}
	slices.Sort(xs)
	slices.Sort(ys)
	n := len(xs)
	if n < 2 {
		l.reach[net] = rect{0, 0, -1, -1}
		return
	}
	l.reach[net] = rect{xs[0], ys[0], xs[n-1], ys[n-1]}
	best, bestCost := span{}, -1.0
	for k := (n - 1) / 2; k <= n/2; k++ {
		for _, trunk := range [2]span{{false, ys[k], xs[0], xs[n-1]}, {true, xs[k], ys[0], ys[n-1]}} {
			if cost := l.trunkCost(trunk); bestCost < 0 || cost < bestCost {
				best, bestCost = trunk, cost
			}
		}
	}
	l.wire[net] = bestCost
	l.addSpans(net, best)
}

// ending is where a terminal's wire begins, and which way it leads.
type ending struct {
	at  cell
	out Side
}

// trunkCost is the length of trunk and branches to the ends at hand, plus
// their bends.
func (l *layout) trunkCost(trunk span) float64 {
	length, bends := trunk.hi-trunk.lo, 0
	for _, e := range l.ends {
		along, off := e.at.x, e.at.y-trunk.at
		if trunk.vertical {
			along, off = e.at.y, e.at.x-trunk.at
		}
		length += abs(off)
		atEnd := trunk.lo < trunk.hi && (along == trunk.lo || along == trunk.hi)
		bends += trunk.branchBends(e.out, off, along == trunk.lo, atEnd)
	}
	return float64(length) + l.w.bend*float64(bends)
}

// branchBends counts the bends between a lead that leads out to a side and the
// trunk, off steps away. A branch from the trunk's end is a bend too.
func (s span) branchBends(out Side, off int, low, atEnd bool) int {
	if off == 0 {
		across := out.vertical() != s.vertical
		switch {
		case across && atEnd:
			return 1
		case across || !atEnd:
			return 0
		case low == (out == Up || out == Left): // leads off the end of the trunk
			return 2
		}
		return 0
	}
	bends := 0
	if atEnd {
		bends++
	}
	away := Down // the side on which the branch lies
	if s.vertical {
		away = Right
	}
	if off < 0 {
		away = away.opposite()
	}
	switch out {
	case away:
		return bends + 2
	case away.opposite():
		return bends
	}
	return bends + 1
}

// addSpans keeps the pieces of a net: its trunk and the branches.
func (l *layout) addSpans(net int, trunk span) {
	s := l.spans[net]
	if trunk.lo < trunk.hi {
		s = append(s, trunk)
	}
	for _, e := range l.ends {
		along, to := e.at.x, e.at.y
		if trunk.vertical {
			along, to = e.at.y, e.at.x
		}
		if to != trunk.at {
			s = append(s, span{!trunk.vertical, along, min(to, trunk.at), max(to, trunk.at)})
		}
	}
	l.spans[net] = s
}

// clash counts how two nets' pieces disturb each other: crossings, and runs
// on one line. The caller has seen that they reach each other.
func (l *layout) clash(a, b int) float64 {
	cost := 0.0
	for _, s := range l.spans[a] {
		for _, t := range l.spans[b] {
			if s.vertical != t.vertical {
				if s.lo <= t.at && t.at <= s.hi && t.lo <= s.at && s.at <= t.hi {
					cost += l.w.crossing
				}
			} else if s.at == t.at && s.lo <= t.hi && t.lo <= s.hi {
				cost += l.w.alongside
			}
		}
	}
	return cost
}

// hits counts the pieces of a net that run through an item. The caller has
// seen that the net reaches it.
func (l *layout) hits(net, i int) float64 {
	hull, sh, p, n := l.world[i], l.shape(i), l.pos[i], 0
	for _, s := range l.spans[net] {
		r := rect{s.lo, s.at, s.hi, s.at}
		if s.vertical {
			r = rect{s.at, s.lo, s.at, s.hi}
		}
		if !r.meets(hull) {
			continue
		}
		for _, b := range sh.solid {
			if r.meets(b.move(p)) {
				n++
				break
			}
		}
	}
	return l.w.through * float64(n)
}

// overlap is how much two items stand in each other's way. The caller has seen
// that they are near each other.
func (l *layout) overlap(i, j int) float64 {
	a, b := l.shape(i), l.shape(j)
	d := cell{l.pos[j].x - l.pos[i].x, l.pos[j].y - l.pos[i].y}
	area := 0
	for _, r := range a.solid {
		g := r.grow(1)
		for _, s := range b.solid {
			area += common(g, s.move(d))
		}
		for _, s := range b.arms {
			area += common(r, s.move(d))
		}
	}
	for k, r := range a.arms {
		for _, s := range b.solid {
			area += common(r, s.move(d))
		}
		for m, s := range b.arms {
			if s.move(d) == r && !l.sameNet(i, j, k, m) {
				area++
			}
		}
	}
	if area == 0 {
		return 0
	}
	return l.w.overlap + l.w.overlapArea*float64(area)
}

// sameNet tells whether arm k of item i and arm m of item j are one net.
func (l *layout) sameNet(i, j, k, m int) bool {
	return l.armNet(i, k) == l.armNet(j, m)
}

func (l *layout) armNet(i, k int) int {
	for _, p := range l.shape(i).pins {
		if p.wired(l.view) {
			if k == 0 {
				return p.net
			}
			k--
		}
	}
	return -1
}

// common is how many grid places two blocks share.
func common(a, b rect) int {
	if !a.meets(b) {
		return 0
	}
	return (min(a.x1, b.x1) - max(a.x0, b.x0) + 1) * (min(a.y1, b.y1) - max(a.y0, b.y0) + 1)
}

// own is what an item's place and turn cost by themselves.
func (l *layout) own(i int) float64 {
	it, sh := &l.items[i], l.shape(i)
	cost := sh.cost
	if it.back {
		return cost // over or under its stage, wherever there is room
	}
	p := l.pos[i]
	for _, n := range sh.pins {
		y := float64(p.y + n.at.y)
		want := (1 - l.view.level[n.net]) * l.depth
		w := l.w.level
		if n.rail {
			w = l.w.rail
		}
		if y > want {
			cost += w * (y - want)
		} else {
			cost += w * (want - y)
		}
	}
	if d := float64(p.x) - it.stage; d > 0 {
		cost += l.w.stage * d
	} else {
		cost -= l.w.stage * d
	}
	return cost
}

// pairOrder is what it costs that b, which comes later along the signal,
// doesn't stand to the right of a.
func (l *layout) pairOrder(a, b int, weight float64) float64 {
	const step = 4
	if d := l.pos[a].x + step - l.pos[b].x; d > 0 {
		return l.w.order * weight * float64(min(d, 12))
	}
	return 0
}
