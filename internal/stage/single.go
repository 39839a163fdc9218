package stage

import "slices"

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
	if len(o) > 0 && o[0].value <= 0 && k <= 0 && f.anyTie(x.k) {
		return true // as far as can be told
	}
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
