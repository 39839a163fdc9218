package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// phaseShifts finds inverting amplifiers whose output returns to their input
// over three or more RC sections (E. L. Ginzton, L. M. Hollingsworth, Proc. IRE
// 29 (1941) 43; from memory), and those with a Wien bridge.
func (f *finder) phaseShifts() {
	for _, x := range f.freeDevices() {
		if f.held(x.o) {
			continue
		}
		if l := f.ladder(x.o, x.g, capac); l != nil {
			f.phaseShift(l, x.o, f.startDevice(PhaseShift, x))
		} else if l := f.ladder(x.o, x.g, resist); l != nil {
			f.phaseShift(l, x.o, f.startDevice(PhaseShift, x))
		}
	}
	f.together(func(x, y *device) {
		if !f.wienPair(x, y) {
			f.wienPair(y, x)
		}
	})
	for i, p := range f.c.Parts {
		if p.Kind != circuit.OpAmp || f.taken[i] >= 0 {
			continue
		}
		out, minus, plus := f.net(i, "out"), f.net(i, "-in"), f.net(i, "+in")
		l := f.ladder(out, minus, capac)
		if l == nil {
			l = f.ladder(out, minus, resist)
		}
		if l != nil {
			d := f.start(PhaseShift, i)
			f.phaseShift(l, out, d)
			d.own(f.nets(minus, plus)...)
			continue
		}
		f.wien(i, out, plus, minus)
	}
}

// rung is one section of a ladder.
type rung struct{ series, shunt *branch }

// ladder is a chain of at least three sections from the output: in series one
// sort, at every net between a branch of the other sort to a quiet net. The
// last section may end in a resistor into the input instead.
func (f *finder) ladder(out, in int, series sort) []rung {
	if f.held(in) || f.held(out) || out == in {
		return nil
	}
	shunt := (resist | capac) &^ series
	var walk func(net int, rungs []rung) []rung
	walk = func(net int, rungs []rung) []rung {
		if len(rungs) > 6 {
			return nil
		}
		for _, b := range f.leads(series, net) {
			o := b.other(net)
			if f.held(o) || o == out || slices.ContainsFunc(rungs, func(r rung) bool { return r.series == b }) {
				continue
			}
			next := append(slices.Clone(rungs), rung{series: b})
			if o == in {
				if s := f.shuntAt(o, shunt, out); s != nil {
					next[len(next)-1].shunt = s
				}
				if len(next) >= 3 && f.allShunted(next[:len(next)-1]) {
					return next
				}
				continue
			}
			if series == capac && len(next) >= 3 { // the last over a resistor into the input
				for _, r := range f.leads(resist, o) {
					if r.other(o) == in && f.allShunted(next[:len(next)-1]) {
						return append(next, rung{series: r})
					}
				}
			}
			s := f.shuntAt(o, shunt, out)
			if s == nil {
				continue
			}
			next[len(next)-1].shunt = s
			if got := walk(o, next); got != nil {
				return got
			}
		}
		return nil
	}
	return walk(out, nil)
}

func (f *finder) shuntAt(net int, s sort, out int) *branch {
	for _, b := range f.leads(s, net) {
		if o := b.other(net); o != out && f.held(o) {
			return b
		}
	}
	for _, b := range f.leads(s, net) { // the last resistor may be the one into the virtual earth
		if o := b.other(net); o != out && f.virtualEarth(o) {
			return b
		}
	}
	return nil
}

// virtualEarth tells whether a net is an operational amplifier's inverting
// input.
func (f *finder) virtualEarth(net int) bool {
	return slices.ContainsFunc(f.pins[net], func(p pin) bool {
		return f.c.Parts[p.part].Kind == circuit.OpAmp && p.lead == "-in"
	})
}

func (f *finder) allShunted(rungs []rung) bool {
	return !slices.ContainsFunc(rungs, func(r rung) bool { return r.shunt == nil })
}

func (f *finder) phaseShift(l []rung, out int, d *draft) {
	for _, r := range l {
		f.takeBranch(d, Timing, r.series, r.shunt)
		for _, n := range f.nets(r.series.a, r.series.b) {
			if n != out {
				d.own(n)
			}
		}
	}
	d.outputs(out)
	d.say = func() { f.sayPhaseShift(d, l) }
}

// wienPair finds the same bridge about two inverting devices: from the second's
// output in series to the first's control, and from there in parallel to common.
func (f *finder) wienPair(x, y *device) bool {
	if f.held(x.g) || f.held(y.o) || f.held(x.o) || !f.couple(x.o, y.g).ok {
		return false
	}
	var lowR, lowC *branch
	for _, b := range f.leads(resist|capac, x.g) {
		switch o := b.other(x.g); {
		case !f.held(o):
		case b.sort == capac:
			lowC = b
		case lowR == nil || o == f.common:
			lowR = b
		}
	}
	if lowR == nil || lowC == nil {
		return false
	}
	up := f.path(y.o, x.g, resist|capac, 3)
	if !reach(up, resist) || !slices.ContainsFunc(up, func(b *branch) bool { return b.sort == capac && same(b.value, lowC.value) }) {
		return false
	}
	d := f.startDevice(WienBridge, x, y)
	f.takeBranch(d, Timing, lowR, lowC)
	f.takeBranch(d, Timing, up...)
	f.takeBranch(d, Coupling, f.couple(x.o, y.g).branches...)
	d.own(f.nets(x.g, y.g, x.o, x.k)...)
	d.outputs(f.nets(y.o)...)
	d.say = func() { f.sayWien(d, lowR, lowC, x.k, y.o) }
	return true
}

// wien finds a resistor and a capacitor in series from output to the
// non-inverting input, with as much in parallel from there to common.
func (f *finder) wien(i, out, plus, minus int) {
	if f.held(plus) || f.held(out) {
		return
	}
	var lowR, lowC *branch
	for _, b := range f.leads(resist|capac, plus) {
		if f.quiet(b.other(plus)) {
			if b.sort == resist {
				lowR = b
			} else {
				lowC = b
			}
		}
	}
	if lowR == nil || lowC == nil {
		return
	}
	up := f.path(plus, out, resist|capac, 2)
	if len(up) != 2 || up[0].sort == up[1].sort {
		return
	}
	d := f.start(WienBridge, i)
	f.takeBranch(d, Timing, lowR, lowC)
	f.takeBranch(d, Timing, up...)
	d.own(f.nets(plus, minus)...)
	d.outputs(out)
	d.say = func() { f.sayWien(d, lowR, lowC, minus, out) }
}
