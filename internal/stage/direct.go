package stage

// linear are the kinds that amplify and may be coupled for direct current.
func linear(k Kind) bool {
	switch k {
	case CommonEmitter, CommonSource, CommonCathode, CommonCollector, SourceFollower, CathodeFollower:
		return true
	}
	return false
}

// directPairs joins two stages, the first's output being the second's control
// without a capacitor and without bias of its own.
func (f *finder) directPairs(made []*draft) {
	gone := map[*draft]bool{}
	for _, a := range made {
		for _, b := range made {
			if a == b || gone[a] || gone[b] || !linear(a.kind) || !linear(b.kind) || !inverts(a.kind) {
				continue
			}
			x, y := a.devices[0], b.devices[0]
			if !f.straight(x, y) {
				continue
			}
			a.kind = DirectCoupled
			a.devices = append(a.devices, y)
			a.out = b.out
			for _, p := range b.members {
				f.taken[p] = -1
			}
			for _, p := range b.members {
				f.take(a, b.role[p], p)
			}
			a.own(b.inside...)
			a.own(f.nets(x.o)...)
			a.say = func() { f.sayDirect(a, x, y) }
			b.members, b.role = nil, map[int]Role{}
			gone[b] = true
		}
	}
}

func inverts(k Kind) bool { return k == CommonEmitter || k == CommonSource || k == CommonCathode }

// straight tells whether an output drives a control over nothing but resistors
// and junctions.
func (f *finder) straight(x, y *device) bool {
	if x.o == y.g || x.o == y.g0 {
		return !f.held(x.o)
	}
	w := f.couple(x.o, y.g)
	return w.ok && !w.ac && len(w.branches) <= 2
}
