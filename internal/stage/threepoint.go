package stage

import (
	"cmp"
	"math"
	"slices"
)

// arms are the three reactances of an oscillator between output, control and
// reference of its device. Two of one sort meet at the reference, the third
// of the other sort joins output and control.
type arms struct {
	kind              Kind
	outRef, ctlRef    []*branch
	outCtl            []*branch
	shorts, chokes    []*branch // what counts as a wire, or as nothing, at its frequency
	inSeries          *branch   // a capacitor in series with the coil
	capacity, induced float64   // total C and L, 0 where unknown
}

// threePoints finds Hartley, Colpitts and crystal oscillators: every way to
// take larger capacitors for wires and larger inductors for open is tried until
// the rest makes the three arms (the general three-point circuit: Terman, Radio
// Engineers' Handbook, 1943, section 6; from memory).
func (f *finder) threePoints() {
	for _, x := range f.freeDevices() {
		if a := f.threePoint(x); a != nil {
			f.threePointStage(x, *a)
		}
	}
}

func (f *finder) threePoint(x *device) *arms {
	near := f.neighbourhood(x)
	caps := sorted(near, capac)
	coils := sorted(near, induct|winding)
	hasCrystal := slices.ContainsFunc(near, func(b *branch) bool { return b.sort == crystal })
	if len(coils) == 0 && !hasCrystal {
		return nil
	}
	for _, shorts := range choices(caps) {
		for _, chokes := range choices(coils) {
			if a := f.triangle(x, near, shorts, chokes); a != nil {
				return a
			}
		}
	}
	return nil
}

// mostChoices is up to how many branches are tried in every combination.
const mostChoices = 6

// choices lists which of some branches may be taken for wires, or for open: none,
// the largest, the two largest and so on; then any of them, fewer first, since a
// grid capacitor may be smaller than the tank's.
func choices(all []*branch) [][]*branch {
	if len(all) > mostChoices {
		return prefixes(all)
	}
	var out [][]*branch
	for mask := range 1 << len(all) {
		var some []*branch
		for i, b := range all {
			if mask>>i&1 == 1 {
				some = append(some, b)
			}
		}
		out = append(out, some)
	}
	slices.SortStableFunc(out, func(a, b []*branch) int { return cmp.Compare(len(a), len(b)) })
	if slices.ContainsFunc(all, func(b *branch) bool { return b.value <= 0 }) {
		return out
	}
	return append(prefixes(all), out...)
}

// prefixes lists the beginnings of a list, those apart that would part equal
// values.
func prefixes(all []*branch) [][]*branch {
	var out [][]*branch
	for n := 0; n <= len(all); n++ {
		if n > 0 && n < len(all) && same(all[n-1].value, all[n].value) {
			continue
		}
		out = append(out, all[:n])
	}
	return out
}

func same(x, y float64) bool { return math.Abs(x-y) <= 1e-3*math.Max(x, y) }

// sorted lists the branches of a sort, the largest first; unknown values last.
func sorted(all []*branch, s sort) []*branch {
	var out []*branch
	for _, b := range all {
		if b.sort&s != 0 {
			out = append(out, b)
		}
	}
	slices.SortStableFunc(out, func(a, b *branch) int { return cmp.Compare(b.value, a.value) })
	return out
}

// nearDepth is how many branches away from its device an oscillator's parts
// are looked for.
const nearDepth = 4

// neighbourhood lists the reactive branches about a device over nets that no
// other device uses.
func (f *finder) neighbourhood(x *device) []*branch {
	depth := map[int]int{}
	queue := []int{}
	for _, n := range []int{x.o, x.g, x.k} {
		if _, ok := depth[n]; !ok && !f.held(n) {
			depth[n] = 0
			queue = append(queue, n)
		}
	}
	var out []*branch
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, b := range f.on[n] {
			if b.sort&(capac|induct|winding|crystal) == 0 || !f.open(b) {
				continue
			}
			if !slices.Contains(out, b) {
				out = append(out, b)
			}
			o := b.other(n)
			if _, ok := depth[o]; !ok && !f.held(o) && depth[n] < nearDepth && !f.foreign(o, x) {
				depth[o] = depth[n] + 1
				queue = append(queue, o)
			}
		}
	}
	return out
}

// foreign tells whether a net has a lead of another device or block.
func (f *finder) foreign(net int, x *device) bool {
	for _, p := range f.pins[net] {
		if !slices.Contains(x.parts, p.part) {
			return true
		}
	}
	return false
}

// triangle takes shorts for wires and chokes for nothing, merges all rails, and
// looks for the three arms.
func (f *finder) triangle(x *device, near, shorts, chokes []*branch) *arms {
	m := f.mergeNets(shorts, x)
	o, g, k := m[x.o], m[x.g], m[x.k]
	if o == g || g == k || o == k {
		return nil
	}
	a := arms{shorts: shorts, chokes: chokes}
	series := f.seriesArms(x, near, shorts, chokes, m)
	for _, b := range near {
		if slices.Contains(shorts, b) || slices.Contains(chokes, b) || slices.Contains(series, b) {
			continue
		}
		p, q := m[b.a], m[b.b]
		switch {
		case pairOf(p, q, o, k):
			a.outRef = append(a.outRef, b)
		case pairOf(p, q, g, k):
			a.ctlRef = append(a.ctlRef, b)
		case pairOf(p, q, o, g):
			a.outCtl = append(a.outCtl, b)
		}
	}
	for _, b := range series { // a coil with a capacitor in series is a coil
		if b.sort == induct || b.sort == winding || b.sort == crystal {
			a.outCtl = append(a.outCtl, b)
		} else {
			a.inSeries = b
		}
	}
	return f.judge(&a)
}

func pairOf(p, q, x, y int) bool { return p == x && q == y || p == y && q == x }

// mergeNets gives each net its representative with rails as one and capacitors
// as wires.
func (f *finder) mergeNets(shorts []*branch, x *device) []int {
	m := make([]int, len(f.names))
	for i := range m {
		m[i] = i
	}
	find := func(i int) int {
		for m[i] != i {
			i = m[i]
		}
		return i
	}
	ground := -1
	for i := range m {
		if f.held(i) {
			if ground < 0 {
				ground = i
			}
			m[find(i)] = find(ground)
		}
	}
	for _, b := range shorts {
		m[find(b.a)] = find(b.b)
	}
	for i := range m {
		m[i] = find(i)
	}
	return m
}

// seriesArms lists a coil and a capacitor that meet on a net of their own
// between output and control.
func (f *finder) seriesArms(x *device, near, shorts, chokes []*branch, m []int) []*branch {
	o, g := m[x.o], m[x.g]
	for _, l := range near {
		if l.sort&(induct|crystal|winding) == 0 || slices.Contains(chokes, l) {
			continue
		}
		for _, c := range near {
			if c.sort != capac || slices.Contains(shorts, c) {
				continue
			}
			for _, mid := range []int{l.a, l.b} {
				if c.a != mid && c.b != mid || f.degree(mid) != 2 {
					continue
				}
				if pairOf(m[l.other(mid)], m[c.other(mid)], o, g) {
					return []*branch{l, c}
				}
			}
		}
	}
	return nil
}

// judge tells from the sorts of the three arms which oscillator they make.
func (f *finder) judge(a *arms) *arms {
	coil := func(all []*branch) bool { return reach(all, induct|winding) }
	cap := func(all []*branch) bool { return reach(all, capac) }
	xtal := func(all []*branch) bool { return reach(all, crystal) }
	switch {
	case xtal(a.outCtl) && (cap(a.ctlRef) || cap(a.outRef) || coil(a.outRef)),
		xtal(a.outCtl) && len(a.shorts) == 0,
		xtal(a.ctlRef) && (coil(a.outRef) || cap(a.outCtl) && cap(a.outRef)):
		a.kind = CrystalOsc
	case coil(a.outCtl) && !cap(a.outCtl) && cap(a.outRef) && cap(a.ctlRef) && !coil(a.outRef) && !coil(a.ctlRef),
		coil(a.outCtl) && cap(a.outRef) && cap(a.ctlRef) && !coil(a.outRef) && !coil(a.ctlRef):
		a.kind = Colpitts
		a.induced = least(a.outCtl, induct|winding)
		if x, y := total(a.outRef), total(a.ctlRef); x > 0 && y > 0 {
			a.capacity = x*y/(x+y) + total(a.outCtl)
			if c := a.inSeries; c != nil && c.value > 0 { // J. K. Clapp, Proc. IRE 36 (1948) 356; from memory
				a.capacity = a.capacity * c.value / (a.capacity + c.value)
			}
		}
	case coil(a.outRef) && coil(a.ctlRef) && cap(a.outCtl) && !cap(a.outRef) && !cap(a.ctlRef):
		a.kind = Hartley
		a.capacity = total(a.outCtl)
		if x, y := least(a.outRef, induct|winding), least(a.ctlRef, induct|winding); x > 0 && y > 0 {
			a.induced = x + y
		}
	default:
		return nil
	}
	return a
}

func reach(all []*branch, s sort) bool {
	return slices.ContainsFunc(all, func(b *branch) bool { return b.sort&s != 0 })
}

// least is the smallest value of the sort: the tank's coil, not the choke that
// lies in parallel to it. 0 where one is unknown.
func least(all []*branch, s sort) float64 {
	best := 0.0
	for _, b := range all {
		if b.sort&s == 0 {
			continue
		}
		if b.value <= 0 {
			return 0
		}
		if best <= 0 || b.value < best {
			best = b.value
		}
	}
	return best
}

func total(all []*branch) float64 {
	sum := 0.0
	for _, b := range all {
		if b.sort == capac {
			sum += b.value
		}
	}
	return sum
}

func (f *finder) threePointStage(x *device, a arms) {
	d := f.startDevice(a.kind, x)
	for _, b := range slices.Concat(a.outRef, a.ctlRef, a.outCtl) {
		f.takeBranch(d, Timing, b)
	}
	f.takeBranch(d, Timing, a.inSeries)
	d.own(f.nets(x.o, x.g, x.k)...)
	for _, b := range slices.Concat(a.outRef, a.ctlRef, a.outCtl) {
		d.own(f.nets(b.a, b.b)...)
	}
	// Of what counts as a wire or as open, what leads away from the stage is
	// another's coupling.
	inner := func(n int) bool { return f.held(n) || slices.Contains(d.inside, n) }
	for _, b := range a.shorts {
		if inner(b.a) && inner(b.b) {
			f.takeBranch(d, Coupling, b)
		}
	}
	for _, b := range a.chokes {
		if inner(b.a) && inner(b.b) {
			f.takeBranch(d, Load, b)
		}
	}
	for _, n := range slices.Clone(d.inside) {
		for _, b := range f.openOnes(f.leads(resist, n)) {
			if f.held(b.other(n)) || slices.Contains(d.inside, b.other(n)) {
				f.takeBranch(d, Bias, b)
			}
		}
	}
	d.outputs(f.nets(x.o, x.k)...)
	for _, n := range slices.Clone(d.inside) {
		if f.taps(n, d) {
			d.outputs(n)
		}
	}
	d.say = func() { f.sayThreePoint(d, x, a) }
}

// taps tells whether something outside the stage is coupled to a net.
func (f *finder) taps(net int, d *draft) bool {
	return slices.ContainsFunc(f.on[net], func(b *branch) bool { return f.open(b) && !f.held(b.other(net)) })
}
