package stage

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
