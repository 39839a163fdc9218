package stage

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

// sayTimer: astable f = 1/(ln 2 · (Ra + 2·Rb) · C), monostable t = ln 3 · R · C
// (Floyd, Electronic Devices, the 555 timer; Bell, Solid State Pulse Circuits,
// ex. 8-1).
func (f *finder) sayTimer(d *draft, i, thr, dis, out int, c *branch) {
	u := f.refs(i)
	if c == nil {
		d.text = fmt.Sprintf("%s turns its output low when the threshold passes two thirds of the supply and high when the trigger falls below one third. It keeps its state in between.", u)
		return
	}
	cap := f.refs(c.parts...)
	ra, rb := f.timerOhms(thr, dis, out)
	if d.kind == TimerMonostable {
		d.text = fmt.Sprintf("A pulse below one third of the supply at the trigger starts %s, and its output stays high until %s has charged to two thirds", u, cap)
		if ra > 0 && c.value > 0 {
			d.text += fmt.Sprintf(". That takes %s.", d.figure("pulse", math.Log(3)*ra*c.value, quantity.Second, "ln 3 · R · C"))
			return
		}
		d.text += ". The discharge transistor then empties the capacitor again."
		return
	}
	d.text = fmt.Sprintf("%s charges up to two thirds of the supply and down to one third again and again, and %s turns its output over each time", cap, u)
	switch {
	case ra > 0 && rb > 0 && c.value > 0:
		d.text += fmt.Sprintf(". It repeats at %s, high for %s of the time.", d.figure("frequency", 1/(math.Ln2*(ra+2*rb)*c.value), quantity.Hertz, "1 / (ln 2 · (Ra + 2 · Rb) · C)"),
			d.figure("share of time high", (ra+rb)/(ra+2*rb), quantity.Percent, "(Ra + Rb) / (Ra + 2 · Rb)"))
	case rb > 0 && c.value > 0:
		d.text += fmt.Sprintf(". It repeats at %s.", d.figure("frequency", 1/(2*math.Ln2*rb*c.value), quantity.Hertz, "1 / (2 · ln 2 · R · C)"))
	default:
		d.text += ". The resistors in its way set how fast."
	}
}

// timerOhms are the resistance from the supply to the discharge pin and from
// there, or from the output, to the timing capacitor.
func (f *finder) timerOhms(thr, dis, out int) (ra, rb float64) {
	for n := range f.names {
		if f.held(n) && n != f.common && ra <= 0 {
			if p := f.path(dis, n, resist, 2); p != nil {
				ra = ohms(p)
			}
		}
	}
	if p := f.path(thr, dis, resist|diode, 3); p != nil && thr != dis {
		rb = ohms(p)
	} else if p := f.path(thr, out, resist|diode, 3); p != nil {
		rb = ohms(p)
	}
	return ra, rb
}

// sayMultivibrator: each half-period is ln 2 · R · C (Bell, Solid State Pulse
// Circuits, astable multivibrator).
func (f *finder) sayMultivibrator(d *draft, x, y *device, xy, yx way) {
	qx, qy := f.refs(x.parts...), f.refs(y.parts...)
	t1, how1 := f.halfPeriod(y, xy)
	t2, how2 := f.halfPeriod(x, yx)
	switch d.kind {
	case Astable:
		d.text = fmt.Sprintf("%s and %s turn each other off in turn, each for as long as its coupling capacitor takes to recharge", qx, qy)
		if x.sign*y.sign < 0 {
			d.text = fmt.Sprintf("%s turns %s on and is driven still harder by it, until the coupling capacitor has charged and both fall off together", qx, qy)
		}
		if t1 > 0 && t2 > 0 {
			d.text += fmt.Sprintf(". The two times make %s.", d.figure("frequency", 1/(t1+t2), quantity.Hertz, "1 / ("+how1+" + "+how2+")"))
			return
		}
		d.text += ". It runs by itself as long as it has its supply."
	case Monostable:
		d.text = fmt.Sprintf("At rest one of %s and %s conducts; a trigger turns the two over until the coupling capacitor has recharged", qx, qy)
		if t := math.Max(t1, t2); t > 0 {
			d.text += fmt.Sprintf(". That takes %s.", d.figure("pulse", t, quantity.Second, "ln 2 · R · C"))
			return
		}
		d.text += ". It then falls back by itself."
	case Schmitt:
		d.text = fmt.Sprintf("%s and %s drive each other, so that the output jumps once the input passes a limit. The feedback through %s makes that limit lower on the way back.", qx, qy, f.chainRefs(yx.branches))
	default:
		d.text = fmt.Sprintf("Whichever of %s and %s conducts holds the other off through the cross resistors. It stays so until a pulse turns the two over.", qx, qy)
	}
}

// halfPeriod is ln 2 · R · C of the control that a capacitor drives.
func (f *finder) halfPeriod(y *device, w way) (float64, string) {
	var c *branch
	for _, b := range w.branches {
		if b.sort == capac {
			c = b
		}
	}
	if c == nil || c.value <= 0 {
		return 0, ""
	}
	for _, r := range f.leads(resist, y.g) {
		if f.held(r.other(y.g)) && r.value > 0 && !f.sameRail(r.other(y.g), y) {
			return math.Ln2 * r.value * c.value, fmt.Sprintf("ln 2 · %s · %s", f.refs(r.parts...), f.refs(c.parts...))
		}
	}
	return 0, ""
}

func (f *finder) saySchmitt(d *draft, x, y *device) {
	d.text = fmt.Sprintf("%s and %s share the resistor at their emitters, so that the one that turns on helps the other off", f.refs(x.parts...), f.refs(y.parts...))
	up, okUp := f.upperTrip(x, y)
	if okUp {
		d.text += fmt.Sprintf(". The output jumps when the input passes about %s, and back at a lower voltage.", d.figure("upper trip point", up, quantity.Volt, "open-circuit voltage of the divider at the base of "+f.refs(y.part)))
		return
	}
	d.text += ". The output jumps at one input voltage and back at a lower one."
}

// upperTrip: with the first transistor off the second's base stands at the tap
// of its divider, and the first turns on when its own base reaches that (Bell,
// Solid State Pulse Circuits, Schmitt trigger).
func (f *finder) upperTrip(x, y *device) (float64, bool) {
	p := f.path(x.o, y.g, resist, 2)
	load := f.ties(x.o, supply, unsteady)
	low := f.ties(y.g, common)
	if len(load) == 0 || len(low) == 0 || ohms(p) <= 0 && x.o != y.g {
		return 0, false
	}
	rail := load[0].other(x.o)
	if !f.known[rail] || load[0].value <= 0 || low[0].value <= 0 {
		return 0, false
	}
	return f.volts[rail] * low[0].value / (low[0].value + ohms(p) + load[0].value), true
}

// sayUnijunction: f = 1/(R · C · ln(1/(1 − η))) (Mehta, Principles of
// Electronics, ex. 21.12).
func (f *finder) sayUnijunction(d *draft, i, e int, c *branch) {
	d.text = fmt.Sprintf("%s charges until the emitter of %s breaks through and empties it into the first base", f.refs(c.parts...), f.refs(i))
	eta, _ := f.amount(i, "intrinsic ratio")
	if r := f.chargeOhms(e); r > 0 && c.value > 0 && eta > 0 && eta < 1 {
		d.text += fmt.Sprintf(". It repeats at %s.", d.figure("frequency", 1/(r*c.value*math.Log(1/(1-eta))), quantity.Hertz, fmt.Sprintf("1 / (R · C · ln(1 / (1 − %.2f)))", eta)))
		return
	}
	d.text += ". It begins again as soon as the emitter lets go."
}

// chargeOhms is the resistance from a timing net to a supply.
func (f *finder) chargeOhms(net int) float64 {
	for n := range f.names {
		if f.held(n) && n != f.common {
			if p := f.path(net, n, resist, 3); p != nil {
				return ohms(p)
			}
		}
	}
	return 0
}

// sayNeonOscillator: T = R · C · ln((V − Vm)/(V − Vs)) (F. E. Terman, from
// memory; it follows from the charging curve).
func (f *finder) sayNeonOscillator(d *draft, n, c, feed *branch) {
	d.text = fmt.Sprintf("%s charges %s until %s strikes, which empties it down to the maintaining voltage", f.refs(feed.parts...), f.refs(c.parts...), f.refs(n.parts...))
	vs, ok1 := f.amount(n.parts[0], "striking voltage")
	vm, ok2 := f.amount(n.parts[0], "maintaining voltage")
	rail := feed.a
	if !f.held(rail) {
		rail = feed.b
	}
	if ok1 && ok2 && f.known[rail] && f.volts[rail] > vs && c.value > 0 && feed.value > 0 {
		d.text += fmt.Sprintf(". It flashes about once in %s.", d.figure("period", feed.value*c.value*math.Log((f.volts[rail]-vm)/(f.volts[rail]-vs)), quantity.Second, "R · C · ln((V − Vm) / (V − Vs))"))
		return
	}
	if c.value > 0 && feed.value > 0 {
		d.text += fmt.Sprintf(". The time constant is %s.", d.figure("time constant", feed.value*c.value, quantity.Second, "R · C"))
		return
	}
	d.text += ". It flashes again when the capacitor has recharged."
}

func (f *finder) sayTransformerOscillator(d *draft, x *device, w1, w2, tank *branch, through []*branch) {
	t := f.c.Parts[w1.parts[0]]
	q := f.refs(x.parts...)
	if d.kind == TransformerOsc {
		d.text = fmt.Sprintf("%s feeds the tuned winding of %s, and a second winding brings part of it back in phase", q, t.Ref)
		l := f.tankHenries(tank)
		if l > 0 && tank.value > 0 {
			d.text += fmt.Sprintf(". It swings at %s.", d.figure("frequency", resonance(l, tank.value), quantity.Hertz, "1 / (2π · √(L · C))"))
		} else {
			d.text += fmt.Sprintf(". The winding and %s set the frequency.", f.refs(tank.parts...))
		}
	} else {
		d.text = fmt.Sprintf("Current that rises in one winding of %s drives %s further on through another, until the core or the drive gives out and it blocks abruptly", t.Ref, q)
		d.text += f.blockingTail(d, x, w1, w2, through)
	}
	if f.opposed(x, w1, w2) {
		d.note("by its dots the feedback opposes; one of the two windings may be noted the wrong way round")
	}
}

// blockingTail says what sets the pauses, and the ratio of the windings.
func (f *finder) blockingTail(d *draft, x *device, w1, w2 *branch, through []*branch) string {
	t := f.c.Parts[w1.parts[0]]
	r, c := 0.0, 0.0
	for _, n := range append([]int{x.g, w2.a, w2.b}, d.inside...) {
		for _, b := range f.on[n] {
			if !f.has(d, b) {
				continue
			}
			switch {
			case b.sort == resist && f.held(b.other(n)) && b.other(n) != f.common && b.value > r:
				r = b.value
			case b.sort == capac && c <= 0 && len(f.between(winding, b.a, b.b)) == 0:
				c = b.value
			}
		}
	}
	n1, n2 := t.Windings[w1.at].Turns, t.Windings[w2.at].Turns
	ratio := ""
	if n1 > 0 && n2 > 0 {
		ratio = fmt.Sprintf("the feedback winding has %s of the turns", d.figure("feedback turns", n2/n1, quantity.Percent, "turns of the two windings"))
	}
	switch {
	case r > 0 && c > 0:
		out := fmt.Sprintf(". The pause follows the time constant of %s", d.figure("time constant", r*c, quantity.Second, "R · C"))
		if ratio != "" {
			out += "; " + ratio
		}
		return out + "."
	case ratio != "":
		return ". It starts again by itself; " + ratio + "."
	}
	return ". It starts again by itself."
}

// tankHenries is the inductance of the winding that a capacitor tunes.
func (f *finder) tankHenries(tank *branch) float64 {
	for _, n := range []int{tank.a, tank.b} {
		for _, w := range f.leads(winding, n) {
			if w.value > 0 {
				return w.value
			}
		}
	}
	return 0
}

// opposed tells from the dots whether the fed-back voltage would weaken what
// caused it. A device that inverts needs its output and its control on ends of
// opposite sign.
func (f *finder) opposed(x *device, w1, w2 *branch) bool {
	if w1.a != x.o && w1.b != x.o || f.signalEnd(x, w2) < 0 {
		return false
	}
	outDotted := w1.a == x.o
	ctlDotted := f.signalEnd(x, w2) == w2.a
	return outDotted == ctlDotted
}

// signalEnd is the end of the feedback winding that leads to the control, -1
// where both may.
func (f *finder) signalEnd(x *device, w *branch) int {
	for _, p := range [2][2]int{{w.a, w.b}, {w.b, w.a}} {
		if p[0] == x.g && p[1] != x.g {
			return p[0]
		}
	}
	for _, p := range [2][2]int{{w.a, w.b}, {w.b, w.a}} {
		if f.quiet(p[1]) && !f.quiet(p[0]) {
			return p[0]
		}
	}
	return -1
}

func (f *finder) sayConverter(d *draft, x, y *device, w *branch) {
	d.text = fmt.Sprintf("%s and %s switch the two halves of the winding of %s in turn. Each holds itself on through the feedback winding until the core saturates, and the collapse turns the other on.",
		f.refs(x.parts...), f.refs(y.parts...), f.refs(w.parts...))
}

// sayThreePoint: f = 1/(2π√(L·C)), with C the two in series for a Colpitts and
// L the two in series for a Hartley oscillator (Boylestad & Nashelsky, tuned
// oscillators).
func (f *finder) sayThreePoint(d *draft, x *device, a arms) {
	q := f.refs(x.parts...)
	switch a.kind {
	case CrystalOsc:
		var y []int
		hertz := 0.0
		for _, p := range d.members {
			if f.isKind(p, "crystal") {
				y = append(y, p)
				hertz, _ = f.c.Parts[p].Amount("frequency")
			}
		}
		d.text = fmt.Sprintf("%s amplifies, and %s passes back only what lies at its own frequency", q, f.refs(y...))
		if hertz > 0 {
			d.text += fmt.Sprintf(". It swings at %s.", d.figure("frequency", hertz, quantity.Hertz, "as marked on "+f.refs(y...)))
			return
		}
		d.text += ". The capacitors about it turn the phase."
		return
	case Colpitts:
		d.text = fmt.Sprintf("The tuned circuit is divided by two capacitors, one of which brings part of its voltage back to %s", q)
	default:
		d.text = fmt.Sprintf("The tuned circuit has a tapped coil, one part of which brings part of its voltage back to %s", q)
	}
	if a.capacity > 0 && a.induced > 0 {
		d.text += fmt.Sprintf(". It swings at %s.", d.figure("frequency", resonance(a.induced, a.capacity), quantity.Hertz, "1 / (2π · √(L · C))"))
		return
	}
	d.text += ". Coil and capacitors together set its frequency."
}

// sayPhaseShift: with equal sections f = 1/(2π·√6·R·C) for series capacitors and
// √6/(2π·R·C) for series resistors; it needs a gain of 29 (Floyd, Electronic
// Devices, the RC phase-shift oscillator). Loading by the stage lowers it.
func (f *finder) sayPhaseShift(d *draft, l []rung) {
	var r, c float64
	n := 0.0
	for _, x := range l {
		for _, b := range []*branch{x.series, x.shunt} {
			if b == nil || b.value <= 0 {
				continue
			}
			if b.sort == resist && r <= 0 {
				r = b.value
			}
			if b.sort == capac {
				c += b.value
				n++
			}
		}
	}
	if r > 0 && n > 0 {
		d.text = fmt.Sprintf("%.0f sections of resistor and capacitor together turn the phase by half a turn at one frequency, and the stage turns it by the other half", n)
		c /= n
		v, how := 1/(2*math.Pi*math.Sqrt(6)*r*c), "1 / (2π · √6 · R · C)"
		if l[0].series.sort == resist {
			v, how = math.Sqrt(6)/(2*math.Pi*r*c), "√6 / (2π · R · C)"
		}
		d.text += fmt.Sprintf(". It swings at about %s and needs a gain of 29.", d.figure("frequency", v, quantity.Hertz, how))
		return
	}
	d.text = "The sections of resistor and capacitor together turn the phase by half a turn at one frequency, and the stage turns it by the other half. It needs a gain of 29 to keep swinging."
}

// sayWien: f = 1/(2π·R·C), gain 3 (Floyd, Electronic Devices, the Wien-bridge
// oscillator).
func (f *finder) sayWien(d *draft, r, c *branch, minus, out int) {
	d.text = "The two pairs of resistor and capacitor bring one frequency back in phase, weakened to a third"
	if v := corner(r, c); v > 0 {
		d.text += fmt.Sprintf(". It swings at %s", d.figure("frequency", v, quantity.Hertz, "1 / (2π · R · C)"))
	} else {
		d.text += ". That frequency is the one it swings at"
	}
	back, low := f.path(out, minus, resist, 2), f.ties(minus, common)
	if b := ohms(back); b > 0 && len(low) > 0 && low[0].value > 0 {
		d.text += fmt.Sprintf(", with a gain of %s where 3 is needed.", d.figure("gain", 1+b/low[0].value, quantity.None, "1 + Rf / Rg"))
		return
	}
	d.text += ", with a gain of at least 3."
}

// sayDischarge: W = ½·C·V².
func (f *finder) sayDischarge(d *draft, c, w *branch, parts []int, feeds []*branch) {
	cap := f.refs(c.parts...)
	d.text = fmt.Sprintf("%s is charged slowly, then %s throws it onto a winding of %s, which gives one high pulse", cap, f.refs(parts...), f.refs(w.parts...))
	volts, known := 0.0, false
	r := 0.0
	for _, b := range feeds {
		for _, n := range []int{b.a, b.b} {
			if f.held(n) && f.known[n] && math.Abs(f.volts[n]) > math.Abs(volts) {
				volts, known = f.volts[n], true
			}
		}
		if b.sort == resist && b.value > r {
			r = b.value
		}
	}
	switch {
	case known && c.value > 0:
		d.text += fmt.Sprintf(". Charged to %s it holds %s.", voltText(volts), d.figure("energy", 0.5*c.value*volts*volts, quantity.Joule, "½ · C · V²"))
	case r > 0 && c.value > 0:
		d.text += fmt.Sprintf(". Its time constant of charging is %s.", d.figure("time constant", r*c.value, quantity.Second, "R · C"))
	default:
		d.text += ". The turns of the transformer multiply the voltage of the capacitor."
	}
}

func (f *finder) sayThyristor(d *draft, i, a, k int) {
	q := f.refs(i)
	var caps, ohmsIn []*branch
	for _, b := range f.branches {
		if !f.has(d, b) || b.joins(a, k) {
			continue
		}
		switch b.sort {
		case capac:
			caps = append(caps, b)
		case resist:
			ohmsIn = append(ohmsIn, b)
		}
	}
	d.text = fmt.Sprintf("A current into the gate turns %s on, and it stays on until its own current falls below the holding current. ", q)
	if len(caps) > 0 && len(ohmsIn) > 0 {
		r := 0.0
		for _, b := range ohmsIn {
			r = math.Max(r, b.value)
		}
		if t := r * caps[0].value; t > 0 {
			d.text += fmt.Sprintf("%s delays the gate by about %s, and so sets when in each half-wave it fires.", f.refs(caps[0].parts...), d.figure("time constant", t, quantity.Second, "R · C at half the control's track"))
			return
		}
	}
	if v, ok := f.amount(i, "gate trigger current"); ok {
		d.text += fmt.Sprintf("It surely fires with %s.", d.figure("gate trigger current", v, quantity.Ampere, "of its type"))
		return
	}
	d.text += "The parts at its gate set what fires it and keep leakage from doing so."
}

// sayFlash: W = ½·C·V².
func (f *finder) sayFlash(d *draft, i int, store []*branch, a int) {
	d.text = fmt.Sprintf("A pulse at the trigger lead ionises %s, and it empties the capacitor across it in one flash. ", f.refs(i))
	if c := f.value(store, capac); c > 0 && f.known[a] {
		d.text += fmt.Sprintf("%s holds %s then.", f.chainRefs(store), d.figure("energy", 0.5*c*f.volts[a]*f.volts[a], quantity.Joule, "½ · C · V²"))
		return
	}
	d.text += "Without the pulse it holds the voltage off."
}
