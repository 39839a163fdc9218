package stage

import (
	"math"
	"slices"

	"foilside/internal/circuit"
)

// amp is an operational amplifier with what leads to its inputs.
type amp struct {
	part             int
	plus, minus, out int
	back             []*branch // from the output to the inverting input
	direct           bool      // the output is wired to the inverting input
	forward          []*branch // from the output to the non-inverting input
	ownOut           []int     // the output, and what a follower behind it gives
}

func (f *finder) opamps() {
	var all []*amp
	for i, p := range f.c.Parts {
		if p.Kind == circuit.OpAmp && f.taken[i] < 0 {
			all = append(all, f.readAmp(i))
		}
	}
	f.instrumentation(all)
	for _, a := range all {
		if f.taken[a.part] < 0 && !f.meterAmp(a) && !f.currentAmp(a) {
			f.opamp(a)
		}
	}
}

func (f *finder) readAmp(i int) *amp {
	a := &amp{part: i, plus: f.net(i, "+in"), minus: f.net(i, "-in"), out: f.net(i, "out")}
	a.ownOut = []int{a.out}
	for _, d := range f.devices {
		if (d.g == a.out || d.g0 == a.out || f.couple(a.out, d.g).ok && !f.couple(a.out, d.g).ac) && !f.held(d.k) && f.heldNear(d.o) {
			a.ownOut = addNets(a.ownOut, []int{d.k, d.k0})
		}
	}
	for _, o := range a.ownOut {
		if o == a.minus {
			a.direct = true
			continue
		}
		if !f.held(a.minus) {
			a.back = append(a.back, f.between(resist|capac|junction, a.minus, o)...)
		}
		if !f.held(a.plus) {
			a.forward = append(a.forward, f.between(resist, a.plus, o)...)
		}
		if len(a.back) == 0 && !f.held(a.minus) {
			if p := f.path(a.minus, o, resist|capac|junction, 2); p != nil {
				a.back = f.beside(p)
			}
		}
		if len(a.forward) == 0 && !f.held(a.plus) {
			if p := f.path(a.plus, o, resist, 2); p != nil && !slices.Contains(a.back, p[len(p)-1]) {
				a.forward = p
			}
		}
	}
	return a
}

// meterAmp takes an amplifier that drives a meter inside its feedback, so that
// the current through it follows the input whatever its rectifier drops.
func (f *finder) meterAmp(a *amp) bool {
	if a.direct || len(a.back) > 0 || f.held(a.minus) {
		return false
	}
	path := f.path(a.minus, a.out, resist|diode|meter, 4)
	var m *branch
	for _, b := range f.branches {
		if b.sort == meter && (slices.Contains(path, b) || reach(path, diode) && len(f.between(diode, b.a, a.out))+len(f.between(diode, b.b, a.out)) > 0) {
			m = b
		}
	}
	if m == nil {
		return false
	}
	d := f.start(MeterCircuit, m.parts[0], a.part)
	d.own(f.nets(a.minus, a.plus, a.out)...)
	d.inputs(f.nets(a.plus)...)
	f.takeBranch(d, Feedback, path...)
	f.spread(d, []int{m.a, m.b}, resist|diode|capac, 3)
	d.say = func() { f.sayMeter(d, m) }
	return true
}

// currentAmp takes an amplifier that drives a device until the drop over the
// resistor at its foot equals the input: a current that the load doesn't change.
func (f *finder) currentAmp(a *amp) bool {
	if a.direct || len(a.back) > 0 || f.held(a.minus) {
		return false
	}
	for _, x := range f.freeDevices() {
		drives := x.g == a.out || x.g0 == a.out || f.couple(a.out, x.g).ok && !f.couple(a.out, x.g).ac
		sensed := x.k == a.minus || x.k0 == a.minus || len(f.between(resist, x.k, a.minus)) > 0
		foot := f.ties(x.k, common, supply, unsteady)
		if !drives || !sensed || f.held(x.k) || len(foot) == 0 || f.heldNear(x.o) {
			continue
		}
		d := f.startDevice(CurrentSource, x)
		f.take(d, Core, a.part)
		f.takeBranch(d, Bias, f.openOnes(foot)...)
		d.own(f.nets(a.minus, a.plus, a.out)...)
		d.inputs(f.nets(a.plus)...)
		d.outputs(f.nets(x.o)...)
		f.takeBranch(d, Load, f.openOnes(f.leads(led|load, x.o))...)
		d.say = func() { f.sayCurrentAmp(d, a, x, foot[0]) }
		return true
	}
	return false
}

// heldNear tells whether a net is a rail, or leads to one by a small resistor
// alone.
func (f *finder) heldNear(net int) bool {
	if f.held(net) {
		return true
	}
	for _, b := range f.leads(resist, net) {
		if f.held(b.other(net)) && b.value > 0 && b.value <= ballastOhms && f.degree(net) == 2 {
			return true
		}
	}
	return false
}

// instrumentation finds two amplifiers whose inverting inputs a resistor
// joins, and the third that takes the difference of their outputs.
func (f *finder) instrumentation(all []*amp) {
	for _, x := range all {
		for _, y := range all {
			if x == y || f.taken[x.part] >= 0 || f.taken[y.part] >= 0 || len(x.back) == 0 || len(y.back) == 0 || x.minus == y.minus {
				continue
			}
			gain := f.path(x.minus, y.minus, resist, 2)
			if gain == nil {
				gain = f.jumper(x.minus, y.minus)
			}
			if gain == nil {
				continue
			}
			for _, z := range all {
				if z == x || z == y || len(f.between(resist, x.out, z.minus)) == 0 || len(f.between(resist, y.out, z.plus)) == 0 {
					continue
				}
				d := f.start(Instrumentation, x.part, y.part, z.part)
				f.takeBranch(d, Feedback, gain...)
				for _, a := range []*amp{x, y, z} {
					f.takeBranch(d, Feedback, a.back...)
					d.own(f.nets(a.minus)...)
				}
				d.own(f.nets(x.out, y.out, z.plus, x.plus, y.plus)...)
				for _, n := range f.nets(z.plus, z.minus) {
					f.takeBranch(d, Feedback, f.openOnes(f.leads(resist, n))...)
				}
				d.inputs(x.plus, y.plus)
				d.outputs(z.out)
				d.say = func() { f.sayInstrumentation(d, x, z, gain) }
			}
		}
	}
}

// jumper is a path of resistors between two inputs that a control's wiper
// belongs to.
func (f *finder) jumper(x, y int) []*branch {
	for _, b := range f.leads(resist, x) {
		for _, c := range f.leads(resist, b.other(x)) {
			if c != b && c.other(b.other(x)) == y && !f.held(b.other(x)) {
				return []*branch{b, c}
			}
		}
	}
	return nil
}

func (f *finder) opamp(a *amp) {
	kind := f.ampKind(a)
	d := f.start(kind, a.part)
	f.takeBranch(d, Feedback, a.back...)
	f.takeBranch(d, Feedback, a.forward...)
	d.own(f.nets(a.minus, a.plus)...)
	d.outputs(f.nets(a.out)...)
	if kind != Comparator {
		for _, b := range append(f.inlets(a, a.minus), f.inlets(a, a.plus)...) {
			if b.sort&passive != 0 {
				f.takeBranch(d, Coupling, f.openOnes([]*branch{b})...)
			}
		}
	}
	d.say = func() { f.sayAmp(d, a) }
}

// inlets lists what leads from an input to nets that carry a signal, feedback
// left out.
func (f *finder) inlets(a *amp, net int) []*branch {
	var out []*branch
	if f.quiet(net) || a.direct && net == a.minus {
		return nil
	}
	for _, b := range f.on[net] {
		if slices.Contains(a.back, b) || slices.Contains(a.forward, b) || slices.Contains(a.ownOut, b.other(net)) {
			continue
		}
		if b.sort == source && !f.steady(b) || b.sort&(resist|capac|winding) != 0 && !f.quietEnd(b, net) {
			out = append(out, b)
		}
	}
	return out
}

// quietEnd tells whether a branch from net ends still: on a quiet net, or over a
// private net on one (resistor and capacitor in series).
func (f *finder) quietEnd(b *branch, net int) bool {
	o := b.other(net)
	if f.quiet(o) {
		return true
	}
	if f.degree(o) == 2 && len(f.pins[o]) == 0 {
		for _, x := range f.on[o] {
			if x != b {
				return x.sort&passive != 0 && f.quiet(x.other(o)) || x.sort == source && f.steady(x)
			}
		}
	}
	return false
}

// live tells whether an input net is driven itself: by another output, a
// source, a connector.
func (f *finder) live(net, but int) bool {
	if f.quiet(net) {
		return false
	}
	for _, p := range f.pins[net] {
		k := f.c.Parts[p.part].Kind
		if p.part == but {
			continue
		}
		switch {
		case k == circuit.Connector, k == circuit.OpAmp && p.lead == "out", k == circuit.Timer555 && p.lead == "3",
			k == circuit.Optocoupler, p.lead == "c" || p.lead == "d" || p.lead == "e" || p.lead == "s" || p.lead == "a":
			return true
		}
	}
	return f.alternating(net)
}

func (f *finder) ampKind(a *amp) Kind {
	negative := a.direct || len(a.back) > 0
	plusIn, minusIn := f.inlets(a, a.plus), f.inlets(a, a.minus)
	plusLive := f.live(a.plus, a.part) || len(plusIn) > 0
	minusLive := !a.direct && (f.live(a.minus, a.part) || len(minusIn) > 0)
	switch {
	case !negative && len(a.forward) > 0:
		return OpAmpSchmitt
	case !negative:
		return Comparator
	case len(a.forward) > 0 && f.toQuiet(capac, a.minus) && !minusLive && !plusLive:
		return OpAmpAstable
	case f.filtering(a):
		return ActiveFilter
	case reach(a.back, junction) && !reach(a.back, zener|led):
		return PrecisionDiode
	case plusLive && minusLive:
		return Difference
	case plusLive || !minusLive && a.plus != f.common:
		return f.upright(a)
	}
	return f.inverted(a, minusIn)
}

func (f *finder) toQuiet(s sort, net int) bool {
	return slices.ContainsFunc(f.leads(s, net), func(b *branch) bool { return f.held(b.other(net)) })
}

// upright tells the non-inverting kinds apart.
func (f *finder) upright(a *amp) Kind {
	gain := false
	for _, b := range f.leads(resist|capac, a.minus) {
		if !slices.Contains(a.back, b) && f.quietEnd(b, a.minus) {
			gain = true
		}
	}
	if gain && !a.direct {
		return NonInverting
	}
	return VoltageFollower
}

// Limits between an amplifier with a small capacitor and an integrator or a
// differentiator: the corner must lie below, respectively above, what audio
// stages use (tuned on no circuit; common practice).
const (
	integratorHertz     = 200
	differentiatorHertz = 500
)

// inverted tells the inverting kinds apart.
func (f *finder) inverted(a *amp, in []*branch) Kind {
	var backR, backC *branch
	for _, b := range a.back {
		switch b.sort {
		case resist:
			backR = b
		case capac:
			backC = b
		}
	}
	slow := corner(backR, backC)
	if backC != nil && (backR == nil || slow > 0 && slow < integratorHertz && f.resistive(in)) {
		return Integrator
	}
	live := map[int]bool{}
	for _, b := range in {
		live[b.other(a.minus)] = true
	}
	if len(live) > 1 {
		return Summing
	}
	if len(in) == 1 && f.balanced(a, in[0], backR) {
		return Difference
	}
	if len(in) == 1 && backR != nil {
		c, r := f.seriesInput(in[0], a.minus)
		if c != nil && (r == nil || corner(r, c) > differentiatorHertz && r.value < backR.value/5) && (r != nil || corner(backR, c) > 0) {
			return Differentiator
		}
	}
	return Inverting
}

// balanced tells whether the resistors at the non-inverting input, from a
// reference and to common, have the ratio of those at the other: the stage takes
// the difference from the reference.
func (f *finder) balanced(a *amp, in, back *branch) bool {
	at := f.ties(a.plus, common, supply, unsteady)
	if len(at) != 2 || back == nil || in.sort != resist || in.value <= 0 {
		return false
	}
	ratio := back.value / in.value
	for _, p := range [2][2]*branch{{at[0], at[1]}, {at[1], at[0]}} {
		low, up := p[0], p[1]
		if f.rail[low.other(a.plus)] == common && f.rail[up.other(a.plus)] == unsteady && up.value > 0 && math.Abs(low.value/up.value/ratio-1) < 0.1 {
			return true
		}
	}
	return false
}

func (f *finder) resistive(in []*branch) bool {
	return !slices.ContainsFunc(in, func(b *branch) bool { return b.sort == capac })
}

// corner is 1/(2πRC), 0 where a value is missing.
func corner(r, c *branch) float64 {
	if r == nil || c == nil || r.value <= 0 || c.value <= 0 {
		return 0
	}
	return 1 / (2 * 3.141592653589793 * r.value * c.value)
}

// seriesInput are the capacitor and the resistor that lead to an inverting
// input one after the other.
func (f *finder) seriesInput(b *branch, net int) (c, r *branch) {
	place := func(x *branch) {
		switch x.sort {
		case capac:
			c = x
		case resist:
			r = x
		}
	}
	place(b)
	if o := b.other(net); f.degree(o) == 2 && len(f.pins[o]) == 0 {
		for _, x := range f.on[o] {
			if x != b {
				place(x)
			}
		}
	}
	return c, r
}

// filtering tells whether capacitors about the amplifier make a filter: a net
// that both the output and an input are coupled to, with resistors and
// capacitors (R. P. Sallen, E. L. Key, IRE Trans. CT-2 (1955) 74, and multiple
// feedback; from memory), or one section before a non-inverting input.
func (f *finder) filtering(a *amp) bool {
	for _, o := range a.ownOut {
		for _, b := range f.leads(resist|capac, o) {
			mid := b.other(o)
			if f.held(mid) || mid == a.minus && !a.direct || mid == a.plus || len(f.pins[mid]) > 0 {
				continue
			}
			for _, x := range f.leads(resist|capac, mid) {
				if x == b {
					continue
				}
				end := x.other(mid)
				if end == a.plus && a.plus != o && (b.sort == capac || x.sort == capac) && f.shunted(a.plus) {
					return true
				}
				if end == a.minus && !a.direct && f.multipleFeedback(a, mid) {
					return true
				}
			}
		}
	}
	if f.held(a.plus) {
		return false
	}
	for _, r := range f.leads(resist, a.plus) { // one section
		if !f.quietEnd(r, a.plus) && !slices.Contains(a.forward, r) && f.toQuiet(capac, a.plus) && len(f.ties(a.plus, supply, unsteady)) == 0 {
			return true
		}
	}
	return false
}

func (f *finder) shunted(net int) bool { return f.toQuiet(resist|capac, net) }

// multipleFeedback: from output to a middle net and to the inverting input,
// at least two capacitors among them.
func (f *finder) multipleFeedback(a *amp, mid int) bool {
	if len(f.between(resist|capac, a.minus, a.out)) == 0 {
		return false
	}
	return len(f.leads(capac, mid))+len(f.between(capac, a.minus, a.out)) >= 2
}
