package stage

import "foilside/internal/circuit"

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
