package sim

import "math"

// storing is an element that keeps charge or flux. It only exists in an
// instance that moves.
//
// Its states y (coulombs, volt-seconds) are what the time step carries on, and
// their rates are currents and voltages of the solution, so that charge is
// conserved whatever the step does. A stage of a step solves
//
//	y(x) = rest + dh·rate(x)
//
// with dh the share of the step that counts implicitly. dh = 0 holds the
// states as they are: that is how a run begins and how it goes on after a jump.
// dh = +Inf asks for rest itself, rate(x) = 0.
type storing interface {
	element
	// number takes the unknowns of its currents.
	number(next func() int32)
	// states is how many it has.
	states() int
	// arm prepares a stage.
	arm(dh float64, rest []float64)
	// rates gives dy/dt at x.
	rates(x, into []float64)
	// keep gives the states at x.
	keep(x, into []float64)
	// weigh puts what an error e of the states amounts to into the rows of
	// its equations.
	weigh(e, f []float64)
}

// stage is the time step as a storing element sees it.
type stage struct {
	dh    float64
	still bool // dh is infinite
}

func stageOf(dh float64) stage {
	if math.IsInf(dh, 1) {
		return stage{still: true}
	}
	return stage{dh: dh}
}

// condenser is a capacitor with a resistance in series; its current is an
// unknown. Row: v(a) − v(b) − (ohms + dh/C)·i = rest/C, and i = 0 at rest.
type condenser struct {
	a, b   terminal
	farads float64
	ohms   float64
	own    bool    // of a part that is no capacitor
	c      float64 // farads as tuned
	branch int32
	now    stage
	rest   float64
	at     [5]int32
}

func (e *condenser) nodes(join func(a, b int32)) { join(e.a.node, e.b.node) }

func (e *condenser) number(next func() int32) { e.branch = next() }

func (e *condenser) states() int { return 1 }

func (e *condenser) place(p *placing) { placeBranch(p, &e.at, e.a.node, e.b.node, e.branch) }

// placeBranch asks for the entries of an element whose current is an unknown:
// its row over the two voltages, the current in their two rows, and its own
// diagonal.
func placeBranch(p *placing, at *[5]int32, a, b, branch int32) {
	p.entry(&at[0], branch, a)
	p.entry(&at[1], branch, b)
	p.entry(&at[2], a, branch)
	p.entry(&at[3], b, branch)
	p.entry(&at[4], branch, branch)
}

func (e *condenser) tune(t tuning) { e.c = e.farads * t.value }

func (e *condenser) arm(dh float64, rest []float64) { e.now, e.rest = stageOf(dh), rest[0] }

func (e *condenser) slopes(s *system) {
	s.a[e.at[2]]++
	s.a[e.at[3]]--
	if e.now.still {
		stillSlopes(s, &e.at)
		return
	}
	s.a[e.at[0]]++
	s.a[e.at[1]]--
	s.a[e.at[4]] -= e.ohms + e.now.dh/e.c
}

func (e *condenser) flow(s *system) {
	i := s.x[e.branch]
	s.pass(e.a.node, e.b.node, i)
	if e.now.still {
		s.f[e.branch] += stillLeak*(s.x[e.a.node]-s.x[e.b.node]) - i
		return
	}
	s.f[e.branch] += s.x[e.a.node] - s.x[e.b.node] - e.ohms*i - (e.rest+e.now.dh*i)/e.c
}

// stillLeak is what a capacitor passes at rest, in siemens: nothing that could
// be measured, but it shares out the voltage of capacitors in series.
const stillLeak = 1e-24

// stillSlopes is the row of a capacitor at rest, leak·v − i = 0.
func stillSlopes(s *system, at *[5]int32) {
	s.a[at[0]] += stillLeak
	s.a[at[1]] -= stillLeak
	s.a[at[4]]--
}

func (e *condenser) currents(x, into []float64) {
	into[e.a.lead] += x[e.branch]
	into[e.b.lead] -= x[e.branch]
}

func (e *condenser) rates(x, into []float64) { into[0] = x[e.branch] }

func (e *condenser) keep(x, into []float64) {
	into[0] = e.c * (x[e.a.node] - x[e.b.node] - e.ohms*x[e.branch])
}

func (e *condenser) weigh(err, f []float64) { f[e.branch] += err[0] / e.c }
