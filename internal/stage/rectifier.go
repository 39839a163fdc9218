package stage

import (
	"math"
	"slices"

	"foilside/internal/circuit"
)

// alternating tells whether a net is driven by a winding or a signal source.
func (f *finder) alternating(net int) bool {
	return net >= 0 && len(f.leads(winding, net)) > 0 || f.fromSignal(net)
}

func (f *finder) fromSignal(net int) bool {
	for _, b := range f.leads(source, net) {
		if !f.steady(b) {
			return true
		}
	}
	return false
}

// fed tells whether alternating current reaches a net: directly, through a
// switch, a surge resistor, a choke or a dropper capacitor, or from outside.
func (f *finder) fed(net int) bool { return len(f.feedPath(net)) > 0 || f.fedDirectly(net) }

func (f *finder) fedDirectly(net int) bool {
	if net < 0 || net == f.common || f.rail[net] == supply {
		return false
	}
	if f.alternating(net) {
		return true
	}
	for _, p := range f.pins[net] {
		if f.c.Parts[p.part].Kind == circuit.Connector {
			return true
		}
	}
	return false
}

// surgeOhms is the most that a resistor in the way of a rectifier may have.
const surgeOhms = 22e3

// feedPath is the way from a net to where the alternating current comes in.
func (f *finder) feedPath(net int) []*branch {
	if net < 0 || f.held(net) || f.fedDirectly(net) {
		return nil
	}
	type step struct {
		net  int
		path []*branch
	}
	queue, seen := []step{{net: net}}, map[int]bool{net: true}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, b := range f.on[at.net] {
			o := b.other(at.net)
			pass := b.sort&(contact|induct|capac|load) != 0 || b.sort == resist && b.value <= surgeOhms
			if !pass || seen[o] || f.held(o) {
				continue
			}
			seen[o] = true
			path := append(slices.Clone(at.path), b)
			if f.fedDirectly(o) {
				return path
			}
			if len(path) < 3 && f.degree(o) <= 3 && len(f.pins[o]) == 0 {
				queue = append(queue, step{o, path})
			}
		}
	}
	return nil
}

// rectifying lists the diodes that no stage has, leaving out what only clamps
// a coil.
func (f *finder) rectifying() []*branch {
	var out []*branch
	for _, b := range f.branches {
		if b.sort == diode && f.open(b) && len(f.between(winding|load|induct|contact, b.a, b.b)) == 0 {
			out = append(out, b)
		}
	}
	return out
}

// bridges finds the diamond of four: two alternating nets, each with a diode
// to plus and one from minus.
func (f *finder) bridges() {
	all := f.rectifying()
	for i, x := range all {
		for _, y := range all[i+1:] {
			if x.b != y.b || x.a == y.a || !f.open(x) || !f.open(y) {
				continue
			}
			if lower := f.lowerArms(all, x.a, y.a, x.b); lower != nil && (f.fed(x.a) || f.fed(y.a)) {
				f.bridge(x, y, lower[0], lower[1])
			}
		}
	}
}

// lowerArms are the two diodes that lead from one net to u and to v.
func (f *finder) lowerArms(all []*branch, u, v, plus int) []*branch {
	for _, x := range all {
		for _, y := range all {
			if x.b == u && y.b == v && x.a == y.a && x.a != plus && f.open(x) && f.open(y) {
				return []*branch{x, y}
			}
		}
	}
	return nil
}

func (f *finder) bridge(x, y, lowX, lowY *branch) {
	plus, minus := x.b, lowX.a
	if len(f.leads(meter, plus)) > 0 && len(f.leads(meter, minus)) > 0 {
		return // a rectifier meter: see meters
	}
	d := f.start(BridgeRectifier, slices.Concat(x.parts, y.parts, lowX.parts, lowY.parts)...)
	f.finishRectifier(d, []int{x.a, y.a}, plus, minus)
	d.say = func() { f.sayRectifier(d, x.a, y.a, plus, minus, 2, 2) }
}

// fullWaves finds two diodes from the ends of a centre-tapped winding.
func (f *finder) fullWaves() {
	all := f.rectifying()
	for i, x := range all {
		for _, y := range all[i+1:] {
			if !f.open(x) || !f.open(y) || !f.fed(f.outer(x, y)) {
				continue
			}
			u, v, plus := x.a, y.a, x.b
			positive := x.b == y.b && x.a != y.a
			if x.a == y.a && x.b != y.b {
				u, v, plus = x.b, y.b, x.a
			} else if !positive {
				continue
			}
			if tap := f.centre(u, v); tap >= 0 && tap != plus {
				d := f.start(FullWave, append(slices.Clone(x.parts), y.parts...)...)
				f.finishRectifier(d, []int{u, v}, plus, tap)
				d.say = func() { f.sayRectifier(d, u, tap, plus, tap, 2, 1) }
			}
		}
	}
}

func (f *finder) outer(x, y *branch) int {
	if x.b == y.b {
		return x.a
	}
	return x.b
}

// centre is the net on which the windings of u and v meet, -1 for none.
func (f *finder) centre(u, v int) int {
	for _, x := range f.leads(winding, u) {
		for _, y := range f.leads(winding, v) {
			if x != y && x.parts[0] == y.parts[0] && x.other(u) == y.other(v) {
				return x.other(u)
			}
		}
	}
	return -1
}

// halfWaves finds single diodes between an alternating net and a reservoir.
func (f *finder) halfWaves() {
	for _, x := range f.rectifying() {
		if !f.open(x) {
			continue
		}
		for _, end := range [2][2]int{{x.a, x.b}, {x.b, x.a}} {
			from, to := end[0], end[1]
			if f.fed(from) && !f.held(from) && f.halfWave(x, from, to) {
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
	if watched {
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

// finishRectifier takes what belongs to a rectifier and makes a rail of its
// output.
func (f *finder) finishRectifier(d *draft, in []int, plus, minus int) {
	d.outputs(plus)
	if minus != f.common {
		d.outputs(minus)
	}
	d.inputs(in...)
	for _, net := range in {
		for _, b := range f.feedPath(net) {
			if b.sort != load {
				f.takeBranch(d, Helper, b)
			}
		}
		for _, b := range f.leads(capac|resist, net) { // snubbers
			if f.open(b) && slices.Contains(in, b.other(net)) {
				f.takeBranch(d, Helper, b)
			}
		}
		f.takeMains(d, net)
	}
	for _, net := range []int{plus, minus} {
		for _, b := range f.leads(capac, net) {
			o := b.other(net)
			if f.open(b) && (o == plus || o == minus || o == f.common || f.middle(in, o)) && b.value >= 0 {
				f.takeBranch(d, Load, b)
			}
		}
	}
	for _, b := range f.between(resist, plus, minus) {
		if f.open(b) {
			f.takeBranch(d, Helper, b)
		}
	}
	volts, known := f.peak(in, minus, d.kind)
	f.makeRail(plus, minus, volts, known)
}

// middle tells whether a net is the centre tap of what feeds a rectifier.
func (f *finder) middle(in []int, net int) bool {
	return len(in) == 2 && f.centre(in[0], in[1]) == net
}

// makeRail marks what a rectifier feeds. Where its other pole isn't held, that
// becomes a rail too.
func (f *finder) makeRail(plus, minus int, volts float64, known bool) {
	if plus == f.common {
		plus, minus, volts = minus, plus, -volts
	}
	if f.rail[plus] == noRail {
		f.rail[plus] = unsteady
		f.volts[plus], f.known[plus] = volts, known && (f.known[minus] || !f.held(minus))
	}
	if f.rail[minus] == noRail {
		f.rail[minus] = unsteady
	}
}

// takeMains takes the transformer before a rectifier where it is fed from
// outside, with the switch before it.
func (f *finder) takeMains(d *draft, net int) {
	for _, b := range f.leads(winding, net) {
		t := b.parts[0]
		if f.taken[t] >= 0 || !f.fedFromOutside(t) {
			continue
		}
		f.take(d, Core, t)
		for _, w := range f.windings(t) {
			for _, end := range []int{w.a, w.b} {
				f.take(d, Helper, f.merged[end]...)
				for _, s := range f.leads(contact, end) {
					if f.open(s) && f.fedDirectly(s.other(end)) {
						f.takeBranch(d, Helper, s)
						f.take(d, Helper, f.merged[s.other(end)]...)
					}
				}
			}
		}
	}
	f.take(d, Helper, f.merged[net]...)
}

// windings lists the branches of a transformer.
func (f *finder) windings(t int) []*branch {
	var out []*branch
	for _, b := range f.branches {
		if b.sort == winding && b.parts[0] == t {
			out = append(out, b)
		}
	}
	return out
}

// fedFromOutside tells whether a winding of the transformer is on a signal
// source or a connector, and none on a device.
func (f *finder) fedFromOutside(t int) bool {
	outside := false
	for _, w := range f.windings(t) {
		for _, end := range []int{w.a, w.b} {
			for _, p := range f.pins[end] {
				if k := f.c.Parts[p.part].Kind; k != circuit.Connector && k != circuit.Relay && k != circuit.Changeover {
					if !f.held(end) {
						return false
					}
				}
			}
			for _, b := range f.leads(contact, end) {
				if f.fromSignal(b.other(end)) || f.fedDirectly(b.other(end)) {
					outside = true
				}
			}
			if f.fromSignal(end) {
				outside = true
			}
			for _, p := range f.pins[end] {
				outside = outside || f.c.Parts[p.part].Kind == circuit.Connector
			}
		}
	}
	return outside
}

// peak is the greatest voltage that a rectifier can charge its reservoir to.
func (f *finder) peak(in []int, minus int, k Kind) (float64, bool) {
	from, back := in[0], minus
	drops := 1.0
	if k == BridgeRectifier && len(in) == 2 {
		back, drops = in[1], 2
	}
	rms, ok := f.rms(from, back)
	if !ok {
		return 0, false
	}
	return math.Sqrt2*rms - 0.7*drops, true
}

// rms is the alternating voltage between two nets, where a source or a
// transformer's turns say it.
func (f *finder) rms(from, back int) (float64, bool) {
	if path := f.feedPath(from); len(path) > 0 {
		for _, b := range path {
			for _, n := range []int{b.a, b.b} {
				if f.fedDirectly(n) {
					from = n
				}
			}
		}
	}
	for _, b := range f.leads(source, from) {
		if v, ok := f.c.Parts[b.parts[0]].Amount("voltage"); ok && !f.steady(b) {
			return v, true
		}
	}
	for _, b := range f.leads(winding, from) {
		t := f.c.Parts[b.parts[0]]
		for _, w := range f.windings(b.parts[0]) {
			if w == b {
				continue
			}
			v, ok := f.primaryVolts(w)
			if turns := t.Windings[w.at].Turns; ok && turns > 0 && t.Windings[b.at].Turns > 0 {
				return v * t.Windings[b.at].Turns / turns, true
			}
		}
	}
	_ = back
	return 0, false
}

// primaryVolts is the voltage of the signal source on a winding.
func (f *finder) primaryVolts(w *branch) (float64, bool) {
	for _, end := range []int{w.a, w.b} {
		nets := []int{end}
		for _, s := range f.leads(contact, end) {
			nets = append(nets, s.other(end))
		}
		for _, n := range nets {
			for _, b := range f.leads(source, n) {
				if v, ok := f.c.Parts[b.parts[0]].Amount("voltage"); ok && !f.steady(b) {
					return v, true
				}
			}
		}
	}
	return 0, false
}
