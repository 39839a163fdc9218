package sim

import "math"

// coil is one winding of a core.
type coil struct {
	a, b   terminal
	ohms   float64
	turned float64 // ohms as tuned
	turns  float64 // over those of the first winding
	stray  float64 // henries that no other winding shares
	branch int32
	rest   float64
	at     [4]int32
}

// core is windings that share flux, one for an inductor; their currents are
// unknowns. With i the magnetising current, counted in the first winding's
// turns,
//
//	i = Σ n(k)·i(k)     λ(k) = n(k)·Φ(i) + stray(k)·i(k)
//
// the row of winding k, in amperes, is
//
//	λ(k) − (lag + dh)·(v(k) − ohms(k)·i(k)) = rest(k), over its own inductance
//
// with the flux linkage of every winding as its state, which lags behind what
// the currents make of it where the core has losses. A core without iron has
// Φ in proportion to i.
type core struct {
	coils []coil
	main  float64 // henries of the first winding that all share
	lag   float64 // seconds
	now   stage
	cross []int32 // places of the rows' currents, row by row
	iron  *iron   // nil: never saturates
}

// iron is the saturation of a core:
//
//	Φ(i) = L·i0·((1−s)·g(i/i0) + s·i/i0)     g(x) = x/(1 + |x|^p)^(1/p)
//
// straight with the inductance L at first, and with the share s of it, as of a
// coil in air, when the iron is full. p makes the knee as sharp as that of
// ferrite and of laminated iron in a closed path (common practice).
//
// Limits: no hysteresis, no remanence.
type iron struct {
	knee float64 // i0, amperes of the first winding
}

const (
	kneePower = 6.0
	airShare  = 0.01
)

// kneeOf is the knee of a coil whose inductance has fallen by a tenth at i
// amperes: the solution of (1−s)·g′(x) + s = 0.9.
func kneeOf(i float64) float64 {
	slope := (0.9 - airShare) / (1 - airShare)
	x := math.Pow(math.Pow(slope, -kneePower/(kneePower+1))-1, 1/kneePower)
	return i / x
}

// at is Φ and dΦ/di over L.
func (c *iron) at(i float64) (flux, slope float64) {
	x := i / c.knee
	x2 := x * x
	y := 1 + x2*x2*x2
	root := math.Pow(y, -1/kneePower)
	return c.knee*(1-airShare)*x*root + airShare*i, (1-airShare)*root/y + airShare
}

// flux is Φ and dΦ/di at the magnetising current i.
func (e *core) flux(i float64) (flux, slope float64) {
	if e.iron == nil {
		return e.main * i, e.main
	}
	flux, slope = e.iron.at(i)
	return e.main * flux, e.main * slope
}

func (e *core) nodes(join func(a, b int32)) {
	for _, c := range e.coils {
		join(c.a.node, c.b.node)
	}
}

func (e *core) number(next func() int32) {
	for k := range e.coils {
		e.coils[k].branch = next()
	}
}

func (e *core) states() int { return len(e.coils) }

func (e *core) place(p *placing) {
	e.cross = make([]int32, len(e.coils)*len(e.coils))
	for k := range e.coils {
		c := &e.coils[k]
		p.entry(&c.at[0], c.branch, c.a.node)
		p.entry(&c.at[1], c.branch, c.b.node)
		p.entry(&c.at[2], c.a.node, c.branch)
		p.entry(&c.at[3], c.b.node, c.branch)
		for j := range e.coils {
			p.entry(&e.cross[k*len(e.coils)+j], c.branch, e.coils[j].branch)
		}
	}
}

func (e *core) tune(t tuning) {
	for k := range e.coils {
		e.coils[k].turned = e.coils[k].ohms * t.value
	}
}

func (e *core) arm(dh float64, rest []float64) {
	e.now = stageOf(dh + e.lag)
	for k := range e.coils {
		e.coils[k].rest = rest[k]
	}
}

// own is the inductance of winding k where nothing saturates.
func (e *core) own(k int) float64 {
	c := &e.coils[k]
	return c.turns*c.turns*e.main + c.stray
}

// magnetising is i.
func (e *core) magnetising(x []float64) float64 {
	sum := 0.0
	for k := range e.coils {
		sum += e.coils[k].turns * x[e.coils[k].branch]
	}
	return sum
}

// tilt adds the slopes with that of Φ as given.
func (e *core) tilt(s *system, slope float64) {
	n := len(e.coils)
	for k := range e.coils {
		c := &e.coils[k]
		s.a[c.at[2]]++
		s.a[c.at[3]]--
		if e.now.still {
			s.a[c.at[0]]++
			s.a[c.at[1]]--
			s.a[e.cross[k*n+k]] -= c.turned
			continue
		}
		own := e.own(k)
		s.a[c.at[0]] -= e.now.dh / own
		s.a[c.at[1]] += e.now.dh / own
		for j := range e.coils {
			s.a[e.cross[k*n+j]] += slope * c.turns * e.coils[j].turns / own
		}
		s.a[e.cross[k*n+k]] += (c.stray + e.now.dh*c.turned) / own
	}
}

// press adds the currents and what is missing in the rows.
func (e *core) press(s *system, flux float64) {
	for k := range e.coils {
		c := &e.coils[k]
		i, rate := s.x[c.branch], e.rate(s.x, k)
		s.pass(c.a.node, c.b.node, i)
		if e.now.still {
			s.f[c.branch] += rate
			continue
		}
		s.f[c.branch] += (c.turns*flux + c.stray*i - e.now.dh*rate - c.rest) / e.own(k)
	}
}

// linkage is the flux linkage that the currents at x make in winding k.
func (e *core) linkage(x []float64, k int) float64 {
	flux, _ := e.flux(e.magnetising(x))
	return e.coils[k].turns*flux + e.coils[k].stray*x[e.coils[k].branch]
}

// rate is the voltage that changes the flux of winding k.
func (e *core) rate(x []float64, k int) float64 {
	c := &e.coils[k]
	return x[c.a.node] - x[c.b.node] - c.turned*x[c.branch]
}

func (e *core) currents(x, into []float64) {
	for k := range e.coils {
		c := &e.coils[k]
		into[c.a.lead] += x[c.branch]
		into[c.b.lead] -= x[c.branch]
	}
}

func (e *core) rates(x, into []float64) {
	for k := range e.coils {
		into[k] = e.rate(x, k)
	}
}

func (e *core) keep(x, into []float64) {
	flux, _ := e.flux(e.magnetising(x))
	for k := range e.coils {
		into[k] = e.coils[k].turns*flux + e.coils[k].stray*x[e.coils[k].branch] - e.lag*e.rate(x, k)
	}
}

func (e *core) weigh(err, f []float64) {
	for k := range e.coils {
		f[e.coils[k].branch] += err[k] / e.own(k)
	}
}

// winding is a core as the equations take it: straight without iron, bent
// with it.
type winding interface {
	storing
	wound() *core
}

// airCore is a core whose flux is in proportion.
type airCore struct{ core }

func (e *airCore) wound() *core     { return &e.core }
func (e *airCore) slopes(s *system) { e.tilt(s, e.main) }
func (e *airCore) flow(s *system)   { e.press(s, e.main*e.magnetising(s.x)) }

// ironCore is a core that saturates.
type ironCore struct{ core }

func (e *ironCore) wound() *core { return &e.core }

func (e *ironCore) begin([]float64, bool) {}

func (e *ironCore) load(s *system) {
	flux, slope := e.flux(e.magnetising(s.x))
	e.tilt(s, slope)
	e.press(s, flux)
}

// wind places a core.
func (b *assembly) wind(c core) {
	if c.iron == nil {
		b.add(&airCore{c})
		return
	}
	b.add(&ironCore{c})
}
