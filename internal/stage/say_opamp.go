package stage

import (
	"fmt"
	"math"
	"slices"

	"foilside/internal/quantity"
)

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
		if !slices.Contains(a.forward, b) && b.value > 0 {
			g += 1 / b.value
		}
	}
	if up <= 0 || g <= 0 {
		return 0
	}
	return (1 / g) / (1/g + up)
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
