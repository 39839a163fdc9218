package stage

import (
	"math"
	"slices"

	"foilside/internal/circuit"
)

// switching tells a switch from an amplifier: its reference stands on a rail,
// nothing holds its control half-way, and what drives it comes as direct
// current.
func (f *finder) switching(x *device) bool {
	if x.family == valve || x.family == fet && !x.mos || !f.heldNear(x.k) || f.onReference(x.k) {
		return false
	}
	if x.family == bipolar && f.selfBiased(x) || x.mos && len(f.between(resist, x.o, x.g)) > 0 {
		return false // biased from its own output
	}
	forward, coupled := false, false
	for _, b := range f.on[x.g] {
		o := b.other(x.g)
		switch {
		case b.sort == resist && f.held(o) && !f.sameRail(o, x) && !f.sensor(b) && !f.reverses(o, x):
			forward = true
		case b.sort == capac && !f.held(o) && len(f.between(resist, x.g, o)) == 0, b.sort == winding:
			coupled = true
		case b.sort == resist && !f.held(o) && (f.biasNode(o, x) || f.steered(o, x)):
			forward = true
		}
	}
	for _, b := range f.leads(resist, x.g) { // the capacitor behind a stopper
		for _, c := range f.leads(capac, b.other(x.g)) {
			if o := c.other(b.other(x.g)); !f.held(o) && !f.held(b.other(x.g)) && o != x.g {
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

// onReference tells whether a net is held by a zener or a stabiliser tube: a
// device that stands there compares.
func (f *finder) onReference(net int) bool {
	return slices.ContainsFunc(f.drafts, func(d *draft) bool {
		return (d.kind == ZenerRegulator || d.kind == GasRegulator) && slices.Contains(d.out, net)
	})
}

// reverses tells whether a rail draws a control away from conducting.
func (f *finder) reverses(rail int, x *device) bool {
	return f.known[rail] && f.held(x.k) && f.known[x.k] && x.sign*(f.volts[rail]-f.volts[x.k]) < 0
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
