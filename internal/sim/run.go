package sim

import (
	"context"
	"math"
)

// Limits of a run. Shares are of its span.
const (
	leastSpan, mostSpan = 1e-12, 1e7 // seconds
	finest, coarsest    = 1e-7, 1e-2 // tolerances
	longestShare        = 1e-3       // longest step of second order
	longestFourth       = 1.0 / 25   // longest step of fourth order
	fourthPerPeriod     = 24         // steps of fourth order, at least, of every signal source
	smoothSteps         = 6          // after a jump, before steps of fourth order
	firstShare          = 1e-6       // first step after the beginning or a jump
	backwardShare       = 1e-9       // step of Euler's rule over what cannot be held
	leastShare          = 1e-12      // shortest step
	eventShare          = 1e-8       // how exactly a mode's turn is found
	stepsPerPeriod      = 100        // at least, of every signal source
	mostSteps           = 1_000_000
	// perStep is what of the tolerance a single step may use at the default
	// tolerance, since the errors of many steps add up: see share.
	perStep     = 1.0 / 125
	mostPerStep = 0.025
	// fourthPerStep is the same for steps of fourth order: ten periods of an
	// undamped ringing are then within ten tolerances.
	fourthPerStep = 0.06
	// Unknowns are judged against their largest value so far, but no finer than
	// against these shares of the largest source: volts, and amperes per volt.
	leastVolts   = 1e-4
	leastAmperes = 1e-7
	// noise is the share of the largest voltage at which an error is rounding.
	noiseShare = 1e-10
	// fluxFigures is the share of a flux that is rounding.
	fluxFigures = 1e-15
)

// run is a transient under way.
type run struct {
	in      *Instance
	opt     TransientOptions
	step    *stepper
	trace   *trace
	watched []int32 // nodes
	at, try point
	peak    []float64 // largest size of every unknown so far, 0 where it is not judged
	judged  []bool
	floor   []float64
	largest float64    // of all sources, and of where it begins, in volts
	noise   []float64  // volts at every node that are rounding in the step at hand
	h       float64    // next step
	longest [2]float64 // of second and fourth order
	smooth  int        // steps accepted since the last jump
	cubic   cubic
	curve   []curve   // of every net watched, over the step tried
	leaving []float64 // its slope at the end of the last step, in volts per second; NaN: not known
	taken   int
	rigid   bool    // the states can't be held: something would jump
	event   float64 // a mode turns by then; +Inf: not known to
	pace    float64 // seconds that shares of the run are of
	beat    *beat   // watches for cycles; nil: nobody does
	leaps   *leaper // goes over many cycles at once; nil: every one is followed
	log     *log    // takes every point of a cycle; nil: nobody does
	steps   int     // most that may be taken
	coarse  float64 // factor on the floors of what is judged

	settling bool // ends where the circuit settles
	kicked   bool // at rest it was knocked once
}

func newRun(in *Instance, opt TransientOptions) *run {
	r := &run{in: in, opt: opt, step: newStepper(in), trace: newTrace(len(opt.Watch), opt.MaxPoints, opt.For), event: math.Inf(1), pace: opt.For, steps: mostSteps, coarse: 1}
	n := len(in.sys.x)
	r.at, r.try = newPoint(n, len(r.step.rest)), newPoint(n, len(r.step.rest))
	r.noise = make([]float64, n)
	r.peak, r.judged, r.floor = make([]float64, n), make([]bool, n), make([]float64, n)
	for _, net := range opt.Watch {
		r.watched = append(r.watched, in.netNode[in.model.netIndex[net]])
	}
	r.step.tighten(r.share() * opt.Tolerance)
	r.longest = [2]float64{longestShare * opt.For, longestFourth * opt.For}
	for _, w := range in.waves {
		r.longest[0] = min(r.longest[0], w.period/stepsPerPeriod)
		r.longest[1] = min(r.longest[1], w.period/fourthPerPeriod)
	}
	fourth := fourthOrder()
	r.cubic = cubicOf(&fourth)
	r.curve, r.leaving = make([]curve, len(opt.Watch)), make([]float64, len(opt.Watch))
	return r
}

// begin finds the circuit at 0 s.
func (r *run) begin(ctx context.Context) error {
	in := r.in
	in.restHinges()
	if s := r.opt.From; s != nil {
		if err := r.step.startAt(ctx, s, &r.at); err != nil {
			return err
		}
	}
	r.judge()
	if err := r.restart(ctx); err != nil {
		return err
	}
	r.note(0)
	return r.leave(ctx)
}

// restart goes on from r.at after a jump of a source or a mode, until every
// mode agrees.
func (r *run) restart(ctx context.Context) error {
	for pass := range mostPasses {
		if err := r.settle(ctx); err != nil {
			return err
		}
		copy(r.in.sys.x, r.at.x)
		turned := r.in.turnHinges(pass >= togetherPasses)
		if turned == nil {
			break
		}
		if pass == mostPasses-1 {
			return &StallError{Time: r.at.t, Why: listedParts(turned) + " would switch over and back without end in no time"}
		}
	}
	r.h = firstShare * r.pace
	r.event = math.Inf(1)
	r.smooth = 0
	r.step.flatten()
	return nil
}

// settle finds voltages and currents at r.at. Where states cannot be held, as
// of two coils in series, two short steps of Euler's rule do it: one to let
// them jump, one to leave the surge behind.
func (r *run) settle(ctx context.Context) error {
	if !r.rigid {
		done, err := settled(r.step.hold(ctx, &r.at))
		if done {
			return err
		}
		r.rigid = true
	}
	for range 2 {
		end := r.at.t + r.shortest()
		if done, err := settled(r.step.backward(ctx, &r.at, &r.try, end, r.step.far)); !done {
			return r.stalled("something there switches faster than its parts allow, or nothing sets a voltage")
		} else if err != nil {
			return err
		}
		r.at.set(&r.try)
	}
	return nil
}

// follow takes steps to the end.
func (r *run) follow(ctx context.Context) error {
	for r.at.t < r.opt.For {
		if r.taken++; r.taken > r.steps {
			return r.stalled("a million steps are used up; ask for a shorter time or a coarser tolerance")
		}
		if r.opt.Progress != nil && r.taken%256 == 0 {
			r.opt.Progress(r.at.t/r.opt.For, "waveforms")
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := r.advance(ctx); err != nil {
			return err
		}
		if r.beat != nil && r.beat.take() {
			if done, err := r.section(ctx); done || err != nil {
				return err
			}
		} else if r.beat != nil && r.taken%64 == 0 {
			if done, err := r.silence(ctx); done || err != nil {
				return err
			}
		}
	}
	if r.opt.Progress != nil {
		r.opt.Progress(1, "waveforms")
	}
	return nil
}

// advance tries one step.
func (r *run) advance(ctx context.Context) error {
	r.chooseOrder()
	stop := r.stop()
	end := r.end(stop)
	h := end - r.at.t
	done, err := settled(r.step.step(ctx, &r.at, &r.try, end))
	if done && err != nil {
		return err
	}
	if !done || !isFinite(r.try.x) {
		r.smooth = 0
		if r.shorten(h, 1.0/8) {
			return nil
		}
		return r.jump(ctx, end)
	}
	growth := r.growth(r.ratio(h))
	if growth < 0.9 && r.shorten(h, max(growth, 0.1)) {
		r.smooth -= 2
		return nil
	}
	if at, turning := r.turning(); turning {
		if h > r.eventWidth() {
			r.event = at
			return nil
		}
		r.accept()
		r.in.turnHinges(false)
		return r.resume(ctx)
	}
	if r.beat != nil && r.beat.passes(&r.at, &r.try) {
		return r.land(ctx)
	}
	if r.step.by.twice {
		if less := r.curves(h); less < 1 && r.shorten(h, less) {
			return nil
		}
		r.fill()
	}
	r.accept()
	r.smooth++
	r.h = h * min(5, max(0.2, growth))
	if end >= r.event {
		r.event = math.Inf(1)
	}
	if end >= stop && end < r.opt.For {
		if r.leaps != nil && r.beat.period == 0 {
			r.leaps.interrupt(r.at.state)
		}
		return r.resume(ctx)
	}
	return nil
}

// chooseOrder takes steps of fourth order where the circuit has gone on
// smoothly for a while. Near a jump or an event many steps are short anyhow,
// and those of second order take the least. Where cycles are looked for, like
// ones must be taken by like steps.
func (r *run) chooseOrder() {
	fourth := r.smooth >= smoothSteps && math.IsInf(r.event, 1) && r.beat == nil
	switch {
	case fourth == r.step.by.twice:
	case fourth:
		r.step.by = fourthOrder()
		r.cornerUnknown()
	default:
		r.step.by = secondOrder()
	}
}

// growth is how much longer a step with an error could have been, with some
// left; a little more is not worth new factors where a step of the same length
// needs none.
func (r *run) growth(ratio float64) float64 {
	const dead = 1.25
	g := 1 / max(ratio, 1e-6)
	if r.step.by.twice {
		g = 0.9 * math.Sqrt(math.Sqrt(g))
	} else {
		g = 0.9 * math.Cbrt(g)
	}
	if len(r.in.bent) == 0 && g >= 0.95 && g < dead {
		return 1
	}
	return g
}

// shorten makes the next step a share of one of length h, unless that was the
// shortest already.
func (r *run) shorten(h, share float64) bool {
	least := max(leastShare*r.pace, 8*ulp(r.at.t))
	if h <= 2*least { // rounding may have made it longer than asked for
		return false
	}
	r.h = max(h*share, least)
	return true
}

// jump goes over an instant at which the circuit turns over without anything
// that slows it: the states stay, voltages may go anywhere.
func (r *run) jump(ctx context.Context, end float64) error {
	done, err := settled(r.step.backward(ctx, &r.at, &r.try, end, r.step.far))
	if !done {
		return r.stalled("something there switches faster than its parts allow")
	}
	if err != nil {
		return err
	}
	r.accept()
	return r.resume(ctx)
}

// resume restarts at a jump and notes its far side.
func (r *run) resume(ctx context.Context) error {
	r.turnPieces(r.at.t + r.together())
	if err := r.restart(ctx); err != nil {
		return err
	}
	r.note(r.at.t)
	return r.leave(ctx)
}

// leave takes the first step after a jump, a very short one by Euler's rule:
// what is over within a billionth of the run, such as charge that spreads
// between capacitors through nothing but their leads, is not worth following.
func (r *run) leave(ctx context.Context) error {
	left := r.stop() - r.at.t
	if r.rigid || left <= 0 {
		return nil
	}
	end := r.at.t + min(r.shortest(), left/4)
	done, err := settled(r.step.backward(ctx, &r.at, &r.try, end, r.step.near))
	if !done {
		return nil // the error control takes smaller steps
	}
	if err != nil {
		return err
	}
	r.accept()
	return nil
}

// turning tells whether a mode contradicts the point tried, or a stage of a
// long step on the way to it, and when.
func (r *run) turning() (at float64, yes bool) {
	if len(r.in.hinges) == 0 {
		return 0, false
	}
	if r.step.by.twice {
		for _, k := range []int{2, 1, 3} { // by time
			if p := &r.step.inner[k]; r.contradicts(p) {
				return p.t, true
			}
		}
	}
	return r.try.t, r.contradicts(&r.try)
}

// contradicts tells whether a mode contradicts a point.
func (r *run) contradicts(p *point) bool {
	copy(r.in.sys.x, p.x)
	before := r.in.modes()
	turned := r.in.turnHinges(false) != nil
	r.in.restoreModes(before)
	return turned
}

// accept goes to the point tried and notes it.
func (r *run) accept() {
	r.step.foresee(&r.at, &r.try)
	r.at, r.try = r.try, r.at
	r.note(r.at.t)
}

// note keeps the point at hand as that of a time, or of the next number after
// the last one where that is the same: the far side of a jump.
func (r *run) note(t float64) {
	if n := len(r.trace.time); n > 0 {
		t = max(t, math.Nextafter(r.trace.time[n-1], math.Inf(1)))
	}
	for k, v := range r.at.x {
		r.peak[k] = max(r.peak[k], math.Abs(v))
	}
	if r.beat != nil {
		r.beat.observe(&r.at)
	}
	if r.leaps != nil {
		r.leaps.grow(r.at.state)
	}
	if r.log != nil {
		r.log.add(r)
	}
	r.trace.add(t, func(k int) float64 { return r.at.x[r.watched[k]] })
}

// stalled names the nets that would not settle.
func (r *run) stalled(why string) error {
	e := &StallError{Time: r.at.t, Why: why}
	if c, ok := r.in.unsettled().(*ConvergenceError); ok {
		e.Nets = c.Nets
	}
	return e
}

// ulp is the distance from t to the next number.
func ulp(t float64) float64 { return math.Nextafter(t, math.Inf(1)) - t }
