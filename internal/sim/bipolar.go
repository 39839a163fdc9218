package sim

import "math"

// bipolar is a transistor by the transport form of Ebers and Moll.
//
//	It  = Is·(e^(Vbe/Vt) − e^(Vbc/Vt))
//	Ibe = Is/βF·(e^(Vbe/Vt) − 1)    Ibc = Is/βR·(e^(Vbc/Vt) − 1)
//	Ic  = It − Ibc                  Ib  = Ibe + Ibc
//
// with a leakage across each junction and a breakdown of base to emitter.
// sign is 1 for npn and −1 for pnp; all voltages and currents carry it.
//
// Limits: no Early effect, no fall of gain at high or low current, no bulk
// resistances, no collector breakdown.
// Source: J. J. Ebers, J. L. Moll, Proc. IRE 42 (1954) 1761–1772; transport
// form: J. Logan, Bell Syst. Tech. J. 50 (1971) 1105–1147 (from memory).
type bipolar struct {
	c, b, e   terminal
	sign      float64
	is        float64
	vt        float64
	gain      float64
	reverse   float64 // gain with collector and emitter changed over
	leak      float64
	breakdown law
	breaks    bool
	turnedIs  float64
	turned    float64 // gain with the part's knob
	critical  float64
	vbe, vbc  float64
	at        [9]int32
}

func (e *bipolar) nodes(join func(a, b int32)) {
	join(e.b.node, e.e.node)
	join(e.b.node, e.c.node)
}

func (e *bipolar) place(p *placing) {
	ends := [3]int32{e.c.node, e.b.node, e.e.node}
	for r, i := range ends {
		for c, j := range ends {
			p.entry(&e.at[3*r+c], i, j)
		}
	}
}

func (e *bipolar) tune(t tuning) {
	e.turned = e.gain * t.gain
	e.turnedIs = e.is
	if t.drop != 0 {
		e.turnedIs = e.is * math.Exp(-t.drop/e.vt)
	}
	e.critical = e.vt * math.Log(e.vt/(math.Sqrt2*e.turnedIs))
}

func (e *bipolar) begin(x []float64, cold bool) {
	e.vbe, e.vbc = 0, 0
	if !cold {
		e.vbe = e.sign * (x[e.b.node] - x[e.e.node])
		e.vbc = e.sign * (x[e.b.node] - x[e.c.node])
	}
}

// flow is currents and slopes at a pair of junction voltages.
type flow struct {
	ic, ib     float64
	icBE, icBC float64 // slopes of ic over Vbe and Vbc
	ibBE, ibBC float64
}

func (e *bipolar) flow(vbe, vbc float64) flow {
	ef, gf := e.diode(vbe)
	er, gr := e.diode(vbc)
	ibe, gbe := ef/e.turned+e.leak*vbe, gf/e.turned+e.leak
	ibc, gbc := er/e.reverse+e.leak*vbc, gr/e.reverse+e.leak
	if e.breaks && vbe < 0 {
		i, g := e.breakdown.at(-vbe)
		ibe, gbe = ibe-i, gbe+g
	}
	return flow{
		ic: ef - er - ibc, ib: ibe + ibc,
		icBE: gf, icBC: -gr - gbc,
		ibBE: gbe, ibBC: gbc,
	}
}

// diode is Is·(e^(v/Vt) − 1) with its slope.
func (e *bipolar) diode(v float64) (i, g float64) {
	x := v / e.vt
	if x < -40 {
		return -e.turnedIs, 0
	}
	if x < 1 {
		m := math.Expm1(x)
		return e.turnedIs * m, e.turnedIs * (m + 1) / e.vt
	}
	y := softExp(x)
	g = e.turnedIs * math.Min(y, math.Exp(80)) / e.vt
	return e.turnedIs * (y - 1), g
}

func (e *bipolar) load(s *system) {
	vbe := e.sign * (s.x[e.b.node] - s.x[e.e.node])
	vbc := e.sign * (s.x[e.b.node] - s.x[e.c.node])
	tamedBE, tamedBC := e.tame(e.vbe, vbe), e.tame(e.vbc, vbc)
	if e.breaks && tamedBE < 0 {
		tamedBE = -e.breakdown.tame(max(-e.vbe, 0), -tamedBE)
	}
	if math.Abs(tamedBE-vbe) > roughly || math.Abs(tamedBC-vbc) > roughly {
		s.rough = true
	}
	e.vbe, e.vbc = tamedBE, tamedBC
	f := e.flow(e.vbe, e.vbc)
	s.row(e.at[0:3], f.icBE, f.icBC)
	s.row(e.at[3:6], f.ibBE, f.ibBC)
	s.row(e.at[6:9], -f.icBE-f.ibBE, -f.icBC-f.ibBC)
	restBE, restBC := vbe-e.vbe, vbc-e.vbc
	s.pass(e.c.node, e.e.node, e.sign*(f.ic+f.icBE*restBE+f.icBC*restBC))
	s.pass(e.b.node, e.e.node, e.sign*(f.ib+f.ibBE*restBE+f.ibBC*restBC))
}

// row adds the slopes of one lead's current over Vbe and Vbc; at holds the
// places of collector, base and emitter.
func (s *system) row(at []int32, be, bc float64) {
	s.a[at[0]] -= bc
	s.a[at[1]] += be + bc
	s.a[at[2]] -= be
}

// belowCritical is how many thermal voltages below the critical voltage (where
// it carries some 18 mA) a step that turns a junction on ends first: at about
// a tenth of a milliampere, which is nearer than nothing to what drives most
// of them. Chosen by the number of iterations over plausible circuits and a
// meter's junction readings.
const belowCritical = 5

// tame shortens a step of a junction voltage that would overshoot.
//
// Source: the logarithmic limit of W. J. McCalla, Fundamentals of
// Computer-Aided Circuit Simulation, Kluwer 1988 (from memory).
func (e *bipolar) tame(old, next float64) float64 {
	if next <= e.critical || math.Abs(next-old) <= 2*e.vt {
		return next
	}
	if knee := e.critical - belowCritical*e.vt; old < knee {
		return knee
	}
	if grown := 1 + (next-old)/e.vt; grown > 0 {
		return old + e.vt*math.Log(grown)
	}
	return e.critical
}

func (e *bipolar) currents(x, into []float64) {
	f := e.flow(e.sign*(x[e.b.node]-x[e.e.node]), e.sign*(x[e.b.node]-x[e.c.node]))
	ic, ib := e.sign*f.ic, e.sign*f.ib
	into[e.c.lead] += ic
	into[e.b.lead] += ib
	into[e.e.lead] -= ic + ib
}
