package sim

import "math"

// charging is how much charge a junction stores at a voltage.
type charging interface {
	// charge is coulombs and farads at v.
	charge(v float64) (q, c float64)
	// tame shortens a step as the junction's own law asks.
	tame(old, next float64) float64
	// turn takes the knobs of the part.
	turn(t tuning)
}

// reservoir is a junction's charge: a capacitor by a curve, behind the few
// leads' length of wire that keep capacitances apart. Its current is an
// unknown. Row, in volts, with c the differential capacitance:
//
//	(q(v − ohms·i) − rest − dh·i)/c = 0, and i = 0 at rest
type reservoir struct {
	a, b   terminal
	holds  charging
	branch int32
	now    stage
	rest   float64
	v      float64 // across the charge itself, as last loaded
	c      float64 // there
	at     [5]int32
}

func (e *reservoir) nodes(join func(a, b int32)) { join(e.a.node, e.b.node) }

func (e *reservoir) number(next func() int32) { e.branch = next() }

func (e *reservoir) states() int { return 1 }

func (e *reservoir) place(p *placing) { placeBranch(p, &e.at, e.a.node, e.b.node, e.branch) }

func (e *reservoir) tune(t tuning) { e.holds.turn(t) }

func (e *reservoir) arm(dh float64, rest []float64) { e.now, e.rest = stageOf(dh), rest[0] }

// across is the voltage over the charge.
func (e *reservoir) across(x []float64) float64 {
	return x[e.a.node] - x[e.b.node] - leastOhms*x[e.branch]
}

func (e *reservoir) begin(x []float64, cold bool) {
	e.v = 0
	if !cold {
		e.v = e.across(x)
	}
}

func (e *reservoir) load(s *system) {
	i := s.x[e.branch]
	s.pass(e.a.node, e.b.node, i)
	s.a[e.at[2]]++
	s.a[e.at[3]]--
	if e.now.still {
		stillSlopes(s, &e.at)
		s.f[e.branch] += stillLeak*(s.x[e.a.node]-s.x[e.b.node]) - i
		return
	}
	next := e.across(s.x)
	v := e.holds.tame(e.v, next)
	if math.Abs(v-next) > roughly {
		s.rough = true
	}
	q, c := e.holds.charge(v)
	e.v, e.c = v, c
	s.a[e.at[0]]++
	s.a[e.at[1]]--
	s.a[e.at[4]] -= leastOhms + e.now.dh/c
	s.f[e.branch] += (q-e.rest-e.now.dh*i)/c + next - v
}

func (e *reservoir) currents(x, into []float64) {
	into[e.a.lead] += x[e.branch]
	into[e.b.lead] -= x[e.branch]
}

func (e *reservoir) rates(x, into []float64) { into[0] = x[e.branch] }

func (e *reservoir) keep(x, into []float64) { into[0], _ = e.holds.charge(e.across(x)) }

func (e *reservoir) weigh(err, f []float64) { f[e.branch] += err[0] / e.c }

// depletion is the charge of an abrupt junction's barrier:
//
//	c = c0/√(1 − v/φ), along its tangent from v = φ/2 on
//
// Source: W. Shockley, Bell Syst. Tech. J. 28 (1949) 435–489 (from memory).
type depletion struct {
	c0  float64 // farads at no voltage
	phi float64 // volts
}

func (d depletion) charge(v float64) (q, c float64) {
	if v <= d.phi/2 {
		root := math.Sqrt(1 - v/d.phi)
		return 2 * d.phi * d.c0 * (1 - root), d.c0 / root
	}
	// Slope of c at φ/2: c0/(2φ)·2^1.5.
	rise := d.c0 * math.Sqrt2 / d.phi
	over := v - d.phi/2
	return 2*d.phi*d.c0*(1-math.Sqrt(0.5)) + over*(d.c0*math.Sqrt2+rise*over/2), d.c0*math.Sqrt2 + rise*over
}

// diodeCharge is what a diode stores: its barrier's charge, and the carriers
// that its forward current has on the way, which must be swept out before it
// blocks: q = transit·i.
//
// Source: charge control after R. Beaufoy, J. J. Sparkes, ATE J. 13 (1957)
// 310–327 (from memory).
type diodeCharge struct {
	barrier depletion
	forward law
	turned  law
	last    lately  // of turned
	transit float64 // seconds
}

func (d *diodeCharge) charge(v float64) (q, c float64) {
	q, c = d.barrier.charge(v)
	if d.transit > 0 {
		i, g := d.last.at(&d.turned, v)
		q, c = q+d.transit*i, c+d.transit*g
	}
	return q, c
}

func (d *diodeCharge) tame(old, next float64) float64 {
	old = max(old, 0)
	if d.transit == 0 || next <= 0 || (next <= d.turned.limit && old <= d.turned.limit) {
		return next
	}
	i, g := d.last.at(&d.turned, old)
	return d.turned.tameFrom(old, i, g, next)
}

func (d *diodeCharge) turn(t tuning) {
	d.turned, d.last = d.forward, lately{}
	if t.drop != 0 {
		d.turned = d.forward.shifted(t.drop)
	}
}

// baseCharge is what a transistor's base stores on the side of one junction:
// the barrier's charge and transit·Is·(e^(v/Vt) − 1). It is what keeps a
// saturated transistor on after its drive has gone.
//
// Source: as diodeCharge; H. K. Gummel, H. C. Poon, Bell Syst. Tech. J. 49
// (1970) 827–852 (from memory).
type baseCharge struct {
	barrier depletion
	device  bipolar // for its law and its knobs
	transit float64 // seconds
}

func (d *baseCharge) charge(v float64) (q, c float64) {
	q, c = d.barrier.charge(v)
	i, g := d.device.diode(v)
	return q + d.transit*i, c + d.transit*g
}

func (d *baseCharge) tame(old, next float64) float64 { return d.device.tame(old, next) }

func (d *baseCharge) turn(t tuning) { d.device.tune(t) }
