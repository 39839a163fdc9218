package stage

import (
	"fmt"

	"foilside/internal/quantity"
)

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
