package sim

// storing is a straight element that keeps charge or flux. It only exists in
// an instance that moves.
//
// Its states y (coulombs, volt-seconds) are what the time step carries on, and
// their rates are currents and voltages of the solution, so that charge is
// conserved whatever the step does. A stage of a step solves
//
//	y(x) = rest + dh·rate(x)
//
// with dh the share of the step that counts implicitly. dh = 0 holds the
// states as they are: that is how a run begins and how it goes on after a jump.
type storing interface {
	straight
	// number takes the unknowns of its currents.
	number(next func() int32)
	// states is how many it has.
	states() int
	// arm prepares a stage.
	arm(dh float64, rest []float64)
	// rates gives dy/dt at x.
	rates(x, into []float64)
	// held gives the states of an operating point: volts across an end pair
	// by node voltages x, currents by lead.
	held(x, current, into []float64)
	// weigh puts what an error e of the states amounts to into the rows of
	// its equations.
	weigh(e, f []float64)
}

// condenser is a capacitor with a resistance in series; its current is an
// unknown. Row: v(a) − v(b) − (ohms + dh/C)·i = rest/C.
type condenser struct {
	a, b   terminal
	farads float64
	ohms   float64
	c      float64 // farads as tuned
	branch int32
	dh     float64
	rest   float64
	at     [5]int32
}

func (e *condenser) nodes(join func(a, b int32)) { join(e.a.node, e.b.node) }

func (e *condenser) number(next func() int32) { e.branch = next() }

func (e *condenser) states() int { return 1 }

func (e *condenser) place(p *placing) {
	p.entry(&e.at[0], e.branch, e.a.node)
	p.entry(&e.at[1], e.branch, e.b.node)
	p.entry(&e.at[2], e.a.node, e.branch)
	p.entry(&e.at[3], e.b.node, e.branch)
	p.entry(&e.at[4], e.branch, e.branch)
}

func (e *condenser) tune(t tuning) { e.c = e.farads * t.value }

func (e *condenser) arm(dh float64, rest []float64) { e.dh, e.rest = dh, rest[0] }

func (e *condenser) slopes(s *system) {
	s.a[e.at[0]]++
	s.a[e.at[1]]--
	s.a[e.at[2]]++
	s.a[e.at[3]]--
	s.a[e.at[4]] -= e.ohms + e.dh/e.c
}

func (e *condenser) flow(s *system) {
	i := s.x[e.branch]
	s.pass(e.a.node, e.b.node, i)
	s.f[e.branch] += s.x[e.a.node] - s.x[e.b.node] - e.ohms*i - (e.rest+e.dh*i)/e.c
}

func (e *condenser) currents(x, into []float64) {
	into[e.a.lead] += x[e.branch]
	into[e.b.lead] -= x[e.branch]
}

func (e *condenser) rates(x, into []float64) { into[0] = x[e.branch] }

func (e *condenser) held(x, _, into []float64) { into[0] = e.c * (x[e.a.node] - x[e.b.node]) }

func (e *condenser) weigh(err, f []float64) { f[e.branch] += err[0] / e.c }

// coil is one winding of a core.
type coil struct {
	a, b   terminal
	ohms   float64
	turned float64 // ohms as tuned
	branch int32
	rest   float64
	at     [4]int32
}

// core is windings that share flux, one for an inductor; their currents are
// unknowns. Row of winding k, in amperes:
//
//	Σ M(k,j)·i(j) − (lag + dh)·(v(k) − ohms(k)·i(k)) = rest(k), over M(k,k)
//
// with the flux linkage of every winding as its state, which lags behind what
// the currents make of it where the core has losses.
type core struct {
	coils []coil
	m     []float64 // henries, row by row
	lag   float64   // seconds
	dh    float64   // of the stage, with the lag
	cross []int32   // places of the rows' currents, row by row

	limit    float64 // largest |flux| of the first winding; 0: not known
	largest  float64 // that was seen
	overfull string  // what to say above the limit
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
	e.cross = make([]int32, len(e.m))
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
	e.dh = dh + e.lag
	for k := range e.coils {
		e.coils[k].rest = rest[k]
	}
}

// own is the inductance of winding k.
func (e *core) own(k int) float64 { return e.m[k*len(e.coils)+k] }

func (e *core) slopes(s *system) {
	n := len(e.coils)
	for k, c := range e.coils {
		s.a[c.at[0]] -= e.dh / e.own(k)
		s.a[c.at[1]] += e.dh / e.own(k)
		s.a[c.at[2]]++
		s.a[c.at[3]]--
		for j := range n {
			s.a[e.cross[k*n+j]] += e.m[k*n+j] / e.own(k)
		}
		s.a[e.cross[k*n+k]] += e.dh * c.turned / e.own(k)
	}
}

func (e *core) flow(s *system) {
	for k, c := range e.coils {
		s.pass(c.a.node, c.b.node, s.x[c.branch])
		s.f[c.branch] += (e.flux(s.x, k) - e.dh*e.rate(s.x, k) - c.rest) / e.own(k)
	}
}

// flux is the flux linkage of winding k at x.
func (e *core) flux(x []float64, k int) float64 {
	n, sum := len(e.coils), 0.0
	for j, c := range e.coils {
		sum += e.m[k*n+j] * x[c.branch]
	}
	return sum
}

// rate is the voltage that changes the flux of winding k.
func (e *core) rate(x []float64, k int) float64 {
	c := &e.coils[k]
	return x[c.a.node] - x[c.b.node] - c.turned*x[c.branch]
}

func (e *core) currents(x, into []float64) {
	for _, c := range e.coils {
		into[c.a.lead] += x[c.branch]
		into[c.b.lead] -= x[c.branch]
	}
}

func (e *core) rates(x, into []float64) {
	for k := range e.coils {
		into[k] = e.rate(x, k)
	}
}

func (e *core) held(_, current, into []float64) {
	n := len(e.coils)
	for k := range e.coils {
		into[k] = 0
		for j, c := range e.coils {
			into[k] += e.m[k*n+j] * current[c.a.lead]
		}
	}
}

func (e *core) weigh(err, f []float64) {
	for k, c := range e.coils {
		f[c.branch] += err[k] / e.own(k)
	}
}
