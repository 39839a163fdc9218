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
	var buf [24]int
	xs, ys := buf[:0:12], buf[12:12:24]
	for _, t := range ts {
		at, _ := l.end(t)
		xs, ys = append(xs, at.x), append(ys, at.y)
	}
	slices.Sort(xs)
	slices.Sort(ys)
	n := len(ts)
	best, bestCost := span{}, -1.0
	try := func(trunk span) {
		if cost := l.trunkCost(ts, trunk); bestCost < 0 || cost < bestCost {
			best, bestCost = trunk, cost
		}
	}
	for _, k := range [2]int{(n - 1) / 2, n / 2} {
		try(span{false, ys[k], xs[0], xs[n-1]})
		try(span{true, xs[k], ys[0], ys[n-1]})
	}
	l.wire[net] = bestCost
	l.reach[net] = rect{xs[0], ys[0], xs[n-1], ys[n-1]}
	l.addSpans(net, best)
}

// trunkCost is the length of trunk and branches, plus their bends.
func (l *layout) trunkCost(ts []terminal, trunk span) float64 {
	length, bends := trunk.hi-trunk.lo, 0
	for _, t := range ts {
		at, out := l.end(t)
		along, off := at.x, at.y-trunk.at
		away, toward := Down, Up // the side on which the branch leads off, and back to the trunk
		if trunk.vertical {
			along, off = at.y, at.x-trunk.at
			away, toward = Right, Left
		}
		if off < 0 {
			away, toward = toward, away
		}
		length += abs(off)
		switch {
		case off == 0:
			if out.vertical() != trunk.vertical && (along == trunk.lo || along == trunk.hi) && trunk.lo < trunk.hi {
				bends++
			}
			if out.vertical() == trunk.vertical && trunk.lo < trunk.hi {
				low := out == Up || out == Left // leads off the end of the trunk
				if (low && along == trunk.lo) || (!low && along == trunk.hi) {
					bends += 2
				}
			}
		case out == away:
			bends += 2
		case out != toward:
			bends++
		}
		if off != 0 && (along == trunk.lo || along == trunk.hi) && trunk.lo < trunk.hi {
			bends++ // the trunk turns into the branch
		}
	}
	return float64(length) + l.w.bend*float64(bends)
}

func (l *layout) addSpans(net int, trunk span) {
	if trunk.lo < trunk.hi {
		l.spans[net] = append(l.spans[net], trunk)
	}
	for _, t := range l.terms[net] {
		at, _ := l.end(t)
		along, to := at.x, at.y
		if trunk.vertical {
			along, to = at.y, at.x
		}
		if to != trunk.at {
			l.spans[net] = append(l.spans[net], span{!trunk.vertical, along, min(to, trunk.at), max(to, trunk.at)})
		}
	}
}

// clash counts how two nets' pieces disturb each other: crossings, and runs
// on one line.
func (l *layout) clash(a, b int) float64 {
	cost := 0.0
	if !l.reach[a].meets(l.reach[b]) {
		return 0
	}
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

// hits counts the pieces of a net that run through an item.
func (l *layout) hits(net, i int) float64 {
	sh := l.shape(i)
	p := l.pos[i]
	n := 0
	hull := sh.hull.move(p)
	if !hull.meets(l.reach[net]) {
		return 0
	}
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

// overlap is how much two items stand in each other's way.
func (l *layout) overlap(i, j int) float64 {
	a, b := l.shape(i), l.shape(j)
	d := cell{l.pos[j].x - l.pos[i].x, l.pos[j].y - l.pos[i].y}
	if !a.hull.grow(1).meets(b.hull.move(d)) {
		return 0
	}
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
