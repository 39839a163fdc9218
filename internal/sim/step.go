package sim

import (
	"context"
	"math"
)

// The one-step method is TR-BDF2: a trapezoidal stage to t + γ·h, then one by
// the second backward differentiation formula to t + h. It is of second order
// and L-stable, and both stages have the same matrix. By states y and rates f:
//
//	y(γ) = y + d·h·f + d·h·f(γ)
//	y(1) = y + w·h·f + w·h·f(γ) + d·h·f(1)
//
// The difference to the weights of third order, passed through the matrix so
// that stiff parts do not inflate it, is the error.
//
// Source: R. E. Bank et al., IEEE Trans. Electron Devices 32 (1985)
// 1992–2007; estimate of M. E. Hosea, L. F. Shampine, Appl. Numer. Math. 20
// (1996) 21–37 (both from memory; TestRinging confirms order and estimate).
const (
	stageAt    = 2 - math.Sqrt2 // γ
	implicit   = stageAt / 2    // d
	weight     = math.Sqrt2 / 4 // w
	errorBegin = weight - (1-weight)/3
	errorStage = weight - (3*weight+1)/3
	errorEnd   = implicit - implicit/3
)

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
	in     *Instance
	rest   []float64
	middle []float64 // rates at the inner stage
	wrong  []float64 // error of the states
	slope  []float64 // of the unknowns where the next step begins, as far as known
	loose  float64   // of Newton's method: see trial
}

func newStepper(in *Instance) *stepper {
	n := 0
	for _, e := range in.storing {
		n += e.states()
	}
	return &stepper{in: in, rest: make([]float64, n), middle: make([]float64, n), wrong: make([]float64, n),
		slope: make([]float64, len(in.sys.x)), loose: 1}
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
	s.in.loadStraight()
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
	dh := implicit * h
	for k, x := range from.x {
		s.in.sys.x[k] = x + stageAt*h*s.slope[k]
	}
	for k := range s.rest {
		s.rest[k] = from.state[k] + dh*from.rate[k]
	}
	if err := s.stage(ctx, from.t+stageAt*h, dh, s.near); err != nil {
		return err
	}
	s.rates(s.middle)
	for k, x := range from.x {
		s.in.sys.x[k] = x + (s.in.sys.x[k]-x)/stageAt
	}
	for k := range s.rest {
		s.rest[k] = from.state[k] + weight*h*(from.rate[k]+s.middle[k])
	}
	if err := s.stage(ctx, end, dh, s.near); err != nil {
		return err
	}
	s.finish(to, end, dh)
	s.estimate(from, to, h)
	return nil
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
	for k := range s.wrong {
		s.wrong[k] = h * (errorBegin*from.rate[k] + errorStage*s.middle[k] + errorEnd*to.rate[k])
	}
	f := in.sys.f
	clear(f)
	s.each(func(e storing, from, to int) { e.weigh(s.wrong[from:to], f) })
	in.backsolve(f, in.links)
}
