package sim

import (
	"context"
	"math"
)

// sameStep is how much steps of one length differ by rounding, relative: they
// have one matrix.
const sameStep = 1e-11

// stepNewton bounds the iterations of a stage.
const stepNewton = 25

// point is a place on the run.
type point struct {
	t     float64
	x     []float64 // unknowns
	state []float64 // coulombs and volt-seconds
	rate  []float64 // of the states
}

func newPoint(unknowns, states int) point {
	return point{x: make([]float64, unknowns), state: make([]float64, states), rate: make([]float64, states)}
}

func (p *point) set(q *point) {
	p.t = q.t
	copy(p.x, q.x)
	copy(p.state, q.state)
	copy(p.rate, q.rate)
}

// stepper takes steps of an instance that moves.
type stepper struct {
	in    *Instance
	by    method
	rest  []float64
	inner [mostStages]point // stages within the step; the first is not used
	wrong []float64         // error of the states
	slope []float64         // of the unknowns where the next step begins, as far as known
	loose float64           // of Newton's method: see trial
	dh    float64           // that the straight elements are loaded with
}

func newStepper(in *Instance) *stepper {
	n := 0
	for _, e := range in.storing {
		n += e.states()
	}
	s := &stepper{in: in, by: secondOrder(), rest: make([]float64, n), wrong: make([]float64, n),
		slope: make([]float64, len(in.sys.x)), loose: 1, dh: math.NaN()}
	for k := 1; k < mostStages-1; k++ {
		s.inner[k] = newPoint(len(in.sys.x), n)
	}
	return s
}

// each calls f for every storing element with its part of the states.
func (s *stepper) each(f func(e storing, from, to int)) {
	at := 0
	for _, e := range s.in.storing {
		f(e, at, at+e.states())
		at += e.states()
	}
}

// way finds a solution of the equations from in.sys.x.
type way func(ctx context.Context) error

// near is the way from a solution close by.
func (s *stepper) near(ctx context.Context) error {
	return s.in.newton(ctx, trial{steps: stepNewton, loose: s.loose})
}

// far is the way from wherever: the roads to an operating point but the last,
// which props nodes up and so would invent voltages.
func (s *stepper) far(ctx context.Context) error {
	in := s.in
	roads := []way{
		func(ctx context.Context) error { return in.newton(ctx, trial{steps: stepNewton}) },
		func(ctx context.Context) error { clear(in.sys.x); return in.fromNothing(ctx, nil) },
		func(ctx context.Context) error { clear(in.sys.x); return in.stepShunts(ctx, nil) },
		func(ctx context.Context) error { clear(in.sys.x); return in.stepLevels(ctx, nil) },
	}
	for _, road := range roads {
		if done, err := settled(road(ctx)); done {
			return err
		}
	}
	return errUnsettled
}

// stage solves the equations at a time with a share dh of the states' rates
// implicit, and leaves the unknowns in in.sys.x.
//
// Errors: those of the way.
func (s *stepper) stage(ctx context.Context, t, dh float64, by way) error {
	s.each(func(e storing, from, to int) { e.arm(dh, s.rest[from:to]) })
	for _, w := range s.in.waves {
		w.set(t)
	}
	if dh != s.dh {
		s.in.loadStraight()
		s.dh = dh
	}
	return by(ctx)
}

func (s *stepper) rates(into []float64) {
	s.each(func(e storing, from, to int) { e.rates(s.in.sys.x, into[from:to]) })
}

// finish puts what the last stage found into a point.
func (s *stepper) finish(to *point, t, dh float64) {
	to.t = t
	copy(to.x, s.in.sys.x)
	s.rates(to.rate)
	for k, rate := range to.rate {
		to.state[k] = s.rest[k] + dh*rate
	}
}

// hold finds voltages and currents at p with the states as they are.
func (s *stepper) hold(ctx context.Context, p *point) error {
	copy(s.rest, p.state)
	copy(s.in.sys.x, p.x)
	if err := s.stage(ctx, p.t, 0, s.far); err != nil {
		return err
	}
	s.finish(p, p.t, 0)
	return nil
}

// backward takes a step by Euler's backward rule, which asks nothing of the
// rates at its beginning.
func (s *stepper) backward(ctx context.Context, from, to *point, end float64, by way) error {
	h := end - from.t
	copy(s.rest, from.state)
	copy(s.in.sys.x, from.x)
	if err := s.stage(ctx, end, h, by); err != nil {
		return err
	}
	s.finish(to, end, h)
	return nil
}

// step takes a step to end and leaves the error of every unknown in in.sys.f.
func (s *stepper) step(ctx context.Context, from, to *point, end float64) error {
	h := end - from.t
	dh := s.by.implicit * h
	if math.Abs(dh-s.dh) <= sameStep*dh {
		dh = s.dh
	}
	final := s.by.stages - 1
	for i := 1; i <= final; i++ {
		t := from.t + s.by.at[i]*h
		if s.by.at[i] == 1 {
			t = end
		}
		s.guess(i, from, h)
		s.gather(i, from, h)
		if err := s.stage(ctx, t, dh, s.near); err != nil {
			return err
		}
		if i < final {
			p := &s.inner[i]
			p.t = t
			copy(p.x, s.in.sys.x)
			s.rates(p.rate)
		}
	}
	s.finish(to, end, dh)
	s.estimate(from, to, h)
	return nil
}

// gather puts what the earlier stages make of the states of stage i into rest.
func (s *stepper) gather(i int, from *point, h float64) {
	first := h * s.by.shares[i][0]
	for k, y := range from.state {
		s.rest[k] = y + first*from.rate[k]
	}
	for j := 1; j < i; j++ {
		share, rate := h*s.by.shares[i][j], s.inner[j].rate
		for k := range s.rest {
			s.rest[k] += share * rate[k]
		}
	}
}

// guess puts what stage i begins its iterations at into in.sys.x: along the
// slope of the step before, then along the first stage, and where one is at
// the same time as the last, from that.
func (s *stepper) guess(i int, from *point, h float64) {
	x, at := s.in.sys.x, &s.by.at
	switch {
	case i == 1:
		for k, v := range from.x {
			x[k] = v + at[1]*h*s.slope[k]
		}
	case at[i] == at[i-1] || len(s.in.bent) == 0: // one iteration finds it from anywhere
	case i == 2:
		along(x, from.x, s.inner[1].x, at[2]/at[1])
	default:
		bow(x, from.x, s.inner[1].x, s.inner[2].x, at[1], at[2], at[i])
	}
}

// along is the straight line from a to b at a share of the way.
func along(into, a, b []float64, share float64) {
	for k, v := range a {
		into[k] = v + share*(b[k]-v)
	}
}

// bow is the parabola through a at 0, b at p and c at q, at r.
func bow(into, a, b, c []float64, p, q, r float64) {
	ofB, ofC := r*(r-q)/(p*(p-q)), r*(r-p)/(q*(q-p))
	for k, v := range a {
		into[k] = v + ofB*(b[k]-v) + ofC*(c[k]-v)
	}
}

// tighten sets how far Newton's method goes where a step may be wrong by a
// share allowed: its error is the square of its last change over a thermal
// voltage, and is to stay far below.
func (s *stepper) tighten(allowed float64) {
	const share = 1e-4
	s.loose = max(1, min(math.Sqrt(share*allowed), coarsestNewton)/relative)
}

// coarsestNewton is the largest last change of Newton's method, relative.
const coarsestNewton = 1e-5

// foresee notes the slope of the unknowns over the step just taken, for the
// next one to begin with; flatten forgets it.
func (s *stepper) foresee(from, to *point) {
	h := to.t - from.t
	for k := range s.slope {
		s.slope[k] = (to.x[k] - from.x[k]) / h
	}
}

func (s *stepper) flatten() { clear(s.slope) }

// estimate turns the error of the states into that of all unknowns.
func (s *stepper) estimate(from, to *point, h float64) {
	in := s.in
	f := in.sys.f
	final := s.by.stages - 1
	if s.by.twice {
		for k, x := range s.inner[final-1].x {
			f[k] = to.x[k] - x
		}
		return
	}
	for k := range s.wrong {
		sum := s.by.wrong[0]*from.rate[k] + s.by.wrong[final]*to.rate[k]
		for j := 1; j < final; j++ {
			sum += s.by.wrong[j] * s.inner[j].rate[k]
		}
		s.wrong[k] = h * sum
	}
	clear(f)
	s.each(func(e storing, from, to int) { e.weigh(s.wrong[from:to], f) })
	in.backsolve(f, in.links)
}
