package schematic

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
