package stage

import "slices"

// rectifying lists the diodes that no stage has, leaving out what only clamps
// a coil.
func (f *finder) rectifying() []*branch {
	var out []*branch
	for _, b := range f.branches {
		if b.sort == diode && f.open(b) && len(f.between(winding|load|induct|contact, b.a, b.b)) == 0 {
			out = append(out, b)
		}
	}
	return out
}

// bridges finds the diamond of four: two alternating nets, each with a diode
// to plus and one from minus.
func (f *finder) bridges() {
	all := f.rectifying()
	for i, x := range all {
		for _, y := range all[i+1:] {
			if x.b != y.b || x.a == y.a || !f.open(x) || !f.open(y) {
				continue
			}
			if f.rail[x.b] == supply && !f.mains(x.a) && !f.mains(y.a) {
				continue // two inputs clamped to the rails
			}
			if lower := f.lowerArms(all, x.a, y.a, x.b); lower != nil && (f.fed(x.a) || f.fed(y.a)) {
				f.bridge(x, y, lower[0], lower[1])
			}
		}
	}
}

// lowerArms are the two diodes that lead from one net to u and to v.
func (f *finder) lowerArms(all []*branch, u, v, plus int) []*branch {
	for _, x := range all {
		for _, y := range all {
			if x.b == u && y.b == v && x.a == y.a && x.a != plus && f.open(x) && f.open(y) {
				return []*branch{x, y}
			}
		}
	}
	return nil
}

func (f *finder) bridge(x, y, lowX, lowY *branch) {
	plus, minus := x.b, lowX.a
	if len(f.leads(meter, plus)) > 0 && len(f.leads(meter, minus)) > 0 {
		return // a rectifier meter: see meters
	}
	d := f.start(BridgeRectifier, slices.Concat(x.parts, y.parts, lowX.parts, lowY.parts)...)
	f.finishRectifier(d, []int{x.a, y.a}, plus, minus)
	d.say = func() { f.sayRectifier(d, x.a, y.a, plus, minus, 2, 2) }
}

// fullWaves finds two diodes from the ends of a centre-tapped winding.
func (f *finder) fullWaves() {
	all := f.rectifying()
	for i, x := range all {
		for _, y := range all[i+1:] {
			if !f.open(x) || !f.open(y) || !f.fed(f.outer(x, y)) {
				continue
			}
			u, v, plus := x.a, y.a, x.b
			positive := x.b == y.b && x.a != y.a
			if x.a == y.a && x.b != y.b {
				u, v, plus = x.b, y.b, x.a
			} else if !positive {
				continue
			}
			if tap := f.centre(u, v); tap >= 0 && tap != plus {
				d := f.start(FullWave, append(slices.Clone(x.parts), y.parts...)...)
				f.finishRectifier(d, []int{u, v}, plus, tap)
				d.say = func() { f.sayRectifier(d, u, tap, plus, tap, 2, 1) }
			}
		}
	}
}

func (f *finder) outer(x, y *branch) int {
	if x.b == y.b {
		return x.a
	}
	return x.b
}

// centre is the net on which the windings of u and v meet, -1 for none.
func (f *finder) centre(u, v int) int {
	for _, x := range f.leads(winding, u) {
		for _, y := range f.leads(winding, v) {
			if x != y && x.parts[0] == y.parts[0] && x.other(u) == y.other(v) {
				return x.other(u)
			}
		}
	}
	return -1
}

// finishRectifier takes what belongs to a rectifier and makes a rail of its
// output.
func (f *finder) finishRectifier(d *draft, in []int, plus, minus int) {
	d.outputs(plus)
	if minus != f.common {
		d.outputs(minus)
	}
	d.inputs(in...)
	for _, net := range in {
		for _, b := range f.feedPath(net) {
			if b.sort != load {
				f.takeBranch(d, Helper, b)
			}
		}
		for _, b := range f.leads(capac|resist, net) { // snubbers
			if f.open(b) && slices.Contains(in, b.other(net)) {
				f.takeBranch(d, Helper, b)
			}
		}
		f.takeMains(d, net)
	}
	for _, net := range []int{plus, minus} {
		for _, b := range f.leads(capac, net) {
			o := b.other(net)
			if f.open(b) && (o == plus || o == minus || o == f.common || f.middle(in, o)) && b.value >= 0 {
				f.takeBranch(d, Load, b)
			}
		}
	}
	for _, b := range f.between(resist, plus, minus) {
		if f.open(b) {
			f.takeBranch(d, Helper, b)
		}
	}
	volts, known := f.peak(in, d.kind)
	f.makeRail(plus, minus, volts, known)
}

// middle tells whether a net is the centre tap of what feeds a rectifier.
func (f *finder) middle(in []int, net int) bool {
	return len(in) == 2 && f.centre(in[0], in[1]) == net
}

// makeRail marks what a rectifier feeds. Where its other pole isn't held, that
// becomes a rail too.
func (f *finder) makeRail(plus, minus int, volts float64, known bool) {
	if plus == f.common {
		plus, minus, volts = minus, plus, -volts
	}
	if f.rail[plus] == noRail {
		f.flood(plus, unsteady, volts, known && (f.known[minus] || !f.held(minus)))
	}
	if f.rail[minus] == noRail {
		f.flood(minus, unsteady, 0, false)
	}
}
