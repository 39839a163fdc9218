package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// together calls do for every two free devices.
func (f *finder) together(do func(x, y *device)) {
	all := f.freeDevices()
	for i, x := range all {
		for _, y := range all[i+1:] {
			if f.free(x) && f.free(y) && f.limiter(x) != y && f.limiter(y) != x {
				do(x, y)
			}
		}
	}
}

// footed tells whether a device's reference stands still, or is shared.
func (f *finder) footed(x, y *device) bool {
	return f.quiet(x.k) || x.k == y.k || f.heldNear(x.k0)
}

// multivibrators finds two inverting devices each of which drives the other's
// control. Two capacitors make it run free, one makes it give one pulse, none
// makes it keep its state (W. H. Eccles, F. W. Jordan, 1919; H. Abraham,
// E. Bloch, 1919).
func (f *finder) multivibrators() {
	f.together(func(x, y *device) {
		if f.held(x.o) || f.held(y.o) || !f.footed(x, y) || !f.footed(y, x) {
			return
		}
		xy, yx := f.couple(x.o, y.g), f.couple(y.o, x.g)
		if !xy.ok || !yx.ok || x.o == y.o {
			return
		}
		kind := Bistable
		switch {
		case xy.ac && yx.ac, x.sign*y.sign < 0 && (xy.ac || yx.ac):
			kind = Astable
		case xy.ac || yx.ac:
			kind = Monostable
		case f.oneSided(x, y, yx) || f.oneSided(y, x, xy):
			kind = Schmitt
		}
		d := f.startDevice(kind, x, y)
		f.takeLinks(d, xy)
		f.takeLinks(d, yx)
		d.own(f.nets(x.g, y.g)...)
		d.outputs(f.nets(x.o, y.o)...)
		d.say = func() { f.sayMultivibrator(d, x, y, xy, yx) }
	})
}

// takeLinks takes what couples two devices: capacitors time, resistors feed
// back.
func (f *finder) takeLinks(d *draft, w way) {
	for _, b := range w.branches {
		role := Feedback
		if w.ac && b.sort == capac {
			role = Timing
		}
		f.takeBranch(d, role, b)
	}
}

// oneSided tells whether only x is driven from outside through a resistor: a
// trigger with feedback to the base rather than a store.
func (f *finder) oneSided(x, y *device, back way) bool {
	return f.resistorIn(x, back) && !f.resistorIn(y, back) && len(f.leads(capac, y.g)) == 0
}

func (f *finder) resistorIn(x *device, back way) bool {
	for _, b := range append(f.leads(resist, x.g), x.stopper...) {
		if slices.Contains(back.branches, b) {
			continue
		}
		for _, n := range []int{b.a, b.b} {
			if n != x.g && n != x.g0 && (f.fedDirectly(n) || f.fromSignal(n)) {
				return true
			}
		}
	}
	return f.fedDirectly(x.g)
}

// schmitts finds two devices that share a resistor at their references, the
// first driving the second's control (O. H. Schmitt, J. Sci. Instrum. 15 (1938)
// 24). Driven through a capacitor it gives one pulse.
func (f *finder) schmitts() {
	f.together(func(x, y *device) {
		if f.emitterAstable(x, y) || f.emitterAstable(y, x) {
			return
		}
		if x.sign*y.sign < 0 || x.k != y.k || f.quiet(x.k) || len(f.ties(x.k, common, supply, unsteady)) == 0 {
			return
		}
		if f.held(x.o) || !f.couple(x.o, y.g).ok {
			x, y = y, x
		}
		w := f.couple(x.o, y.g)
		if f.held(x.o) || f.heldNear(y.o) || !w.ok || x.o == y.o {
			return
		}
		kind := Schmitt
		if w.ac {
			kind = Monostable
			if !f.biasedOn(y) {
				return
			}
		}
		d := f.startDevice(kind, x, y)
		f.takeLinks(d, w)
		d.own(f.nets(x.g, y.g, x.o, x.k)...)
		d.inputs(f.nets(x.g)...)
		d.outputs(f.nets(y.o)...)
		if kind == Monostable {
			d.say = func() { f.sayMultivibrator(d, x, y, w, way{}) }
			return
		}
		d.say = func() { f.saySchmitt(d, x, y) }
	})
}

// emitterAstable finds two whose references a capacitor joins, each fed by a
// resistor, the first driving the second's control (Bell, Solid State Pulse
// Circuits, emitter-coupled astable multivibrator).
func (f *finder) emitterAstable(x, y *device) bool {
	c := f.between(capac|crystal, x.k, y.k)
	if len(c) == 0 || x.sign*y.sign < 0 || f.held(x.k) || f.held(y.k) || f.held(x.o) || !f.straight(x, y) || !f.anyTie(x.k) || !f.anyTie(y.k) {
		return false
	}
	kind := Astable
	if reach(c, crystal) { // F. Butler's circuit; from memory
		kind = CrystalOsc
	}
	d := f.startDevice(kind, x, y)
	f.takeBranch(d, Timing, c...)
	d.own(f.nets(x.g, y.g, x.o)...)
	d.outputs(f.nets(y.o, y.k)...)
	d.say = func() { f.sayMultivibrator(d, x, y, way{}, way{}) }
	if kind == CrystalOsc {
		d.say = func() { f.sayThreePoint(d, x, arms{kind: CrystalOsc}) }
	}
	return true
}

// biasedOn tells whether a single resistor to the output side's rail keeps the
// device conducting.
func (f *finder) biasedOn(x *device) bool {
	for _, b := range f.leads(resist, x.g) {
		if o := b.other(x.g); f.held(o) && o != f.common || o == f.common && x.sign < 0 {
			return true
		}
	}
	return false
}

// mirrors finds devices with joined controls on one rail, one of which has its
// output tied to its control and so sets the current of the others.
func (f *finder) mirrors() {
	for _, x := range f.freeDevices() {
		if !f.free(x) || x.family == valve || !f.diodeTied(x) {
			continue
		}
		var all []*device
		for _, y := range f.freeDevices() {
			if y != x && y.sign == x.sign && y.family == x.family && f.joined(x.g0, y.g0) && y.o != y.g && f.level(x, y) {
				all = append(all, y)
			}
		}
		if len(all) == 0 {
			continue
		}
		for _, h := range f.freeDevices() { // G. R. Wilson's third transistor
			if h.sign == x.sign && h.k == x.g && h != x && slices.ContainsFunc(all, func(y *device) bool { return y.o == h.g }) {
				all = append(all, h)
			}
		}
		d := f.startDevice(CurrentMirror, append([]*device{x}, all...)...)
		d.own(f.nets(x.g, x.o)...)
		for _, y := range append([]*device{x}, all...) {
			for _, n := range f.nets(y.k0) {
				f.takeBranch(d, Bias, f.openOnes(f.leads(resist, n))...)
			}
		}
		for _, h := range f.freeDevices() { // a helper that spares the base current
			if h.g == x.o && h.k == x.g && x.o != x.g {
				f.take(d, Helper, h.parts...)
				d.devices = append(d.devices, h)
			}
		}
		for _, n := range f.nets(x.g, x.o) {
			f.takeBranch(d, Bias, f.openOnes(f.leads(resist, n))...)
		}
		for _, y := range all {
			if !slices.ContainsFunc(all, func(h *device) bool { return h.g == y.o }) {
				d.outputs(f.nets(y.o)...)
			}
		}
		d.say = func() { f.sayMirror(d, x, all) }
	}
}

// diodeTied tells whether a device's output is its control, directly or over
// a helper transistor.
func (f *finder) diodeTied(x *device) bool {
	if x.o == x.g0 {
		return true
	}
	for _, h := range f.freeDevices() {
		if h != x && h.sign == x.sign && h.g == x.o && h.k == x.g && f.heldNear(h.o) {
			return true
		}
	}
	return false
}

func (f *finder) joined(a, b int) bool {
	if a == b {
		return true
	}
	for _, r := range f.between(resist, a, b) {
		if r.value < 5000 {
			return true
		}
	}
	return false
}

// level tells whether two devices' references lie on the same rail, directly
// or over resistors of their own.
func (f *finder) level(x, y *device) bool {
	feet := func(d *device) []int {
		if f.held(d.k0) {
			return []int{d.k0}
		}
		out := []int{d.k0, d.k}
		for _, b := range f.leads(resist, d.k0) {
			out = append(out, b.other(d.k0))
		}
		return out
	}
	for _, a := range feet(x) {
		if slices.Contains(feet(y), a) {
			return true
		}
	}
	return false
}

// differentials finds two devices that share what feeds their references and
// have controls of their own (A. D. Blumlein, British patent 482,740, 1936;
// from memory).
func (f *finder) differentials() {
	f.together(func(x, y *device) {
		if x.sign*y.sign < 0 || x.family != y.family || x.k != y.k || f.held(x.k) || x.g == y.g || x.o == y.o || f.bypass(x.k) != nil {
			return
		}
		if f.heldNear(x.o) && f.heldNear(y.o) || !f.tailed(x.k, x, y) {
			return
		}
		d := f.startDevice(DifferentialPair, x, y)
		d.own(f.nets(x.g, y.g, x.k)...)
		d.inputs(f.nets(x.g, y.g)...)
		d.outputs(f.nets(x.o, y.o)...)
		f.takeBranch(d, Bias, f.openOnes(f.ties(x.k, common, supply, unsteady))...)
		d.say = func() { f.sayDifferential(d, x, y) }
	})
}

// tailed tells whether a shared reference is fed by a resistor to a rail or by
// another device.
func (f *finder) tailed(net int, x, y *device) bool {
	if len(f.ties(net, common, supply, unsteady)) > 0 {
		return true
	}
	for _, d := range f.devices {
		if d != x && d != y && d.o == net {
			return true
		}
	}
	return slices.ContainsFunc(f.on[net], func(b *branch) bool { return b.sort == resist })
}

// cascodes finds a device with its load in the reference of another, whose
// control is quiet.
func (f *finder) cascodes() {
	f.together(func(x, y *device) {
		for _, p := range [2][2]*device{{x, y}, {y, x}} {
			low, top := p[0], p[1]
			if low.o != top.k0 && low.o != top.k || low.sign != top.sign || f.held(low.o) || !f.quiet(top.g) || f.quiet(low.g) && low.g != low.k {
				continue
			}
			d := f.startDevice(Cascode, low, top)
			d.own(f.nets(low.g, low.k, low.o, top.g)...)
			d.outputs(f.nets(top.o)...)
			d.say = func() { f.sayCascode(d, low, top) }
			return
		}
	})
}

// pushPulls finds output stages of two halves: complementary followers on one
// output, two of a kind on the ends of a tapped winding, two of a kind one above
// the other that are driven in opposite phase.
func (f *finder) pushPulls() {
	f.together(func(x, y *device) {
		switch {
		case x.sign*y.sign < 0 && x.k == y.k && !f.held(x.k) && f.heldNear(x.o) && f.heldNear(y.o) && x.o != y.o:
			f.pushPull(x, y, x.k)
		case x.sign*y.sign < 0 && x.o == y.o && f.heldNear(x.k) && f.heldNear(y.k) && x.k != y.k && f.driveJoined(x.g, y.g):
			f.pushPull(x, y, x.o)
		case x.sign == y.sign && f.centre(x.o, y.o) >= 0:
			f.pushPull(x, y, x.o)
		case x.sign == y.sign && f.stacked(x, y):
			f.pushPull(x, y, x.k)
		case x.sign == y.sign && f.stacked(y, x):
			f.pushPull(y, x, y.k)
		}
	})
}

func (f *finder) driveJoined(a, b int) bool {
	return a == b || f.couple(a, b).ok || len(f.between(capac|resist, a, b)) > 0
}

// stacked: upper above lower on one output, driven in opposite phase by a
// transformer or a phase splitter.
func (f *finder) stacked(upper, lower *device) bool {
	if upper.k != lower.o && upper.k0 != lower.o || !f.heldNear(upper.o) || !f.heldNear(lower.k) || f.held(lower.o) {
		return false
	}
	for _, w := range f.reachWindings(upper.g) {
		for _, v := range f.reachWindings(lower.g) {
			if w != v && w.parts[0] == v.parts[0] {
				return true
			}
		}
	}
	for _, s := range f.devices {
		if s != upper && s != lower && f.couple(s.o, upper.g).ok && f.couple(s.k, lower.g).ok {
			return true
		}
	}
	return false
}

// reachWindings lists the windings on a control, also behind a resistor.
func (f *finder) reachWindings(net int) []*branch {
	out := f.leads(winding, net)
	for _, b := range f.leads(resist|capac, net) {
		if o := b.other(net); !f.held(o) {
			out = append(out, f.leads(winding, o)...)
		}
	}
	return out
}

func (f *finder) pushPull(x, y *device, out int) {
	d := f.startDevice(PushPull, x, y)
	d.own(f.nets(x.g, y.g)...)
	d.inputs(f.nets(x.g, y.g)...)
	d.outputs(f.nets(out)...)
	if x.o != out && y.o != out {
		d.own(f.nets(x.o, y.o)...)
	}
	tap := f.centre(x.o, y.o)
	if tap >= 0 {
		w := f.leads(winding, x.o)
		f.take(d, Load, w[0].parts...)
		d.outputs(f.nets(x.o, y.o)...)
		for _, o := range f.windings(w[0].parts[0]) {
			d.outputs(f.nets(o.a, o.b)...)
			d.own(f.nets(o.a, o.b)...)
		}
	}
	for _, w := range append(f.reachWindings(x.g), f.reachWindings(y.g)...) {
		if f.taken[w.parts[0]] < 0 {
			f.take(d, Coupling, w.parts...)
			for _, o := range f.windings(w.parts[0]) {
				d.inputs(f.nets(o.a, o.b)...)
				d.own(f.nets(o.a, o.b)...)
			}
		}
	}
	f.takeSpread(d, x.g, y.g)
	f.takeOutput(d, out)
	d.say = func() { f.sayPushPull(d, x, y, tap) }
}

// takeSpread takes what holds the two controls apart: diodes, resistors, or a
// transistor that multiplies its base voltage.
func (f *finder) takeSpread(d *draft, a, b int) {
	if a == b {
		return
	}
	if p := f.path(a, b, resist|junction, 5); p != nil {
		for _, x := range f.beside(p) {
			if f.open(x) {
				f.takeBranch(d, Bias, x)
				d.own(f.nets(x.a, x.b)...)
			}
		}
	}
	for _, q := range f.freeDevices() {
		if pairOf(q.o, q.k, a, b) || pairOf(q.o, q.k0, a, b) {
			f.take(d, Bias, q.parts...)
			d.devices = append(d.devices, q)
			f.takeBranch(d, Bias, f.openOnes(f.leads(resist, q.g))...)
			d.own(f.nets(q.g)...)
			f.takeBranch(d, Bypass, f.openOnes(f.between(capac, a, b))...)
		}
	}
}

// takeOutput takes the coupling capacitor and the loudspeaker behind it.
func (f *finder) takeOutput(d *draft, out int) {
	for _, b := range f.openOnes(f.leads(capac|load, out)) {
		o := b.other(out)
		if b.sort == load {
			f.takeBranch(d, Load, b)
			continue
		}
		if f.held(o) {
			continue
		}
		for _, l := range f.leads(load, o) {
			f.takeBranch(d, Coupling, b)
			f.takeBranch(d, Load, l)
			d.outputs(f.nets(o)...)
		}
	}
}

// isKind tells whether a part is of the kind.
func (f *finder) isKind(part int, k circuit.Kind) bool { return f.c.Parts[part].Kind == k }
