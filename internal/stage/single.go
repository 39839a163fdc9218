package stage

import (
	"math"
	"slices"

	"foilside/internal/circuit"
)

// currentSources finds devices without a signal whose output feeds something
// else than a resistor: a tail, a load, an LED.
func (f *finder) currentSources() {
	for _, x := range f.freeDevices() {
		if x.family == valve || f.held(x.o) || f.signalAt(x.g, x) || !f.footTied(x) || f.signalAt(x.k, x) {
			continue
		}
		if x.family == fet && !x.mos {
			if x.g != x.k && x.g != f.footEnd(x) {
				continue
			}
		} else if !f.fixed(x) {
			continue
		}
		if f.resistorLoad(x) {
			continue
		}
		d := f.startDevice(CurrentSource, x)
		d.outputs(x.o)
		f.takeBranch(d, Bias, f.openOnes(f.leads(resist, x.k0))...)
		if chain, _ := f.zenerChain(x.g); chain != nil {
			f.takeBranch(d, Bias, chain...)
		}
		for _, b := range f.openOnes(f.leads(resist|junction|capac, x.g)) {
			if f.held(x.g) {
				break
			}
			f.takeBranch(d, Bias, b)
			if o := b.other(x.g); b.sort&junction != 0 && !f.held(o) && len(f.pins[o]) == 0 {
				f.takeBranch(d, Bias, f.openOnes(f.leads(junction|resist, o))...)
			}
		}
		for _, b := range f.openOnes(f.leads(led|load, x.o)) {
			f.takeBranch(d, Load, b)
		}
		d.say = func() { f.sayCurrentSource(d, x) }
	}
}

// footTied tells whether a resistor leads from the reference to a rail.
func (f *finder) footTied(x *device) bool {
	return !f.held(x.k) && !f.held(x.k0) && (len(f.ties(x.k, common, supply, unsteady)) > 0 || len(f.ties(x.k0, common, supply, unsteady)) > 0)
}

// footEnd is where the resistor at the reference leads.
func (f *finder) footEnd(x *device) int {
	for _, b := range f.leads(resist, x.k0) {
		return b.other(x.k0)
	}
	return -1
}

// fixed tells whether the control is held by a divider, a zener or diodes.
func (f *finder) fixed(x *device) bool {
	if f.held(x.g) {
		return true
	}
	up, down := false, false
	for _, b := range f.leads(resist|junction, x.g) {
		o := b.other(x.g)
		switch {
		case o == x.k || o == x.k0 || o == x.o:
			return false
		case f.held(o) && f.sameRail(o, x):
			down = true
		case f.held(o):
			up = true
		case b.sort != resist && len(f.pins[o]) == 0:
			down = true
		}
	}
	return up && down
}

// sameRail tells whether a rail is the one that the reference leads to.
func (f *finder) sameRail(net int, x *device) bool {
	if x.k == net || x.k0 == net {
		return true
	}
	for _, n := range []int{x.k, x.k0} {
		for _, b := range f.leads(resist, n) {
			if b.other(n) == net {
				return true
			}
		}
	}
	return false
}

// resistorLoad tells whether the output goes to a rail over a resistor or a
// coil, so that a voltage is taken from it.
func (f *finder) resistorLoad(x *device) bool {
	for _, b := range f.leads(resist|induct|winding, x.o) {
		if f.held(b.other(x.o)) || b.sort != resist {
			return true
		}
	}
	return false
}

// signalAt tells whether something that varies reaches a net: over a capacitor,
// a winding or a source, from another device or block, from outside, or through
// a resistor from such a net.
func (f *finder) signalAt(net int, x *device) bool {
	if net < 0 || f.held(net) {
		return false
	}
	if f.drivenNet(net, x) {
		return true
	}
	for _, b := range f.on[net] {
		o := b.other(net)
		switch {
		case f.held(o) || x != nil && (o == x.o || o == x.k || o == x.k0):
			if b.sort == resist && f.sensor(b) {
				return true
			}
		case b.sort == capac && !f.quietEnd(b, net), b.sort == winding:
			return true
		case b.sort == contact:
			return true
		case b.sort == resist && (f.sensor(b) || f.drivenNet(o, x) || f.reachesLive(o, net, x)):
			return true
		}
	}
	return false
}

// reachesLive tells whether a net behind a resistor has a capacitor, a switch
// or a sensor that brings a signal.
func (f *finder) reachesLive(net, but int, x *device) bool {
	for _, b := range f.on[net] {
		if o := b.other(net); o != but && (b.sort == contact || b.sort == resist && f.sensor(b) || b.sort == capac && !f.quietEnd(b, net) && !f.held(o)) {
			return true
		}
	}
	return false
}

// sensor tells whether a resistor's value is the input: light, temperature.
func (f *finder) sensor(b *branch) bool {
	return slices.ContainsFunc(b.parts, func(p int) bool {
		k := f.c.Parts[p].Kind
		return k == circuit.Photocell || k == circuit.Thermistor
	})
}

// drivenNet tells whether a net is an output of another device or block, a
// source or a connector's.
func (f *finder) drivenNet(net int, x *device) bool {
	if f.alternating(net) {
		return true
	}
	for _, p := range f.pins[net] {
		if x != nil && slices.Contains(x.parts, p.part) {
			continue
		}
		switch f.c.Parts[p.part].Kind {
		case circuit.Connector, circuit.Optocoupler:
			return true
		case circuit.OpAmp:
			if p.lead == "out" {
				return true
			}
		case circuit.Timer555:
			if p.lead == "3" {
				return true
			}
		case circuit.UJT:
			return true
		default:
			switch p.lead {
			case "c", "e", "d", "s", "a", "k", "mt2":
				return true
			}
		}
	}
	return false
}

// drivers finds what works a relay.
func (f *finder) drivers() {
	for _, x := range f.freeDevices() {
		coil, end := f.relayCoil(x.o), x.o
		if coil == nil {
			coil, end = f.relayCoil(x.k), x.k
		}
		if coil == nil {
			continue
		}
		d := f.startDevice(RelayDriver, x)
		f.takeBranch(d, Load, coil)
		f.takeBranch(d, Helper, f.openOnes(f.between(diode|zener|capac|led, coil.a, coil.b))...)
		for _, b := range f.openOnes(f.leads(diode, end)) {
			if f.held(b.other(end)) {
				f.takeBranch(d, Helper, b)
			}
		}
		d.own(f.nets(x.g, x.g0, end)...)
		d.inputs(f.nets(x.g)...)
		d.outputs(f.nets(end)...)
		d.say = func() { f.sayRelay(d, x, coil) }
	}
}

func (f *finder) relayCoil(net int) *branch {
	if f.held(net) {
		return nil
	}
	for _, b := range f.leads(load, net) {
		if f.isKind(b.parts[0], circuit.Relay) && f.open(b) {
			return b
		}
	}
	for _, r := range f.leads(resist|diode, net) { // over a resistor
		o := r.other(net)
		if f.held(o) || f.degree(o) > 3 || len(f.pins[o]) > 0 {
			continue
		}
		for _, b := range f.leads(load, o) {
			if f.isKind(b.parts[0], circuit.Relay) && f.open(b) {
				return b
			}
		}
	}
	return nil
}

// singles names every device that is left by which lead the signal goes in
// and out at, and joins two that are coupled for direct current.
func (f *finder) singles() {
	var made []*draft
	for _, x := range f.freeDevices() {
		if f.diodeOnly(x) || f.limits(x) || !f.free(x) {
			continue
		}
		k := f.configuration(x)
		d := f.startDevice(k, x)
		d.own(f.nets(x.g, x.g0)...)
		for _, w := range f.leads(winding, x.g) { // bias that comes through a winding
			d.own(f.nets(w.other(x.g))...)
		}
		if x.screen >= 0 {
			d.own(f.nets(x.screen)...)
		}
		switch {
		case k == CommonBase || k == CommonGate || k == GroundedGrid:
			d.inputs(f.nets(x.k)...)
			d.outputs(f.nets(x.o)...)
		case k == CommonCollector || k == SourceFollower || k == CathodeFollower:
			d.inputs(f.nets(x.g)...)
			d.outputs(f.nets(x.k)...)
		case k == PhaseSplitter:
			d.inputs(f.nets(x.g)...)
			d.outputs(f.nets(x.o, x.k)...)
		default:
			d.inputs(f.nets(x.g)...)
			d.outputs(f.nets(x.o)...)
		}
		if q := f.limiter(x); q != nil {
			f.take(d, Helper, q.parts...)
			f.takeBranch(d, Helper, q.stopper...)
		}
		if !f.held(x.o) {
			f.takeBranch(d, Feedback, f.openOnes(f.between(resist|capac, x.o, x.g))...)
		}
		d.say = func() { f.saySingle(d, x) }
		made = append(made, d)
	}
	f.directPairs(made)
}

// limiter is the transistor that takes a device's drive away when the drop over
// the ballast in its reference lead turns it on.
func (f *finder) limiter(x *device) *device {
	for _, q := range f.freeDevices() {
		if q != x && q.sign == x.sign && q.o == x.g && q.g == x.k0 && q.k == x.k && x.k != x.k0 {
			return q
		}
	}
	return nil
}

// limits tells whether a device is the limiter of another that is free.
func (f *finder) limits(q *device) bool {
	return slices.ContainsFunc(f.freeDevices(), func(x *device) bool { return f.limiter(x) == q })
}

// diodeOnly tells whether a transistor is wired as a diode.
func (f *finder) diodeOnly(x *device) bool { return x.g == x.o || x.g == x.k && x.family == bipolar }

func (f *finder) configuration(x *device) Kind {
	kinds := map[family][4]Kind{
		bipolar: {CommonEmitter, CommonCollector, CommonBase, Switch},
		fet:     {CommonSource, SourceFollower, CommonGate, Switch},
		valve:   {CommonCathode, CathodeFollower, GroundedGrid, CommonCathode},
	}[x.family]
	if x.family == fet && f.joinsSignals(x) {
		return kinds[3]
	}
	strongO, strongK := f.strongAlong(x.o, x), f.strongAlong(x.k, x)
	switch {
	case f.quiet(x.g) && !f.held(x.k) && f.bypass(x.k) == nil && f.signalAt(x.k, x) && !f.signalAt(x.g, x):
		return kinds[2]
	case f.heldNear(x.o):
		return kinds[1]
	case !f.quiet(x.k) && !f.heldNear(x.k) && strongK && !strongO:
		return kinds[1]
	case !f.quiet(x.k) && strongK && strongO && f.evenLoads(x):
		return PhaseSplitter
	case f.switching(x):
		return kinds[3]
	}
	return kinds[0]
}

// strongAlong tells whether the signal is taken from an end of a device, or from
// a tap of the resistors from there to a rail.
func (f *finder) strongAlong(net int, x *device) bool {
	return slices.ContainsFunc(f.chainNets(net, x), func(n int) bool { return f.strong(n, x) })
}

// chainNets are the nets from an end of a device along its resistors to the
// rail.
func (f *finder) chainNets(net int, x *device) []int {
	out := addNets(nil, f.nets(net))
	if net == x.k {
		out = addNets(out, f.nets(x.k0))
	}
	for _, b := range f.leads(resist, net) {
		if f.held(net) {
			break
		}
		if o := b.other(net); !f.held(o) && o != x.g && o != x.o && o != x.k && f.controlled(o, nil) == nil && len(f.pins[o]) == 0 && f.anyTie(o) {
			out = addNets(out, []int{o})
		}
	}
	return out
}

func (f *finder) anyTie(net int) bool { return len(f.ties(net, common, supply, unsteady)) > 0 }

// footOhms is the resistance of the chain from the reference to a rail.
func (f *finder) footOhms(x *device) float64 {
	for n := range f.names {
		if f.held(n) {
			if p := f.path(x.k, n, resist, 2); p != nil {
				return ohms(p)
			}
		}
	}
	return 0
}

// joinsSignals tells whether a FET joins two signals: nothing ties either end to a
// rail, so that it can only pass or short.
func (f *finder) joinsSignals(x *device) bool {
	tied := func(net int) bool {
		return f.quiet(net) || slices.ContainsFunc(f.leads(resist|induct|winding|load|led, net), func(b *branch) bool { return f.quiet(b.other(net)) }) ||
			slices.ContainsFunc(f.devices, func(d *device) bool { return d != x && (d.o == net || d.k == net) })
	}
	return !tied(x.o) && !tied(x.k)
}

// evenLoads tells whether output and reference have resistors of about one
// value, as a phase splitter has.
func (f *finder) evenLoads(x *device) bool {
	o, k := f.ties(x.o, common, supply, unsteady), f.footOhms(x)
	return len(o) > 0 && o[0].value < 2*k && k < 2*o[0].value
}

// strong tells whether a net leads the signal on: over a capacitor or straight
// to a control, a connector, a load or a transformer.
func (f *finder) strong(net int, x *device) bool {
	if f.held(net) {
		return false
	}
	for _, p := range f.pins[net] {
		if slices.Contains(x.parts, p.part) {
			continue
		}
		return true
	}
	for _, b := range f.on[net] {
		o := b.other(net)
		if o == x.g || o == x.k || o == x.o {
			continue
		}
		switch b.sort {
		case capac:
			if !f.held(o) {
				return true
			}
		case load, winding, meter:
			return true
		case resist:
			// Back to who drives it is feedback, not the signal's way on.
			if d := f.controlled(o, x); !f.held(o) && d != nil && !f.straight(d, x) {
				return true
			}
		}
	}
	return false
}

// switching tells a switch from an amplifier: its reference stands on a rail,
// nothing holds its control half-way, and what drives it comes as direct
// current.
func (f *finder) switching(x *device) bool {
	if x.family == valve || x.family == fet && !x.mos || !f.heldNear(x.k) {
		return false
	}
	if x.family == bipolar && f.selfBiased(x) || x.mos && len(f.between(resist, x.o, x.g)) > 0 {
		return false // biased from its own output
	}
	forward, coupled := false, false
	for _, b := range f.on[x.g] {
		o := b.other(x.g)
		switch {
		case b.sort == resist && f.held(o) && !f.sameRail(o, x) && !f.sensor(b):
			forward = true
		case b.sort == capac && !f.held(o) && len(f.between(resist, x.g, o)) == 0, b.sort == winding:
			coupled = true
		case b.sort == resist && !f.held(o) && (f.biasNode(o, x) || f.steered(o, x)):
			forward = true
		}
	}
	for _, b := range f.leads(resist, x.g) { // the capacitor behind a stopper
		for _, c := range f.leads(capac, b.other(x.g)) {
			if o := c.other(b.other(x.g)); !f.held(o) && !f.held(b.other(x.g)) {
				coupled = true
			}
		}
	}
	if f.tuned(x.o) {
		return false
	}
	if f.overdriven(x) {
		return true
	}
	if f.midway(x) || coupled && len(f.leads(induct|winding, x.o)) > 0 {
		return false
	}
	if !coupled && f.onOff(x) {
		return true
	}
	if coupled {
		return !forward && !f.windingBias(x)
	}
	return true
}

// selfBiased tells whether resistors lead from a device's output to its
// control, whether the point between them is bypassed or not.
func (f *finder) selfBiased(x *device) bool {
	if f.held(x.o) || f.held(x.g) {
		return false
	}
	for _, b := range f.leads(resist, x.o) {
		if o := b.other(x.o); o == x.g || !f.held(o) && len(f.between(resist, o, x.g)) > 0 && len(f.pins[o]) == 0 {
			return true
		}
	}
	return false
}

// steered tells whether a net stands half-way by other devices: a resistor from
// there is feedback for direct current.
func (f *finder) steered(net int, x *device) bool {
	return slices.ContainsFunc(f.devices, func(d *device) bool {
		return d != x && (d.k == net || d.k0 == net) && (f.heldNear(d.o) || f.straight(x, d))
	})
}

// saturation is how many times more current than its load lets through a
// transistor must be biased for to count as a switch that rests on. An amplifier
// rests at about half of that (tuned on no circuit).
const saturation = 3

// overdriven tells whether the bias alone saturates the transistor by far.
func (f *finder) overdriven(x *device) bool {
	if x.family != bipolar || !f.held(x.k) || len(f.leads(winding|induct, x.o)) > 0 {
		return false
	}
	i, ok := f.collectorCurrent(x)
	v, known := f.highest()
	if !ok || !known {
		return false
	}
	most := 0.0
	for _, b := range f.leads(resist, x.o) {
		if o := b.other(x.o); b.value > 0 && o != x.k && !f.onlyControl(o) {
			most += math.Abs(v-f.volts[x.k]) / b.value
		}
	}
	return most > 0 && i > saturation*most
}

// onOff tells whether the output works a lamp, a motor or the like.
func (f *finder) onOff(x *device) bool {
	return slices.ContainsFunc(f.leads(load|led, x.o), func(b *branch) bool {
		switch f.c.Parts[b.parts[0]].Kind {
		case circuit.Lamp, circuit.Motor, circuit.Heater, circuit.Buzzer, circuit.LED, circuit.Optocoupler:
			return f.held(b.other(x.o)) || b.sort == led
		}
		return false
	})
}

// midway tells from what is about it that a device works between on and off: a
// capacitor from output to control slows it, a pair drives it, or it drives both
// halves of an output stage.
func (f *finder) midway(x *device) bool {
	if len(f.between(capac, x.o, x.g)) > 0 {
		return true
	}
	return slices.ContainsFunc(f.drafts, func(d *draft) bool {
		return d.kind == PushPull && slices.Contains(d.in, x.o) || d.kind == DifferentialPair && slices.Contains(d.out, x.g)
	})
}

// onlyControl tells whether a net is a control behind its stopper.
func (f *finder) onlyControl(net int) bool {
	return f.degree(net) == 2 && slices.ContainsFunc(f.pins[net], func(p pin) bool { return isControl(p.lead) })
}

// windingBias tells whether the control gets its bias through a winding.
func (f *finder) windingBias(x *device) bool {
	for _, w := range f.leads(winding, x.g) {
		if o := w.other(x.g); !f.held(o) {
			return true
		}
	}
	return false
}

// biasNode tells whether a net behind a resistor is a bias point: tied to the
// output side's rail, and carrying no signal of its own.
func (f *finder) biasNode(net int, x *device) bool {
	if f.drivenNet(net, x) {
		return false
	}
	for _, b := range f.leads(resist, net) {
		if o := b.other(net); f.held(o) && !f.sameRail(o, x) {
			return true
		}
	}
	return false
}

// tuned tells whether a coil with a capacitor across it hangs on a net.
func (f *finder) tuned(net int) bool {
	for _, l := range f.leads(induct|winding, net) {
		if len(f.between(capac, l.a, l.b)) > 0 {
			return true
		}
	}
	return false
}

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

// couplers takes optocouplers with the resistors on either side.
func (f *finder) couplers() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.Optocoupler || f.taken[i] >= 0 {
			continue
		}
		d := f.start(OptoLink, i)
		a, k, c, e := f.net(i, "a"), f.net(i, "k"), f.net(i, "c"), f.net(i, "e")
		d.own(f.nets(a, k)...)
		d.inputs(f.nets(a, k)...)
		f.takeBranch(d, Helper, f.openOnes(f.between(diode, a, k))...)
		d.outputs(f.nets(c, e)...)
		d.say = func() { f.sayCoupler(d, i) }
	}
}
