package sim

import (
	"math"

	q "foilside/internal/quantity"
)

// photocurrent drives the base of an optocoupler's transistor with a share of
// its diode's current. Ends: anode, cathode, collector, base (inside).
type photocurrent struct {
	diode law
	share float64
	gain  float64
}

// couplerGain is the gain taken for the transistor of an optocoupler; only
// its product with the share matters.
const couplerGain = 200

func (t *photocurrent) joined() [][2]int { return [][2]int{{0, 1}} }

func (t *photocurrent) tune(k tuning) { t.gain = k.gain }

func (t *photocurrent) tame(old, next []float64) { tamePair(t.diode, old, next, 0, 1) }

func (t *photocurrent) flow(v, current, slope []float64) {
	i, g := t.diode.at(v[0] - v[1])
	path(4, current, slope, 0, 1, i, g, 0, 1)
	resistive(4, v, current, slope, 0, 1, 1e-10)
	k := t.share * t.gain
	light, dlight := smoothPositive(i, 1e-12)
	path(4, current, slope, 2, 3, k*light, k*dlight*g, 0, 1)
}

func makeOptocoupler(r *resolver) func(*assembly) {
	ratio := r.positive("transfer ratio", 1, q.None, trade)
	c := lightClass("infrared")
	vt := thermalVoltage(r.opt.Temperature)
	t := photocurrent{diode: fit(c.drop, c.current, c.emission*vt, c.series), share: ratio / couplerGain, gain: 1}
	proto := bipolar{sign: 1, is: 0.002 / math.Expm1(0.65/vt), vt: vt, gain: couplerGain, reverse: 0.7, leak: 1e-10}
	r.spread(KnobGain, unknownSpread, trade)
	return func(b *assembly) {
		d, e := t, proto
		base := terminal{node: b.node()}
		b.device(&d, b.lead("a"), b.lead("k"), b.lead("c"), base)
		e.c, e.b, e.e = b.lead("c"), base, b.lead("e")
		b.add(&coupled{e})
	}
}

// coupled is the transistor of an optocoupler: the part's gain knob belongs to
// the light, not to it.
type coupled struct{ bipolar }

func (e *coupled) tune(t tuning) {
	t.gain = 1
	e.bipolar.tune(t)
}
