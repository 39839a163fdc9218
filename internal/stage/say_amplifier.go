package stage

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

func (f *finder) sayDarlington(d *draft, what string) {
	gain := 1.0
	for _, p := range d.members {
		if v, ok := f.amount(p, "gain"); ok {
			gain *= v
		}
	}
	d.text = fmt.Sprintf("%s act as one transistor (%s): the first carries the base current of the second. ", f.refs(d.members...), what)
	d.text += fmt.Sprintf("Together their gain is about %s.", d.figure("current gain", gain, quantity.None, "product of the two"))
}

// saySingle explains a stage of one device.
func (f *finder) saySingle(d *draft, x *device) {
	q := f.refs(x.parts...)
	switch d.kind {
	case CommonEmitter, CommonSource, CommonCathode:
		f.sayInverting(d, x)
	case CommonCollector, SourceFollower, CathodeFollower:
		d.text = fmt.Sprintf("The output of %s follows its input with a gain of just under one, and the input hardly loads what drives it. ", q)
		f.sayFollower(d, x)
	case CommonBase, CommonGate, GroundedGrid:
		d.text = fmt.Sprintf("The control of %s is held still and the signal enters at the other lead, so that the output stays in phase. ", q)
		f.sayGrounded(d, x)
	case PhaseSplitter:
		d.text = fmt.Sprintf("%s carries the same current through equal resistors above and below. They give two signals of equal size and opposite phase.", q)
	default:
		f.saySwitch(d, x)
	}
}

// sayInverting: bipolar gain −Rc/(re + Re) with re = 26 mV/Ic (Boylestad &
// Nashelsky, BJT AC analysis); FET −gm·Rd/(1 + gm·Rs) (same, FET amplifiers);
// valve −μ·Ra/(Ra + ra + (μ + 1)·Rk) (Mehta, Principles of Electronics, vacuum
// tube amplifiers).
func (f *finder) sayInverting(d *draft, x *device) {
	d.text = fmt.Sprintf("%s turns a small change at its %s into a larger and opposite one at its %s. ", f.refs(x.parts...), controlWord(x), outputWord(x))
	load := f.alternatingLoad(x.o, x)
	rk, _, bypassed, _ := f.foot(x)
	if bypassed {
		rk = 0
	}
	rk += ohms(x.ballast)
	gain, how := 0.0, ""
	switch x.family {
	case bipolar:
		i, ok := f.collectorCurrent(x)
		if ok && f.loaded(x, i) {
			d.figure("collector current", i, quantity.Ampere, "(Vth − Vbe) / (Rth / β + Re)")
			d.text += fmt.Sprintf("Its bias lets about %s flow", quantity.Format(i, quantity.Ampere, 3))
			gain, how = load/(thermal/i+rk), "Rc ∥ RL / (26 mV / Ic + Re)"
		} else if rk > 0 {
			gain, how = load/rk, "Rc ∥ RL / Re"
			d.text += "Its bias resistors hold it half-way"
		} else {
			d.text += "Its bias resistors hold it half-way"
		}
	case fet:
		d.text += "Its own current through the resistors about it sets the operating point"
		if gm, ok := f.transconductance(x); ok {
			gain, how = gm*load/(1+gm*rk), "gm · Rd / (1 + gm · Rs)"
		}
	default:
		d.text += "Its own current through the cathode resistor biases the grid"
		gain, how = f.valveGain(x, load, rk)
	}
	if gain > 0 && load > 0 {
		d.text += fmt.Sprintf(", for a gain of about −%s.", d.figure("gain", gain, quantity.None, how))
		return
	}
	d.text += "."
}

// transconductance is a junction FET's as its type has it. A MOSFET's holds at a
// current far above what an amplifier lets flow, so that it counts only where
// the person gave it.
func (f *finder) transconductance(x *device) (float64, bool) {
	if x.mos {
		v, ok := f.c.Parts[x.part].Amount("transconductance")
		return v, ok && v > 0
	}
	v, ok := f.amount(x.part, "transconductance")
	return v, ok && v > 0
}

func (f *finder) valveGain(x *device, load, rk float64) (float64, string) {
	mu, okMu := f.amount(x.part, "amplification factor")
	ra, okRa := f.amount(x.part, "anode resistance")
	gm, okGm := f.amount(x.part, "mutual conductance")
	if !okRa && okMu && okGm && gm > 0 {
		ra, okRa = mu/gm, true
	}
	switch {
	case okMu && okRa && load > 0:
		return mu * load / (load + ra + (mu+1)*rk), "μ · Ra / (Ra + ra + (μ + 1) · Rk)"
	case okGm:
		return gm * load / (1 + gm*rk), "gm · Ra / (1 + gm · Rk)"
	}
	return 0, ""
}

func controlWord(x *device) string {
	return map[family]string{bipolar: "base", fet: "gate", valve: "grid"}[x.family]
}

func outputWord(x *device) string {
	return map[family]string{bipolar: "collector", fet: "drain", valve: "anode"}[x.family]
}

func (f *finder) sayFollower(d *draft, x *device) {
	v, ok := f.followed(x)
	load := f.alternatingLoad(x.k, x)
	switch {
	case x.family == bipolar && load > 0 && ok:
		d.text += fmt.Sprintf("At rest the output stands at about %s, and the base has some %s.", d.figure("output at rest", v, quantity.Volt, "Vth − Ib · Rth − Vbe"),
			d.figure("input resistance", f.gain(x)*load, quantity.Ohm, "β · (Re ∥ RL), the bias resistors left out"))
		return
	case x.family == bipolar && load > 0:
		d.text += fmt.Sprintf("Its base has some %s.", d.figure("input resistance", f.gain(x)*load, quantity.Ohm, "β · (Re ∥ RL), the bias resistors left out"))
		return
	}
	d.text += "It can drive a load that the stage before it could not."
}

// followed is the voltage of an emitter at rest.
func (f *finder) followed(x *device) (float64, bool) {
	i, ok := f.collectorCurrent(x)
	re, vk, _, known := f.foot(x)
	if !ok || !known || re <= 0 {
		return 0, false
	}
	return vk + x.sign*i*re, true
}

func (f *finder) sayGrounded(d *draft, x *device) {
	i, ok := f.collectorCurrent(x)
	load := f.alternatingLoad(x.o, x)
	if ok && load > 0 {
		d.text += fmt.Sprintf("Its input has only about %s, and the gain is about %s.", d.figure("input resistance", thermal/i, quantity.Ohm, "26 mV / Ie"),
			d.figure("gain", load*i/thermal, quantity.None, "Rc ∥ RL / re"))
		return
	}
	d.text += "Its input has little resistance, which suits high frequencies."
}

// saySwitch: the base current through its resistor, and how much more than
// needed that is (Floyd, Electronic Devices, the transistor as a switch).
func (f *finder) saySwitch(d *draft, x *device) {
	what := f.switched(d)
	d.text = fmt.Sprintf("%s is either off or fully on; it works as a switch", f.refs(x.parts...))
	if what != "" {
		d.text += " for " + what
	}
	if x.family == bipolar {
		d.text += fmt.Sprintf(". To carry %s it needs %s at its base.", quantity.Format(0.1, quantity.Ampere, 2), d.figure("base current for 100 mA", 0.1/f.gain(x), quantity.Ampere, "Ic / β"))
		return
	}
	d.text += ". A few volts at its gate turn it on, and no current is needed to hold it."
}

// switched names the loads of a stage.
func (f *finder) switched(d *draft) string {
	var out []int
	for _, p := range d.members {
		if k := twoLead(f.c.Parts[p].Kind); k == load || k == led {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return f.refs(out...)
}

func (f *finder) sayDirect(d *draft, x, y *device) {
	qx, qy := f.refs(x.parts...), f.refs(y.parts...)
	d.text = fmt.Sprintf("%s drives %s without a capacitor between, so that the first also sets the operating point of the second. ", qx, qy)
	load := f.alternatingLoad(x.o, x)
	if i, ok := f.collectorCurrent(x); ok && load > 0 {
		rk, _, bypassed, _ := f.foot(x)
		if bypassed {
			rk = 0
		}
		d.text += fmt.Sprintf("%s alone amplifies by about −%s.", qx, d.figure("gain of the first", load/(thermal/i+rk), quantity.None, "Rc / (26 mV / Ic + Re), before the second loads it"))
		return
	}
	if back := f.around(x, y); back != nil {
		d.text += fmt.Sprintf("%s feeds back from the second to the first and steadies both.", f.refs(back.parts...))
		return
	}
	d.text += "Slow changes pass as well as fast ones."
}

// around is a resistor from the second device back to the first.
func (f *finder) around(x, y *device) *branch {
	for _, a := range []int{x.g, x.k} {
		for _, b := range []int{y.o, y.k} {
			for _, r := range f.between(resist, a, b) {
				return r
			}
		}
	}
	return nil
}

func (f *finder) sayPushPull(d *draft, x, y *device, out, tap int) {
	d.text = fmt.Sprintf("%s %s one half of the wave and %s the other", f.refs(x.parts...), verb(x.parts, "delivers", "deliver"), f.refs(y.parts...))
	switch {
	case tap >= 0:
		d.text += "; the two halves of the winding join them again. Both draw little current at rest."
		return
	case x.g == y.g:
		d.text += "; neither conducts near zero, since nothing holds their controls apart"
	default:
		d.text += "; what lies between their controls keeps both just conducting at rest"
	}
	high, low := f.railOf(x.o), f.railOf(y.o)
	r := 0.0
	for _, p := range d.members {
		if twoLead(f.c.Parts[p].Kind) == load {
			r, _ = f.amount(p, "resistance")
		}
	}
	if v := math.Abs(high-low) / 2; r > 0 && v > 0 {
		d.text += fmt.Sprintf(". At most %s reaches %s.", d.figure("greatest power", v*v/(2*r), quantity.Watt, "(V/2)² / (2 · R)"), ohmText(r))
		return
	}
	d.text += ". The output rests half-way between the rails."
	_ = out
}

// railOf is the voltage of a rail, or of the one behind a small resistor.
func (f *finder) railOf(net int) float64 {
	if f.held(net) {
		return f.volts[net]
	}
	for _, b := range f.leads(resist, net) {
		if f.held(b.other(net)) {
			return f.volts[b.other(net)]
		}
	}
	return 0
}

// sayDifferential: the tail carries (Ve − Vee)/Re; differential gain to one
// output Rc/(2·re) (Boylestad & Nashelsky, differential amplifier circuit).
func (f *finder) sayDifferential(d *draft, x, y *device) {
	d.text = fmt.Sprintf("%s and %s share one current, so that only the difference of their inputs shifts it from one to the other. ", f.refs(x.parts...), f.refs(y.parts...))
	v, r, ok := f.thevenin(x.k)
	i := 0.0
	if ok && r > 0 && x.family == bipolar {
		vg := 0.0
		if gv, _, known := f.thevenin(x.g); known {
			vg = gv
		}
		i = (x.sign*(vg-v) - f.baseVolts(x)) / r
	}
	if i > 0 {
		d.text += fmt.Sprintf("The tail carries %s", d.figure("tail current", i, quantity.Ampere, "(Vb − Vbe − Vee) / Re"))
		load := math.Max(f.alternatingLoad(x.o, x), f.alternatingLoad(y.o, y))
		if load > 0 {
			d.text += fmt.Sprintf(", and each output amplifies that difference by about %s", d.figure("gain to one output", load*(i/2)/(2*thermal), quantity.None, "Rc / (2 · re)"))
		}
		d.text += "."
		return
	}
	d.text += "What both inputs have in common is suppressed."
}

// sayMirror: the reference current is (V − Vbe)/R (Boylestad & Nashelsky,
// current mirror circuits).
func (f *finder) sayMirror(d *draft, x *device, all []*device) {
	var others []int
	for _, y := range all {
		others = append(others, y.parts...)
	}
	d.text = fmt.Sprintf("%s is wired as a diode and sets the base voltage at which %s %s the same current. ", f.refs(x.parts...), f.refs(others...), verb(others, "carries", "carry"))
	for _, b := range append(f.leads(resist, x.o), f.leads(resist, x.g)...) {
		o := b.other(x.o)
		if b.a != x.o && b.b != x.o {
			o = b.other(x.g)
		}
		if f.held(o) && f.known[o] && b.value > 0 && f.held(x.k) && f.known[x.k] && o != x.k {
			i := (math.Abs(f.volts[o]-f.volts[x.k]) - f.baseVolts(x)) / b.value
			if i > 0 {
				d.text += fmt.Sprintf("%s sets it to %s.", f.refs(b.parts...), d.figure("reference current", i, quantity.Ampere, "(V − Vbe) / R"))
				return
			}
		}
	}
	d.text += "Whatever flows into the first comes out of the others."
}

func (f *finder) sayCascode(d *draft, low, top *device) {
	d.text = fmt.Sprintf("%s amplifies into the low input resistance of %s, which passes its current on to the load. ", f.refs(low.parts...), f.refs(top.parts...))
	if i, ok := f.collectorCurrent(low); ok {
		if load := f.alternatingLoad(top.o, top); load > 0 {
			d.text += fmt.Sprintf("The gain is about −%s, and hardly anything leads back from output to input.", d.figure("gain", load*i/thermal, quantity.None, "Rc / re"))
			return
		}
	}
	d.text += "Hardly anything leads back from output to input, which suits high frequencies."
}

// sayCurrentSource: I = (Vb − Vbe)/Re.
func (f *finder) sayCurrentSource(d *draft, x *device) {
	d.text = fmt.Sprintf("The control of %s stands still, so that the resistor at its foot fixes the current whatever the load takes. ", f.refs(x.parts...))
	re, vk, _, ok := f.foot(x)
	vb, known := 0.0, false
	if f.held(x.g) {
		vb, known = f.volts[x.g], f.known[x.g]
	} else if chain, foot := f.chainTo(x.g); chain != nil {
		if v, good := f.zenerVolts(chain); good && f.known[foot] {
			vb, known = f.volts[foot]+x.sign*v, true
		}
	} else {
		vb, _, known = f.thevenin(x.g)
	}
	if ok && known && re > 0 && x.family == bipolar {
		if i := (x.sign*(vb-vk) - f.baseVolts(x)) / re; i > 0 {
			d.text += fmt.Sprintf("It delivers %s.", d.figure("current", i, quantity.Ampere, "(Vb − Vbe) / Re"))
			return
		}
	}
	d.text += "Its output behaves like a very large resistance."
}

// chainTo is the way over junctions from a net to a rail, whoever has them.
func (f *finder) chainTo(net int) ([]*branch, int) {
	for _, z := range f.leads(junction, net) {
		o := z.other(net)
		if f.held(o) {
			return []*branch{z}, o
		}
		for _, y := range f.leads(junction, o) {
			if y != z && f.held(y.other(o)) {
				return []*branch{z, y}, y.other(o)
			}
		}
	}
	return nil, -1
}

// sayRelay: coil current V/R and the base current for it.
func (f *finder) sayRelay(d *draft, x *device, coil *branch) {
	d.text = fmt.Sprintf("%s draws the current of %s when its control is driven", f.refs(x.parts...), f.refs(coil.parts...))
	r, ok := f.c.Parts[coil.parts[0]].Amount("coil resistance")
	v, known := f.highest()
	if ok && known && r > 0 {
		i := math.Abs(v) / r
		d.text += fmt.Sprintf(", %s", d.figure("coil current", i, quantity.Ampere, "V / Rcoil"))
		if x.family == bipolar {
			d.text += fmt.Sprintf(" for at least %s at the base", d.figure("base current", i/f.gain(x), quantity.Ampere, "I / β"))
		}
	}
	var clamps []int
	for _, p := range d.members {
		if k := twoLead(f.c.Parts[p].Kind); k&(diode|zener) != 0 && d.role[p] == Helper {
			clamps = append(clamps, p)
		}
	}
	if len(clamps) == 0 {
		d.text += ". Nothing catches the coil's voltage when it is cut off."
		d.note("no diode across the coil was found; without one the transistor is at risk each time it lets go")
		return
	}
	d.text += fmt.Sprintf(". %s gives the coil's current a way round when it is cut off, so that the transistor survives.", f.refs(clamps...))
}

func (f *finder) sayCoupler(d *draft, i int) {
	d.text = fmt.Sprintf("Light inside %s carries the signal from one side to the other without a wire. ", f.refs(i))
	if v, ok := f.amount(i, "transfer ratio"); ok {
		d.text += fmt.Sprintf("Its output carries up to %s of its input current.", d.figure("transfer ratio", v, quantity.Percent, "of its type"))
		return
	}
	d.text += "Its two sides may stand at quite different voltages."
}

// sayMeter: full scale V = I·(Rs + Rm); a shunt's V/R adds to the current.
func (f *finder) sayMeter(d *draft, m *branch) {
	name := f.refs(m.parts...)
	fs, ok := f.c.Parts[m.parts[0]].Amount("full scale")
	rm, _ := f.amount(m.parts[0], "resistance")
	series, ends := f.plainSeries(m)
	d.text = fmt.Sprintf("%s shows the current that flows through it", name)
	if f.bridged(m) {
		d.text = fmt.Sprintf("%s lies between the taps of two dividers and shows how far they are out of balance. ", name)
		d.text += "It reads nothing when the arms have the same ratio."
		return
	}
	if ok && series > 0 && ends {
		d.text += fmt.Sprintf(". With the resistors before it full scale is %s.", d.figure("full scale", fs*(series+rm), quantity.Volt, "I · (Rs + Rm)"))
		return
	}
	if ok {
		d.text += fmt.Sprintf(". It stands at full scale with %s.", quantity.Format(fs, f.c.Parts[m.parts[0]].Amounts["full scale"].Unit, 3))
		return
	}
	d.text += ". The resistors about it set its range."
}

// plainSeries is the resistance in series with a meter.
func (f *finder) plainSeries(m *branch) (float64, bool) {
	sum := 0.0
	for _, n := range []int{m.a, m.b} {
		if f.held(n) || f.degree(n) != 2 {
			continue
		}
		for _, b := range f.leads(resist, n) {
			sum += b.value
		}
	}
	return sum, sum > 0
}

// bridged tells whether a meter lies between two dividers.
func (f *finder) bridged(m *branch) bool {
	arms := func(n int) bool {
		to := map[int]bool{}
		for _, b := range f.leads(resist, n) {
			to[b.other(n)] = true
		}
		return len(to) >= 2
	}
	return !f.held(m.a) && !f.held(m.b) && arms(m.a) && arms(m.b)
}

func (f *finder) sayIndicator(d *draft, b *branch, series []*branch, ends [2]int) {
	name := f.refs(b.parts...)
	r := ohms(series)
	if b.sort == gas {
		d.text = fmt.Sprintf("%s lights when the voltage across it reaches its striking voltage, and %s keeps its current small. ", name, f.chainRefs(series))
		if v, ok := f.amount(b.parts[0], "striking voltage"); ok {
			d.text += fmt.Sprintf("It strikes at about %s.", d.figure("striking voltage", v, quantity.Volt, "of its type"))
			return
		}
		d.text += "It shows that a high voltage stands there; dark, it proves nothing."
		return
	}
	d.text = fmt.Sprintf("%s lights while there is voltage, and %s limits its current", name, f.chainRefs(series))
	if f.known[ends[0]] && f.known[ends[1]] && r > 0 {
		if i := (math.Abs(f.volts[ends[0]]-f.volts[ends[1]]) - f.drop(b)) / r; i > 0 {
			d.text += fmt.Sprintf(". It draws %s.", d.figure("current", i, quantity.Ampere, "(V − Vf) / R"))
			return
		}
	}
	d.text += ". Dark, it proves nothing."
}

func (f *finder) sayCoilFilter(d *draft, l *branch, caps []*branch) {
	d.text = fmt.Sprintf("%s and %s pass some frequencies and hold back others", f.refs(l.parts...), f.chainRefs(caps))
	c := caps[0].value
	for _, x := range caps {
		c = math.Max(c, x.value)
	}
	if l.value > 0 && c > 0 {
		d.text += fmt.Sprintf(". They part at %s.", d.figure("corner or resonance", resonance(l.value, c), quantity.Hertz, "1 / (2π · √(L · C))"))
		return
	}
	d.text += ". The larger the two, the lower the frequency at which they part."
}

func (f *finder) sayFilter(d *draft, r, c *branch, pass string) {
	slow, fast := "slow changes pass and fast ones are short-circuited", "fast changes pass and slow ones are held back"
	what := slow
	if pass == "high" {
		what = fast
	}
	d.text = fmt.Sprintf("With %s and %s %s", f.refs(r.parts...), f.refs(c.parts...), what)
	if v := corner(r, c); v > 0 {
		d.text += fmt.Sprintf(". The two part at %s.", d.figure("corner frequency", v, quantity.Hertz, "1 / (2π · R · C)"))
		return
	}
	d.text += ". Resistance and capacitance set where the two part."
}

// sayAmp: gains from the resistors with an ideal amplifier (Floyd, Electronic
// Devices, op-amps with negative feedback and basic op-amp circuits).
func (f *finder) sayAmp(d *draft, a *amp) {
	u := f.refs(a.part)
	back := 0.0
	for _, b := range a.back {
		if b.sort == resist {
			back = b.value
		}
	}
	if p := f.path(a.minus, a.out, resist, 2); p != nil && !f.held(a.minus) {
		back = ohms(p)
	}
	switch d.kind {
	case Inverting:
		d.text = fmt.Sprintf("%s holds its inverting input still, so that all the input's current goes on through the feedback. ", u)
		if in := f.inputOhms(a); back > 0 && in > 0 {
			d.text += fmt.Sprintf("The gain is −%s.", d.figure("gain", back/in, quantity.None, "Rf / Rin"))
			return
		}
		d.text += "The ratio of the two resistances is the gain."
	case NonInverting:
		d.text = fmt.Sprintf("%s raises its output until the divider brings back as much as stands at its other input. ", u)
		if low := f.groundOhms(a); back > 0 && low > 0 {
			d.text += fmt.Sprintf("The gain is %s.", d.figure("gain", 1+back/low, quantity.None, "1 + Rf / Rg"))
			return
		}
		d.text += "The divider sets the gain."
	case VoltageFollower:
		d.text = fmt.Sprintf("%s makes its output equal to its input. It takes nothing from what drives it and can drive a load.", u)
	case Summing:
		d.text = fmt.Sprintf("The currents of all inputs add at the inverting input of %s. ", u)
		var gains []string
		for _, b := range f.inlets(a, a.minus) {
			if b.sort == resist && b.value > 0 && back > 0 {
				gains = append(gains, d.figure("gain of "+f.refs(b.parts...), back/b.value, quantity.None, "Rf / R")+" by "+f.refs(b.parts...))
			}
		}
		if len(gains) > 0 {
			d.text += "Each is amplified and turned over: " + words(gains) + "."
			return
		}
		d.text += "Each is weighted by its resistor."
	case Difference:
		d.text = fmt.Sprintf("%s amplifies the difference of its two inputs and leaves out what they have in common. ", u)
		if in := f.inputOhms(a); back > 0 && in > 0 {
			d.text += fmt.Sprintf("The gain is %s.", d.figure("gain", back/in, quantity.None, "R2 / R1"))
			return
		}
		d.text += "Equal ratios of the resistors on both sides are what makes it work."
	default:
		f.sayDynamic(d, a, back)
	}
}

// sayDynamic explains the kinds in which time or a threshold matters.
func (f *finder) sayDynamic(d *draft, a *amp, back float64) {
	u := f.refs(a.part)
	switch d.kind {
	case Integrator:
		d.text = fmt.Sprintf("The input's current charges the capacitor in the feedback of %s, so that the output sums the input over time. ", u)
		c := f.value(a.back, capac)
		if in := f.inputOhms(a); c > 0 && in > 0 {
			d.text += fmt.Sprintf("With one volt at the input it moves by %s V/s.", times(d.number("slope per volt", 1/(in*c), quantity.None, "1 / (R · C)")))
			return
		}
		d.text += "A steady input makes a ramp."
	case Differentiator:
		d.text = fmt.Sprintf("Only changes of the input drive a current through the capacitor, which %s turns into a voltage. ", u)
		for _, b := range f.inlets(a, a.minus) {
			c, _ := f.seriesInput(b, a.minus)
			if c != nil && c.value > 0 && back > 0 {
				d.text += fmt.Sprintf("The time constant is %s.", d.figure("time constant", back*c.value, quantity.Second, "R · C"))
				return
			}
		}
		d.text += "A steady input gives nothing."
	case ActiveFilter:
		d.text = fmt.Sprintf("The resistors and capacitors about %s pass some frequencies and hold back others, and it drives what follows. ", u)
		if v := f.filterHertz(a); v > 0 {
			d.text += fmt.Sprintf("The corner lies at %s.", d.figure("corner frequency", v, quantity.Hertz, "1 / (2π · √(R1 · R2 · C1 · C2))"))
			return
		}
		d.text += "Their values set the corner."
	case Comparator:
		d.text = fmt.Sprintf("%s compares its two inputs, and its output goes to one rail or the other", u)
		for _, n := range []int{a.plus, a.minus} {
			if v, _, ok := f.thevenin(n); ok && !f.held(n) && len(f.inlets(a, n)) == 0 {
				d.text += fmt.Sprintf(". It turns over when the other input passes %s.", d.figure("limit", v, quantity.Volt, "voltage of the divider at "+string(f.names[n])))
				return
			}
		}
		d.text += ". There is no feedback, so that it may flutter when both are nearly equal."
	case OpAmpSchmitt:
		d.text = fmt.Sprintf("%s goes to one rail or the other, and part of its output moves the limit out of the way. ", u)
		low := f.shareOf(a)
		if low > 0 {
			d.text += fmt.Sprintf("The two limits lie %s of the output's swing apart.", d.figure("hysteresis", low, quantity.Percent, "R1 / (R1 + R2)"))
			return
		}
		d.text += "So it goes over at one input voltage and back at another."
	case OpAmpAstable:
		d.text = fmt.Sprintf("The output of %s charges the capacitor up to one limit and down to another, which it sets itself. ", u)
		beta, c := f.shareOf(a), f.value(f.leads(capac, a.minus), capac)
		if beta > 0 && beta < 1 && c > 0 && back > 0 {
			d.text += fmt.Sprintf("It repeats at %s.", d.figure("frequency", 1/(2*back*c*math.Log((1+beta)/(1-beta))), quantity.Hertz, "1 / (2 · R · C · ln((1 + β) / (1 − β)))"))
			return
		}
		d.text += "Resistor and capacitor set how fast."
	default:
		d.text = fmt.Sprintf("The diodes lie inside the feedback of %s, so that their drop vanishes. It rectifies signals far below 0.7 V.", u)
	}
}

// number adds a figure and returns its value.
func (d *draft) number(name string, v float64, u quantity.Unit, how string) float64 {
	d.figure(name, v, u, how)
	return v
}

func (f *finder) value(all []*branch, s sort) float64 {
	for _, b := range all {
		if b.sort&s != 0 && b.value > 0 {
			return b.value
		}
	}
	return 0
}

// inputOhms is the resistance of the only way into the inverting input.
func (f *finder) inputOhms(a *amp) float64 {
	for _, b := range f.inlets(a, a.minus) {
		if b.sort == resist {
			return b.value
		}
		if _, r := f.seriesInput(b, a.minus); r != nil {
			return r.value
		}
	}
	return 0
}

// groundOhms is the resistance from the inverting input to where it is still.
func (f *finder) groundOhms(a *amp) float64 {
	for _, b := range f.leads(resist|capac, a.minus) {
		if !f.quietEnd(b, a.minus) {
			continue
		}
		if b.sort == resist {
			return b.value
		}
		if _, r := f.seriesInput(b, a.minus); r != nil {
			return r.value
		}
	}
	return 0
}

// shareOf is the part of the output that stands at the non-inverting input.
func (f *finder) shareOf(a *amp) float64 {
	up := 0.0
	for _, b := range a.forward {
		up = b.value
	}
	g := 0.0
	for _, b := range f.leads(resist, a.plus) {
		if !containsBranch(a.forward, b) && b.value > 0 {
			g += 1 / b.value
		}
	}
	if up <= 0 || g <= 0 {
		return 0
	}
	return (1 / g) / (1/g + up)
}

func containsBranch(all []*branch, b *branch) bool {
	for _, x := range all {
		if x == b {
			return true
		}
	}
	return false
}

// inletsAny lists the resistors and capacitors of a net that don't end on a
// rail.
func (f *finder) inletsAny(net int) []*branch {
	var out []*branch
	for _, b := range f.leads(resist|capac, net) {
		if !f.held(b.other(net)) {
			out = append(out, b)
		}
	}
	return out
}

// filterHertz is the corner from the two resistors and capacitors nearest the
// input, or from one of each.
func (f *finder) filterHertz(a *amp) float64 {
	var r, c []float64
	seen := map[*branch]bool{}
	collect := func(n int) {
		if n < 0 || f.held(n) {
			return
		}
		for _, b := range f.leads(resist|capac, n) {
			if seen[b] || b.value <= 0 {
				continue
			}
			seen[b] = true
			if b.sort == resist {
				r = append(r, b.value)
			} else {
				c = append(c, b.value)
			}
		}
	}
	in := a.plus
	if f.held(a.plus) || len(f.inletsAny(a.plus)) == 0 {
		in = a.minus
	}
	collect(in)
	for _, b := range f.leads(resist|capac, in) {
		if o := b.other(in); !f.held(o) && o != a.out && len(f.pins[o]) == 0 && f.degree(o) >= 3 {
			collect(o)
		}
	}
	switch {
	case len(r) >= 2 && len(c) >= 2:
		return 1 / (2 * math.Pi * math.Sqrt(r[0]*r[1]*c[0]*c[1]))
	case len(r) >= 1 && len(c) >= 1:
		return 1 / (2 * math.Pi * r[0] * c[0])
	}
	return 0
}

// sayInstrumentation: gain (1 + 2·R/Rg) times that of the difference stage
// (Floyd, Electronic Devices, instrumentation amplifiers).
func (f *finder) sayInstrumentation(d *draft, x, z *amp, gain []*branch) {
	d.text = fmt.Sprintf("Two amplifiers take the inputs without loading them, and %s amplifies their difference. ", f.refs(z.part))
	r, rg := f.value(x.back, resist), ohms(gain)
	rf, ri := f.value(z.back, resist), f.inputOhms(z)
	if r > 0 && rg > 0 && rf > 0 && ri > 0 {
		d.text += fmt.Sprintf("The gain is %s, set by %s.", d.figure("gain", (1+2*r/rg)*rf/ri, quantity.None, "(1 + 2 · R / Rg) · R2 / R1"), f.chainRefs(gain))
		return
	}
	d.text += fmt.Sprintf("%s sets the gain.", f.chainRefs(gain))
}

// sayCurrentAmp: I = V/R of the resistor at the foot.
func (f *finder) sayCurrentAmp(d *draft, a *amp, x *device, foot *branch) {
	d.text = fmt.Sprintf("%s drives %s until the drop over %s equals the voltage at its input. ", f.refs(a.part), f.refs(x.parts...), f.refs(foot.parts...))
	if foot.value > 0 {
		d.text += fmt.Sprintf("With one volt there the current is %s, whatever the load takes.", d.figure("current per volt", 1/foot.value, quantity.Ampere, "V / R"))
		return
	}
	d.text += "The current follows that voltage, whatever the load takes."
}
