package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// discharges finds capacitors that a switching part throws onto a winding:
// capacitor, winding and switching part in one loop, the capacitor charged
// through a resistor or a diode.
func (f *finder) discharges() {
	for _, w := range f.branches {
		if w.sort != winding || f.taken[w.parts[0]] >= 0 {
			continue
		}
		for _, ends := range [][2]int{{w.a, w.b}, {w.b, w.a}} {
			if f.discharge(w, ends[0], ends[1]) {
				break
			}
		}
	}
}

// discharge: winding from p to q, capacitor from p to x, switching part from x
// to q.
func (f *finder) discharge(w *branch, p, q int) bool {
	for _, c := range f.leads(capac, p) {
		x := c.other(p)
		if x == q || !f.open(c) {
			continue
		}
		throw, parts := f.thrower(x, q)
		if parts == nil || len(f.charging(x, p, parts)) == 0 {
			continue
		}
		d := f.start(Discharge, c.parts...)
		f.take(d, Core, w.parts...)
		f.take(d, Core, parts...)
		f.takeBranch(d, Core, throw)
		feeds := f.charging(x, p, parts)
		for _, b := range feeds {
			f.takeBranch(d, Load, f.openOnes([]*branch{b})...)
			d.inputs(f.nets(b.other(f.endOf(b, x, p)))...)
		}
		d.own(f.nets(x, p, q)...)
		for _, part := range parts {
			if g := f.net(part, "g"); g >= 0 {
				d.own(f.nets(g)...)
				d.inputs(f.nets(g)...)
			}
		}
		for _, o := range f.windings(w.parts[0]) {
			if o != w {
				d.outputs(f.nets(o.a, o.b)...)
			}
		}
		d.say = func() { f.sayDischarge(d, c, w, parts, feeds) }
		return true
	}
	return false
}

func (f *finder) endOf(b *branch, x, p int) int {
	if b.a == x || b.b == x {
		return x
	}
	return p
}

// thrower is what joins two nets at once: a thyristor, a gas tube, a switch.
func (f *finder) thrower(x, q int) (*branch, []int) {
	for _, b := range f.leads(gas|contact, x) {
		if b.other(x) == q && f.open(b) {
			return b, b.parts
		}
	}
	for _, p := range f.pins[x] {
		part := f.c.Parts[p.part]
		var a, k circuit.LeadName
		switch part.Kind {
		case circuit.SCR:
			a, k = "a", "k"
		case circuit.Triac:
			a, k = "mt2", "mt1"
		default:
			continue
		}
		na, nk := f.net(p.part, a), f.net(p.part, k)
		if pairOf(na, nk, x, q) && f.taken[p.part] < 0 {
			return nil, []int{p.part}
		}
	}
	return nil, nil
}

// charging lists what charges the capacitor: resistors and diodes on its live
// ends that lead elsewhere.
func (f *finder) charging(x, p int, thrower []int) []*branch {
	var out []*branch
	for _, n := range f.nets(x, p) {
		for _, b := range f.leads(resist|diode|induct, n) {
			o := b.other(n)
			if o == f.common || o == x || o == p || b.value > 0 && b.sort == resist && b.value < 50 {
				continue
			}
			if slices.Contains(thrower, b.parts[0]) || f.gateNet(o) {
				continue
			}
			out = append(out, b)
		}
	}
	if len(out) == 0 && (f.held(x) && x != f.common || f.rectified(x)) {
		for _, b := range f.leads(resist|diode, x) {
			out = append(out, b)
			break
		}
	}
	return out
}

func (f *finder) rectified(net int) bool { return f.rail[net] == unsteady }

func (f *finder) gateNet(net int) bool {
	return slices.ContainsFunc(f.pins[net], func(p pin) bool {
		k := f.c.Parts[p.part].Kind
		return (k == circuit.SCR || k == circuit.Triac) && p.lead == "g"
	})
}

// thyristors makes a stage of every thyristor and triac that is left, with
// what hangs on its gate.
func (f *finder) thyristors() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.SCR && p.Kind != circuit.Triac || f.taken[i] >= 0 {
			continue
		}
		a, k, g := f.net(i, "a"), f.net(i, "k"), f.net(i, "g")
		if p.Kind == circuit.Triac {
			a, k = f.net(i, "mt2"), f.net(i, "mt1")
		}
		d := f.start(ThyristorTrigger, i)
		f.takeGate(d, g, a, k)
		for _, n := range f.nets(a, k) {
			for _, b := range f.openOnes(f.leads(load, n)) {
				f.takeBranch(d, Load, b)
			}
		}
		for _, b := range f.openOnes(f.between(capac|resist, a, k)) {
			f.takeBranch(d, Helper, b)
		}
		f.takeSnubber(d, a, k)
		d.outputs(f.nets(a, k)...)
		d.say = func() { f.sayThyristor(d, i, a, k) }
	}
}

// takeSnubber takes a resistor and a capacitor in series across the main leads.
func (f *finder) takeSnubber(d *draft, a, k int) {
	for _, c := range f.leads(capac, k) {
		mid := c.other(k)
		if f.held(mid) || mid == a || f.degree(mid) != 2 {
			continue
		}
		for _, r := range f.leads(resist, mid) {
			if r.other(mid) == a && f.open(r) && f.open(c) {
				f.takeBranch(d, Helper, r, c)
				d.own(mid)
			}
		}
	}
}

// takeGate takes the network that leads to a gate: through resistors,
// capacitors, diodes and gas tubes, until rails, the main leads, or what
// another device drives.
func (f *finder) takeGate(d *draft, g, a, k int) {
	d.own(f.nets(g)...)
	d.inputs(f.nets(g)...)
	queue, seen := []int{g}, map[int]bool{g: true, a: true, k: true}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		if f.held(n) {
			continue
		}
		for _, b := range f.openOnes(f.leads(resist|capac|diode|zener|gas, n)) {
			o := b.other(n)
			if b.sort == capac && o != k && !f.held(o) && n == g && o != a {
				f.takeBranch(d, Coupling, b)
				d.inputs(o)
				continue
			}
			f.takeBranch(d, Bias, b)
			if seen[o] || f.held(o) {
				continue
			}
			seen[o] = true
			if len(f.pins[o]) > 0 || f.alternating(o) {
				d.inputs(o)
				continue
			}
			d.own(o)
			queue = append(queue, o)
		}
	}
}

// unijunctions finds the relaxation oscillator of a UJT: a capacitor on its
// emitter that a resistor charges.
func (f *finder) unijunctions() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.UJT || f.taken[i] >= 0 {
			continue
		}
		e, b1, b2 := f.net(i, "e"), f.net(i, "b1"), f.net(i, "b2")
		var c *branch
		for _, x := range f.leads(capac, e) {
			if o := x.other(e); f.held(o) || o == b1 {
				c = x
			}
		}
		if c == nil {
			continue
		}
		d := f.start(RelaxationOsc, i)
		f.takeBranch(d, Timing, c)
		d.own(f.nets(e, b1, b2)...)
		f.takeCharge(d, e)
		for _, n := range f.nets(b1, b2) {
			f.takeBranch(d, Load, f.openOnes(f.ties(n, common, supply, unsteady))...)
		}
		d.outputs(f.nets(b1, b2, e)...)
		d.say = func() { f.sayUnijunction(d, i, e, c) }
	}
}

// takeCharge takes the resistors that charge a timing net, over one net of
// their own: a control with a stopper.
func (f *finder) takeCharge(d *draft, net int) {
	for _, b := range f.openOnes(f.leads(resist, net)) {
		o := b.other(net)
		if f.controlled(o, nil) != nil {
			continue // it takes the voltage away, it doesn't bring it
		}
		f.takeBranch(d, Timing, b)
		if !f.held(o) && len(f.pins[o]) == 0 && f.degree(o) <= 3 {
			d.own(o)
			f.takeBranch(d, Timing, f.openOnes(f.leads(resist, o))...)
		} else {
			d.inputs(f.nets(o)...)
		}
	}
}

// neonOscillators finds gas tubes with a capacitor across them, directly or
// over a small resistor, charged through a resistor from a rail.
func (f *finder) neonOscillators() {
	for _, n := range f.branches {
		if n.sort != gas || !f.open(n) || f.gateNet(n.a) || f.gateNet(n.b) {
			continue
		}
		c, top := f.acrossGas(n)
		if c == nil {
			continue
		}
		feed := f.gasFeed(top, c)
		if feed == nil {
			continue
		}
		d := f.start(RelaxationOsc, n.parts...)
		f.takeBranch(d, Timing, c)
		d.own(f.nets(n.a, n.b, top)...)
		f.takeCharge(d, top)
		for _, x := range f.nets(n.a, n.b) {
			f.takeBranch(d, Helper, f.openOnes(f.leads(resist, x))...)
		}
		d.outputs(f.nets(top, n.a, n.b)...)
		d.say = func() { f.sayNeonOscillator(d, n, c, feed) }
	}
}

// acrossGas is the capacitor that a gas tube discharges, and the net on which
// it is charged.
func (f *finder) acrossGas(n *branch) (*branch, int) {
	for _, end := range []int{n.a, n.b} {
		far := n.other(end)
		if f.held(end) {
			continue
		}
		for _, c := range f.leads(capac, end) {
			if !f.open(c) {
				continue
			}
			o := c.other(end)
			if o == far || f.held(far) && f.held(o) {
				return c, end
			}
			for _, r := range f.leads(resist, far) { // a small resistor below the tube
				if r.other(far) == o && (r.value < 20e3 || r.value == 0) && f.held(o) {
					return c, end
				}
			}
		}
	}
	return nil, -1
}

// gasFeed is the resistor that charges the net: large, from a rail or from
// another net that isn't across the tube.
func (f *finder) gasFeed(top int, c *branch) *branch {
	for _, b := range f.leads(resist, top) {
		if o := b.other(top); o != c.other(top) && o != f.common && (b.value >= 10e3 || b.value == 0) {
			return b
		}
	}
	for _, s := range f.leads(contact, top) { // over a key
		o := s.other(top)
		if f.held(o) || o == c.other(top) {
			continue
		}
		for _, b := range f.leads(resist, o) {
			if b.other(o) != f.common && (b.value >= 10e3 || b.value <= 0) {
				return b
			}
		}
	}
	return nil
}

// flashTubes takes each flash tube with the capacitor that it empties and the
// resistor that charges it.
func (f *finder) flashTubes() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.FlashTube {
			continue
		}
		a, k := f.net(i, "a"), f.net(i, "k")
		d := f.start(FlashTube, i)
		d.inputs(f.nets(f.net(i, "t"))...)
		store := f.openOnes(f.between(capac, a, k))
		f.takeBranch(d, Core, store...)
		if !f.held(a) {
			for _, b := range f.openOnes(f.leads(resist|induct, a)) {
				if f.held(b.other(a)) && b.other(a) != k {
					f.takeBranch(d, Load, b)
					f.makeRail(a, k, f.volts[b.other(a)], f.known[b.other(a)])
				}
			}
		}
		d.outputs(f.nets(a)...)
		if f.rail[a] == unsteady {
			d.outputs(a)
		}
		d.say = func() { f.sayFlash(d, i, store, a) }
	}
}
