package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// smoothing finds what stands behind a rectifier or a supply: a resistor or a
// choke with a capacitor to common, whose far end feeds something. Behind a
// rectifier it is a filter, behind a steady supply it decouples.
func (f *finder) smoothing() {
	for again := true; again; {
		again = false
		for net := range f.names {
			if f.rail[net] != supply && f.rail[net] != unsteady {
				continue
			}
			for _, b := range f.leads(resist|induct|winding, net) {
				if f.open(b) && f.smooth(net, b) {
					again = true
				}
			}
		}
	}
}

// The most that a decoupling resistor has, and the least its capacitor: below
// that the two set a time or a frequency (common practice).
const (
	decouplingOhms   = 100e3
	decouplingFarads = 100e-9
	rippleHertz      = 100  // a corner below it smooths what a rectifier leaves
	radioOhms        = 1000 // up to here any capacitor that makes a net quiet will do
)

func (f *finder) smooth(net int, b *branch) bool {
	o := b.other(net)
	if f.held(o) || b.half || !f.feedsOn(o, b) {
		return false
	}
	c := f.bypass(o)
	slow := c != nil && f.rail[net] == unsteady && corner(b, c) > 0 && corner(b, c) < rippleHertz
	if b.sort == resist && b.value > decouplingOhms && !slow {
		return false
	}
	if slow && f.open(c) && c.other(o) != net {
		return f.startSmoothing(net, o, b, c)
	}
	if c == nil || !f.open(c) || c.other(o) == net || c.value > 0 && c.value < decouplingFarads && (b.sort != resist || b.value > radioOhms) {
		return false
	}
	if c.value <= 0 && f.isKind(c.parts[0], circuit.Capacitor) && f.deviceNet(o) {
		return false // a small one on an output, as far as can be told
	}
	return f.startSmoothing(net, o, b, c)
}

// startSmoothing makes the stage of a resistor or choke b from a rail to the net
// o, which c holds.
func (f *finder) startSmoothing(net, o int, b, c *branch) bool {
	kind := Decoupling
	switch {
	case b.sort != resist:
		kind = LCFilter
	case f.rail[net] == unsteady:
		kind = RCFilter
	}
	if b.sort == winding {
		return false
	}
	d := f.start(kind, b.parts...)
	for _, x := range f.leads(capac, o) {
		if f.open(x) && f.held(x.other(o)) {
			f.takeBranch(d, Core, x)
		}
	}
	if kind == LCFilter {
		f.takeBranch(d, Core, f.openOnes(f.between(capac, net, c.other(o)))...)
	}
	d.inputs(net)
	d.outputs(o)
	f.flood(o, unsteady, f.volts[net], f.known[net])
	d.say = func() { f.saySmoothing(d, b, c) }
	return true
}

func (f *finder) openOnes(all []*branch) []*branch {
	var out []*branch
	for _, b := range all {
		if f.open(b) {
			out = append(out, b)
		}
	}
	return out
}

// feedsOn tells whether a net behind the branch is a supply of its own: it leads
// on to loads, and isn't the control of anything, a timing net or a reference.
func (f *finder) feedsOn(net int, from *branch) bool {
	onward := 0
	if f.controlled(net, nil) != nil {
		return false
	}
	for _, p := range f.pins[net] {
		switch f.c.Parts[p.part].Kind {
		case circuit.NPN, circuit.PNP:
			if p.lead != "c" || f.held(f.net(p.part, "e")) {
				return false // an output, where its emitter stands on a rail
			}
			onward++
		case circuit.Pentode:
			if p.lead == "g1" || p.lead == "k" {
				return false
			}
		case circuit.OpAmp:
			if p.lead == "+in" || p.lead == "-in" || p.lead == "out" {
				return false
			}
			onward++
		case circuit.Timer555:
			if p.lead != "8" && p.lead != "4" {
				return false
			}
			onward++
		case circuit.Connector:
			onward++
		case circuit.Regulator:
			onward++
		default:
			return false
		}
	}
	for _, b := range f.on[net] {
		switch {
		case b == from || b.sort == capac:
		case b.sort&(zener|gas|crystal|source|diode) != 0:
			return false
		case b.sort == resist && b.other(net) == f.common:
			if from.sort == resist && !f.smallLoad(b, from) {
				return false // a divider with its bypass
			}
			onward++
		case b.half:
			return false
		default:
			onward++
		}
	}
	return onward > 0
}

// smallLoad: a resistor to common takes less than a fifth of the voltage, as a
// load or bleeder does, not half of it, as a divider does.
func (f *finder) smallLoad(b, from *branch) bool { return b.value > 4*from.value }

// threeTerminals takes regulators with the capacitors and resistors on them.
func (f *finder) threeTerminals() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.Regulator || f.taken[i] >= 0 {
			continue
		}
		in, out, com := f.net(i, "in"), f.net(i, "out"), f.net(i, "com")
		d := f.start(ThreeTerminal, i)
		d.inputs(in)
		d.outputs(out)
		for _, b := range f.openOnes(f.between(resist|capac|diode|zener|led, out, com)) {
			f.takeBranch(d, Helper, b)
		}
		f.takeBranch(d, Helper, f.openOnes(f.between(diode, in, out))...)
		for _, x := range f.freeDevices() { // a transistor that takes over at large currents
			if (x.g == in || x.g0 == in) && x.o == out {
				f.take(d, Helper, x.parts...)
				f.takeBranch(d, Helper, x.stopper...)
				f.takeBranch(d, Helper, f.openOnes(f.between(resist, in, x.k))...)
				d.inputs(x.k)
			}
		}
		if !f.held(com) {
			d.own(com)
			for _, b := range f.openOnes(f.leads(resist|capac|zener|led|diode, com)) {
				f.takeBranch(d, Helper, b)
			}
		}
		for _, n := range []int{in, out} {
			for _, b := range f.openOnes(f.leads(capac, n)) {
				if f.held(b.other(n)) {
					f.takeBranch(d, Bypass, b)
				}
			}
		}
		volts, known := f.regulated(i, out, com)
		f.makeRail(out, com, volts, known)
		d.say = func() { f.sayThreeTerminal(d, i, out, com) }
	}
}

// regulated is a three-terminal regulator's output, raised by the divider at
// its common lead: Vout = V·(1 + R2/R1) (makers' data sheets).
func (f *finder) regulated(i, out, com int) (float64, bool) {
	v, ok := f.amount(i, "output voltage")
	if !ok {
		return 0, false
	}
	if f.held(com) {
		return v + f.volts[com], f.known[com]
	}
	r1 := f.between(resist, out, com)
	for _, r2 := range f.leads(resist, com) {
		if o := r2.other(com); o == f.common && len(r1) > 0 && r1[0].value > 0 {
			return v * (1 + r2.value/r1[0].value), true
		}
	}
	return 0, false
}

// zenerChain is the way from a net over zeners, LEDs, diodes or a gas tube to a rail.
func (f *finder) zenerChain(net int) ([]*branch, int) {
	if f.held(net) {
		return nil, -1
	}
	for _, z := range f.leads(zener, net) {
		if !f.open(z) {
			continue
		}
		o := z.other(net)
		if f.held(o) {
			return []*branch{z}, o
		}
		for _, y := range f.leads(junction, o) {
			if y != z && f.open(y) && f.held(y.other(o)) && f.degree(o) <= 3 {
				return []*branch{z, y}, y.other(o)
			}
		}
	}
	for _, y := range f.leads(diode|led, net) {
		o := y.other(net)
		if !f.open(y) || f.held(o) || f.degree(o) > 2 {
			continue
		}
		for _, z := range f.leads(zener, o) {
			if f.open(z) && f.held(z.other(o)) {
				return []*branch{z, y}, z.other(o)
			}
		}
	}
	return nil, -1
}

// zeners finds shunt regulators: a zener from a net to a rail, with a resistor
// that feeds it from another.
func (f *finder) zeners() {
	f.shuntRegulators()
	f.gasRegulators()
	for net := range f.names {
		if f.held(net) {
			continue
		}
		chain, foot := f.zenerChain(net)
		if chain == nil || f.soleControl(net) || f.gateNet(net) {
			continue
		}
		feeds := f.zenerFeed(net, foot)
		if len(feeds) == 0 || !f.used(net, chain, feeds) {
			continue
		}
		d := f.start(ZenerRegulator, chain[0].parts...)
		f.takeBranch(d, Core, chain...)
		f.takeBranch(d, Core, feeds...)
		for _, c := range f.openOnes(f.leads(capac, net)) {
			if f.held(c.other(net)) {
				f.takeBranch(d, Bypass, c)
			}
		}
		d.inputs(feeds[0].other(net))
		d.outputs(net)
		volts, known := f.zenerVolts(chain)
		if f.rail[net] == noRail {
			f.flood(net, unsteady, f.volts[foot]+volts, known && f.known[foot])
		}
		d.say = func() { f.sayZener(d, chain, feeds[0], net, foot) }
	}
}

// zenerFeed lists the resistors that feed a zener's net from another rail, or
// from an alternating net.
func (f *finder) zenerFeed(net, foot int) []*branch {
	var out []*branch
	for _, b := range f.leads(resist, net) {
		o := b.other(net)
		if f.open(b) && !b.half && o != foot && (f.held(o) && o != f.common || o == f.common && foot != f.common || f.alternating(o)) {
			out = append(out, b)
		}
	}
	return out
}

// used tells whether something but the zener and its feed hangs on the net.
func (f *finder) used(net int, chain, feeds []*branch) bool {
	if len(f.pins[net]) > 0 {
		return true
	}
	for _, b := range f.on[net] {
		if b.sort != capac && !slices.Contains(chain, b) && !slices.Contains(feeds, b) {
			return true
		}
	}
	return false
}

// soleControl: the zener's net is the control of a device that isn't a
// regulator; the zener is then that device's bias.
func (f *finder) soleControl(net int) bool {
	d := f.controlled(net, nil)
	return d != nil && f.free(d) && len(f.pins[net]) <= 1
}

func (f *finder) zenerVolts(chain []*branch) (float64, bool) {
	sum := 0.0
	for _, b := range chain {
		switch b.sort {
		case zener:
			v, ok := f.amount(b.parts[0], "zener voltage")
			if !ok {
				return 0, false
			}
			sum += v
		default:
			sum += f.forward(b)
		}
	}
	return sum, true
}

// forward is a junction's forward voltage.
func (f *finder) forward(b *branch) float64 {
	if v, ok := f.amount(b.parts[0], "forward drop"); ok {
		return v
	}
	if b.sort == led {
		return 1.8 // a red one at 10 mA, from memory
	}
	return 0.7
}

// gasRegulators finds stabiliser tubes: fed by a resistor from a rail, with no
// capacitor across that would make them flash, and with something that uses the
// voltage.
func (f *finder) gasRegulators() {
	for _, b := range f.branches {
		if b.sort != gas || !f.open(b) || !f.isKind(b.parts[0], circuit.GasTube) || f.held(b.a) == f.held(b.b) {
			continue
		}
		net := b.a
		if f.held(net) {
			net = b.b
		}
		foot := b.other(net)
		feeds := f.zenerFeed(net, foot)
		if len(feeds) == 0 || f.gateNet(net) || len(f.between(capac, net, foot)) > 0 || !f.used(net, []*branch{b}, feeds) {
			continue
		}
		d := f.start(GasRegulator, b.parts...)
		f.takeBranch(d, Core, feeds...)
		d.inputs(feeds[0].other(net))
		d.outputs(net)
		volts, known := f.amount(b.parts[0], "maintaining voltage")
		f.flood(net, unsteady, f.volts[foot]+volts, known && f.known[foot])
		d.say = func() { f.sayGasRegulator(d, b, feeds[0]) }
	}
}

// multipliesBase tells whether two resistors across a transistor hold it at a
// multiple of its base voltage, and nothing drives it.
func (f *finder) multipliesBase(x *device) bool {
	return len(f.between(resist, x.o, x.g)) == 1 && len(f.between(resist, x.g, x.k)) == 1 && f.degree(x.g) == 3
}

// shuntRegulators finds a transistor across the output, with a zener from
// output to base.
func (f *finder) shuntRegulators() {
	for _, x := range f.freeDevices() {
		if x.family != bipolar || f.held(x.o) || !f.held(x.k) {
			continue
		}
		z := f.openOnes(f.between(zener, x.o, x.g))
		if len(z) == 0 && !f.multipliesBase(x) {
			continue
		}
		feeds := f.zenerFeed(x.o, x.k)
		if len(feeds) == 0 {
			continue
		}
		d := f.startDevice(ShuntRegulator, x)
		f.takeBranch(d, Core, z...)
		f.takeBranch(d, Core, feeds...)
		f.takeBranch(d, Bias, f.openOnes(f.between(resist, x.g, x.k))...)
		f.takeBranch(d, Bypass, f.openOnes(f.between(capac, x.o, x.k))...)
		d.inputs(feeds[0].other(x.o))
		d.outputs(x.o)
		volts, known := f.zenerVolts(z)
		above := f.between(resist, x.o, x.g)
		if len(z) == 0 {
			z = above
			volts = f.baseVolts(x) * ohms(above) / ohms(f.between(resist, x.g, x.k))
		}
		f.takeBranch(d, Bias, above...)
		f.flood(x.o, unsteady, f.volts[x.k]+x.sign*(volts+f.baseVolts(x)), known && f.known[x.k])
		d.say = func() { f.sayShunt(d, x, z[0], feeds[0]) }
	}
}
