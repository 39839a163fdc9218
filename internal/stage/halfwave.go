package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// halfWaves finds single diodes between an alternating net and a reservoir.
func (f *finder) halfWaves() {
	for _, x := range f.rectifying() {
		if !f.open(x) {
			continue
		}
		for _, end := range [2][2]int{{x.a, x.b}, {x.b, x.a}} {
			from, to := end[0], end[1]
			if (f.fed(from) || f.amplified(from, to)) && !f.held(from) && f.halfWave(x, from, to) {
				break
			}
		}
	}
}

// detectorFarads is the most that the reservoir of a detector has; mains
// reservoirs have a hundred times as much (common practice).
const detectorFarads = 100e-9

func (f *finder) halfWave(x *branch, from, to int) bool {
	if f.alternating(to) || f.rail[to] == supply {
		return false
	}
	back, c := f.reservoir(from, to)
	watched := f.driven(to)
	if back < 0 || watched && (c == nil || !f.watched(to)) {
		return false
	}
	if !f.mains(from) && f.worksControl(to) {
		return false // a level that comes from outside and is held for a while
	}
	kind := HalfWave
	if watched || !f.fed(from) {
		kind = Detector
	}
	small := c != nil && (c.value > 0 && c.value < detectorFarads || c.value <= 0 && f.isKind(c.parts[0], circuit.Capacitor))
	if small && f.carriesSignal(from) {
		kind = Detector
	}
	d := f.start(kind, x.parts...)
	f.finishRectifier(d, []int{from}, to, back)
	if kind == Detector {
		if f.rail[to] == unsteady {
			f.rail[to] = noRail
		}
		for _, b := range f.openOnes(f.leads(resist, to)) {
			if b.half || f.held(b.other(to)) {
				f.takeBranch(d, Load, b)
			}
		}
		d.say = func() { f.sayDetector(d, to, back) }
		return true
	}
	d.say = func() { f.sayRectifier(d, from, back, to, back, 1, 1) }
	return true
}

// amplified tells whether a net is the output of an operational amplifier that
// doesn't have the other net at its inputs: there the diode detects, inside the
// feedback it would belong to the amplifier.
func (f *finder) amplified(from, to int) bool {
	return slices.ContainsFunc(f.pins[from], func(p pin) bool {
		return f.isKind(p.part, circuit.OpAmp) && p.lead == "out" && f.net(p.part, "-in") != to && f.net(p.part, "+in") != to &&
			len(f.between(resist, to, f.net(p.part, "-in"))) == 0
	})
}

// worksControl tells whether a resistor leads from a net to the control of a
// device.
func (f *finder) worksControl(net int) bool {
	return slices.ContainsFunc(f.leads(resist, net), func(b *branch) bool {
		o := b.other(net)
		return !f.held(o) && f.controlled(o, nil) != nil
	}) || f.controlled(net, nil) != nil
}

// watched tells whether a net's only controls are inputs that take no current: a
// detector's capacitor may stand there.
func (f *finder) watched(net int) bool {
	for _, p := range f.pins[net] {
		switch f.c.Parts[p.part].Kind {
		case circuit.OpAmp, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.Connector:
		default:
			return false
		}
	}
	return true
}

// driven tells whether a net is the control of a device or block, which no
// supply's output is.
func (f *finder) driven(net int) bool {
	if f.controlled(net, nil) != nil {
		return true
	}
	for _, p := range f.pins[net] {
		steered := false
		switch f.c.Parts[p.part].Kind {
		case circuit.SCR, circuit.Triac:
			steered = p.lead == "g"
		case circuit.UJT:
			steered = p.lead == "e"
		case circuit.OpAmp:
			steered = p.lead == "+in" || p.lead == "-in"
		case circuit.Timer555:
			steered = p.lead != "8" && p.lead != "4" && p.lead != "1"
		}
		if steered {
			return true
		}
	}
	return false
}

// reservoir is the net that a rectified net's capacitor leads back to, or its
// load where it has none.
func (f *finder) reservoir(from, to int) (int, *branch) {
	for _, b := range f.leads(capac, to) {
		if o := b.other(to); o == f.common || f.returns(from, o) {
			return o, b
		}
	}
	for _, b := range f.leads(resist|load, to) {
		if o := b.other(to); f.returns(from, o) && f.degree(to) == 2 {
			return o, nil
		}
	}
	return -1, nil
}

// returns tells whether the winding or source that feeds a net comes back on
// another.
func (f *finder) returns(from, back int) bool {
	ends := []int{from}
	for _, b := range f.feedPath(from) {
		ends = append(ends, b.a, b.b)
	}
	for _, e := range ends {
		for _, b := range f.leads(winding|source, e) {
			if b.other(e) == back || f.held(b.other(e)) && back == f.common {
				return true
			}
		}
		for _, p := range f.pins[e] {
			if f.c.Parts[p.part].Kind == circuit.Connector && back == f.common {
				return true
			}
		}
	}
	return false
}

// carriesSignal tells a stage's signal from mains: the winding belongs to a
// tuned transformer, or the source is a signal of less than 10 V.
func (f *finder) carriesSignal(net int) bool {
	if f.tuned(net) {
		return true
	}
	for _, b := range f.leads(winding, net) {
		for _, w := range f.branches {
			if w.sort == winding && w.parts[0] == b.parts[0] && len(f.between(capac, w.a, w.b)) > 0 {
				return true
			}
		}
	}
	for _, b := range f.leads(source, net) {
		if v, ok := f.c.Parts[b.parts[0]].Amount("voltage"); !f.steady(b) && ok && v < 10 {
			return true
		}
		if v, ok := f.c.Parts[b.parts[0]].Amount("frequency"); !f.steady(b) && ok && v > 1000 {
			return true
		}
	}
	for _, p := range f.pins[net] {
		if k := f.c.Parts[p.part].Kind; k == circuit.OpAmp && p.lead == "out" {
			return true
		}
	}
	return false
}
