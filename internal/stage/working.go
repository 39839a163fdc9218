package stage

import (
	"math"

	"foilside/internal/quantity"
)

// thermal is kT/q at 27 °C, as textbooks round it for re = 26 mV / Ie
// (Boylestad & Nashelsky, Electronic Devices and Circuit Theory).
const thermal = 26e-3

// thevenin is the voltage and the resistance that the resistors to rails give a
// net. ok is false where a voltage or a value is unknown.
func (f *finder) thevenin(net int) (volts, ohms float64, ok bool) {
	g, i := 0.0, 0.0
	for _, b := range f.leads(resist, net) {
		o := b.other(net)
		if !f.held(o) {
			continue
		}
		if !f.known[o] || b.value <= 0 {
			return 0, 0, false
		}
		g += 1 / b.value
		i += f.volts[o] / b.value
	}
	if g <= 0 {
		return 0, 0, false
	}
	return i / g, 1 / g, true
}

// foot is the resistance from a device's reference to its rail, the rail's
// voltage, and whether a capacitor bypasses it.
func (f *finder) foot(x *device) (ohms, volts float64, bypassed, ok bool) {
	if f.held(x.k) {
		return 0, f.volts[x.k], false, f.known[x.k]
	}
	v, r, ok := f.thevenin(x.k)
	return r, v, f.bypass(x.k) != nil, ok
}

// collectorCurrent estimates a bipolar transistor's current from its bias
// resistors: Ic = (Vth − Vbe)/(Rth/β + Re) for a divider or one resistor, and
// (Vcc − Vbe)/(Rc + Re + Rb/β) for bias from the collector (Boylestad &
// Nashelsky, DC biasing).
func (f *finder) collectorCurrent(x *device) (float64, bool) {
	if x.family != bipolar {
		return 0, false
	}
	re, vk, _, ok := f.foot(x)
	if !ok {
		return 0, false
	}
	vbe := f.baseVolts(x)
	gain := f.gain(x)
	if f.held(x.g) {
		if !f.known[x.g] || re <= 0 {
			return 0, false
		}
		return current((x.sign*(f.volts[x.g]-vk) - vbe) / re)
	}
	vb, rb, ok := f.thevenin(x.g)
	if back := f.path(x.o, x.g, resist, 2); back != nil && !f.held(x.o) {
		vc, rc, known := f.thevenin(x.o)
		r := ohms(back)
		if !known || ok || r <= 0 {
			return 0, false
		}
		return current((x.sign*(vc-vk) - vbe) / (rc + re + r/gain))
	}
	if !ok {
		return 0, false
	}
	return current((x.sign*(vb-vk) - vbe) / (rb/gain + re))
}

// loaded tells whether the resistor at the output lets a current through at
// all: an estimate beyond that would mean saturation.
func (f *finder) loaded(x *device, i float64) bool {
	v, r, ok := f.thevenin(x.o)
	re, vk, _, known := f.foot(x)
	return !ok || !known || i*(r+re) < math.Abs(v-vk)
}

// current refuses what no transistor can carry.
func current(i float64) (float64, bool) {
	return i, i > 0 && !math.IsInf(i, 0) && i < 50
}

// gain is a transistor's direct-current gain, that of a composite the product.
func (f *finder) gain(x *device) float64 {
	product := 1.0
	for _, p := range x.parts {
		if v, ok := f.amount(p, "gain"); ok && v > 0 {
			product *= v
		} else {
			product *= 100
		}
	}
	return product
}

// alternatingLoad is the resistance that a signal meets on a net: the resistors
// to quiet nets, and behind coupling capacitors, in parallel. 0 where none.
func (f *finder) alternatingLoad(net int, x *device) float64 {
	g := 0.0
	add := func(n int) {
		for _, b := range f.leads(resist, n) {
			if o := b.other(n); b.value > 0 && f.quiet(o) && o != x.g {
				g += 1 / b.value
			}
		}
		for _, b := range f.leads(load, n) {
			if r, ok := f.amount(b.parts[0], "resistance"); ok && r > 0 && f.quiet(b.other(n)) {
				g += 1 / r
			}
		}
	}
	add(net)
	for _, c := range f.leads(capac, net) {
		if o := c.other(net); !f.held(o) && f.controlled(o, nil) == nil {
			add(o)
		}
	}
	if g <= 0 {
		return 0
	}
	return 1 / g
}

// highest is the greatest known supply voltage.
func (f *finder) highest() (float64, bool) {
	best, ok := 0.0, false
	for i := range f.names {
		if f.held(i) && f.known[i] && math.Abs(f.volts[i]) > math.Abs(best) {
			best, ok = f.volts[i], true
		}
	}
	return best, ok
}

// verb is the plural of a verb for several parts, the singular for one.
func verb(parts []int, one, several string) string {
	if len(parts) > 1 {
		return several
	}
	return one
}

// ohmText, and the like, print a value.
func ohmText(v float64) string   { return quantity.Format(v, quantity.Ohm, 3) }
func voltText(v float64) string  { return quantity.Format(v, quantity.Volt, 3) }
func hertzText(v float64) string { return quantity.Format(v, quantity.Hertz, 3) }

// times writes a bare ratio.
func times(v float64) string { return quantity.Format(v, quantity.None, 3) }
