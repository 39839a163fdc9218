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

func (f *finder) sayPushPull(d *draft, x, y *device, tap int) {
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
