package stage

import "slices"

// transformerOscillators finds devices whose output drives one winding and
// whose control, or reference, is driven from another of the same core. A
// capacitor across a winding tunes it; without one it blocks (A. T. Starr, Radio
// and Radar Technique, 1953, from memory).
func (f *finder) transformerOscillators() {
	f.converters()
	for _, x := range f.freeDevices() {
		w1 := f.windingAt(x.o)
		if w1 == nil {
			w1 = f.windingAt(x.k) // the load in the emitter
		}
		if w1 == nil {
			continue
		}
		w2, through := f.feedbackWinding(x, w1)
		if w2 == nil || f.threePoint(x) != nil {
			continue
		}
		f.transformerOscillator(x, w1, w2, through)
	}
}

func (f *finder) windingAt(net int) *branch {
	if f.held(net) {
		return nil
	}
	for _, b := range f.leads(winding, net) {
		return b
	}
	return nil
}

// feedbackWinding is another winding of the core that reaches the device's
// control or reference, and what lies between.
func (f *finder) feedbackWinding(x *device, w1 *branch) (*branch, []*branch) {
	for _, w2 := range f.windings(w1.parts[0]) {
		if w2 == w1 {
			continue
		}
		for _, end := range []int{w2.a, w2.b} {
			if f.held(end) {
				continue
			}
			for _, to := range []int{x.g, x.g0, x.k} {
				if end == to && (to != x.k || f.quiet(x.g) && !f.quiet(x.k)) {
					return w2, nil
				}
			}
			if end == w1.a || end == w1.b {
				continue
			}
			if p := f.path(end, x.g, resist|capac|diode, 3); p != nil && !f.held(x.g) {
				return w2, f.beside(p)
			}
			if f.quiet(x.g) && !f.quiet(x.k) { // into the emitter of a grounded base
				if p := f.path(end, x.k, resist|capac, 2); p != nil {
					return w2, f.beside(p)
				}
			}
		}
	}
	return nil, nil
}

func (f *finder) transformerOscillator(x *device, w1, w2 *branch, through []*branch) {
	kind := BlockingOsc
	tank := f.tank(w1.parts[0])
	if tank != nil {
		kind = TransformerOsc
	}
	d := f.startDevice(kind, x)
	f.take(d, Core, w1.parts...)
	f.takeBranch(d, Feedback, through...)
	f.takeBranch(d, Timing, tank)
	nets := f.nets(x.g, x.k, x.o, w2.a, w2.b)
	d.own(nets...)
	for _, n := range nets {
		for _, b := range f.openOnes(f.leads(resist|capac|diode, n)) {
			if n != x.o || len(f.between(b.sort, w1.a, w1.b)) > 0 || b.sort == resist && b.other(n) == x.g {
				if b.sort == diode && n == x.o {
					continue
				}
				f.takeBranch(d, Bias, b)
			}
		}
	}
	for _, b := range f.openOnes(f.between(diode|capac|resist, w1.a, w1.b)) {
		f.takeBranch(d, Helper, b)
	}
	for _, w := range f.windings(w1.parts[0]) {
		if w != w2 && w != w1 {
			d.outputs(f.nets(w.a, w.b)...)
		}
	}
	if len(f.windings(w1.parts[0])) == 2 {
		d.outputs(f.nets(x.o)...)
	}
	d.say = func() { f.sayTransformerOscillator(d, x, w1, w2, tank, through) }
}

// mostTank is the most that a tank capacitor has (common practice).
const mostTank = 1e-6

// tank is a capacitor across a winding of the transformer, over quiet nets too.
func (f *finder) tank(t int) *branch {
	all := f.windings(t)
	for _, v := range all { // across two windings in series
		for _, w := range all {
			for _, p := range [][2]int{{v.a, v.b}, {v.b, v.a}} {
				if w == v || w.a != p[1] && w.b != p[1] || f.quiet(p[1]) {
					continue
				}
				for _, c := range f.between(capac, p[0], w.other(p[1])) {
					if c.value < mostTank {
						return c
					}
				}
			}
		}
	}
	for _, w := range f.windings(t) {
		for _, b := range f.between(capac, w.a, w.b) {
			if b.value < mostTank {
				return b
			}
		}
		for _, end := range [][2]int{{w.a, w.b}, {w.b, w.a}} {
			if !f.quiet(end[1]) {
				continue
			}
			for _, b := range f.leads(capac, end[0]) {
				if f.quiet(b.other(end[0])) && !f.quiet(end[0]) && b.value > 0 && b.value < mostTank && f.degreeDevices(end[0]) {
					return b
				}
			}
		}
	}
	return nil
}

// degreeDevices tells whether a device's output is on the net.
func (f *finder) degreeDevices(net int) bool {
	return slices.ContainsFunc(f.devices, func(d *device) bool { return d.o == net })
}

// converters finds two transistors that drive the halves of a centre-tapped
// winding in turn, each fed back from a winding of the same core (G. H. Royer,
// Trans. AIEE 74 (1955) 322; from memory).
func (f *finder) converters() {
	all := f.freeDevices()
	for i, x := range all {
		for _, y := range all[i+1:] {
			if !f.free(x) || !f.free(y) || x.sign*y.sign < 0 || f.centre(x.o, y.o) < 0 {
				continue
			}
			wx, wy := f.windingAt(x.o), f.windingAt(y.o)
			if wx == nil || wy == nil {
				continue
			}
			fx, tx := f.feedbackWinding(x, wx)
			fy, ty := f.feedbackWinding(y, wy)
			if fx == nil || fy == nil {
				continue
			}
			d := f.startDevice(PushPullConv, x, y)
			f.take(d, Core, wx.parts...)
			f.takeBranch(d, Feedback, slices.Concat(tx, ty)...)
			d.own(f.nets(x.g, y.g, x.o, y.o, fx.a, fx.b, fy.a, fy.b)...)
			for _, n := range f.nets(x.g, y.g, fx.a, fx.b, fy.a, fy.b) {
				f.takeBranch(d, Bias, f.openOnes(f.leads(resist|capac|diode, n))...)
			}
			f.takeBranch(d, Helper, f.openOnes(f.between(capac|resist, x.o, y.o))...)
			for _, w := range f.windings(wx.parts[0]) {
				if w != wx && w != wy && w != fx && w != fy {
					d.outputs(f.nets(w.a, w.b)...)
				}
			}
			d.say = func() { f.sayConverter(d, x, y, wx) }
		}
	}
}
