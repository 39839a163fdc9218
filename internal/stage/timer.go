package stage

import "foilside/internal/circuit"

// timers tells what the parts about a 555 make of it: with threshold and
// trigger on one timing capacitor it runs free, with threshold and discharge
// on it and the trigger apart it gives one pulse.
func (f *finder) timers() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.Timer555 || f.taken[i] >= 0 {
			continue
		}
		pin := func(n circuit.LeadName) int { return f.net(i, n) }
		trig, out, thr, dis, ctl, foot := pin("2"), pin("3"), pin("6"), pin("7"), pin("5"), pin("1")
		trig, dis = f.behind(trig, thr), f.behind(dis, thr)
		kind := TimerOther
		timing := f.timingCap(thr, foot)
		switch {
		case trig == thr && timing != nil && f.charges(thr, dis, out):
			kind = TimerAstable
		case dis == thr && trig != thr && timing != nil:
			kind = TimerMonostable
		case trig == thr && timing != nil:
			kind = TimerAstable
		}
		d := f.start(kind, i)
		d.own(f.nets(pin("2"), pin("6"), pin("7"), pin("5"), pin("4"), thr, dis)...)
		d.outputs(out)
		if kind == TimerMonostable || kind == TimerOther {
			d.inputs(f.nets(trig)...)
		}
		f.takeBranch(d, Timing, timing)
		f.takeTiming(d, thr, dis, out)
		if ctl != foot {
			f.takeBranch(d, Bypass, f.openOnes(f.between(capac, ctl, foot))...)
		}
		if !f.held(pin("4")) {
			f.takeBranch(d, Bias, f.openOnes(f.leads(resist|diode, pin("4")))...)
		}
		d.say = func() { f.sayTimer(d, i, thr, dis, out, timing) }
	}
}

// behind passes over a small resistor between two pins.
func (f *finder) behind(net, to int) int {
	for _, b := range f.between(resist, net, to) {
		if b.value > 0 && b.value < 500 && f.degree(net) == 2 {
			return to
		}
	}
	return net
}

func (f *finder) timingCap(net, foot int) *branch {
	for _, b := range f.leads(capac, net) {
		if o := b.other(net); o == foot || f.held(o) {
			return b
		}
	}
	return nil
}

// charges tells whether the timing net gets its current from the discharge
// pin's resistors or from the output.
func (f *finder) charges(thr, dis, out int) bool {
	if dis >= 0 && f.path(thr, dis, resist|diode, 3) != nil {
		return true
	}
	return f.path(thr, out, resist|diode, 3) != nil
}

func (f *finder) takeTiming(d *draft, thr, dis, out int) {
	for _, net := range f.nets(thr, dis) {
		for _, b := range f.openOnes(f.leads(resist|diode, net)) {
			o := b.other(net)
			inner := o == thr || o == dis || o == out || f.held(o)
			if !inner && len(f.pins[o]) == 0 && f.degree(o) <= 3 { // over a diode or a control
				d.own(o)
				f.takeBranch(d, Timing, f.openOnes(f.leads(resist|diode, o))...)
				inner = true
			}
			if inner {
				f.takeBranch(d, Timing, b)
			}
		}
	}
}
