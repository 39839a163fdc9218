package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// SettleOptions are what a search for the settled cycle is asked for.
type SettleOptions struct {
	Within    float64 // seconds of the circuit's time; 0 stands for DefaultWithin
	Tolerance float64 // of a step, as in TransientOptions; 0 stands for DefaultSettleTolerance
	Variant   Variant
	Draw      Draw
	// FollowAll follows every cycle; for comparison.
	FollowAll bool
	Progress  func(done float64, what string) // nil: nobody watches
}

// Defaults of SettleOptions.
const (
	DefaultWithin          = 10.0
	DefaultSettleTolerance = 1e-3
)

// Settled is where a circuit comes to: at rest, or a cycle that repeats.
type Settled struct {
	// Swings: there is a cycle. Without it the circuit is at rest: one that
	// was expected to swing does not start.
	Swings bool
	// Reached: the cycle repeats. Without it the time, or the steps, were
	// used up first, or the circuit swings without an even cycle, and the
	// figures are those of the last stretch followed.
	Reached  bool
	Period   float64 // seconds; 0 at rest or without an even cycle
	At       float64 // seconds after the supplies came on
	Followed int     // cycles that were followed
	Skipped  int     // cycles that were gone over
	Steps    int
	in       *Instance
	log      *log
}

// Cycle is what a voltage or a current does over the settled cycle.
type Cycle struct {
	Average   float64 `json:"average"`
	Low       float64 `json:"low"`
	High      float64 `json:"high"`
	RMS       float64 `json:"rms"`       // of all of it
	Ripple    float64 `json:"ripple"`    // rms of what is left without the average
	Rectified float64 `json:"rectified"` // average of the size of what is left without the average
}

// Settle follows the circuit from the moment its supplies come on to where it
// settles, going over cycles that hardly change: see leaper.
//
// Errors: those of Instance; *StallError; the context's.
func (m *Model) Settle(ctx context.Context, state circuit.State, opt SettleOptions) (*Settled, error) {
	if opt.Within == 0 {
		opt.Within = DefaultWithin
	}
	if opt.Tolerance == 0 {
		opt.Tolerance = DefaultSettleTolerance
	}
	to, err := m.filled(TransientOptions{For: opt.Within, Tolerance: opt.Tolerance, Watch: []circuit.NetID{}, Variant: opt.Variant, Progress: opt.Progress})
	if err != nil {
		return nil, err
	}
	movers, err := m.movers()
	if err != nil {
		return nil, err
	}
	in, err := m.instance(state, opt.Variant, movers)
	if err != nil {
		return nil, err
	}
	if opt.Draw != nil {
		if len(opt.Draw) != len(m.spreads) {
			return nil, fmt.Errorf("the draw has %d scores, the circuit %d spreads", len(opt.Draw), len(m.spreads))
		}
		in.tune(opt.Draw)
	}
	r := newRun(in, to)
	r.settling = true
	if r.steps = settleSteps; opt.FollowAll {
		r.steps *= 40
	}
	r.pace = min(r.pace, settlePace)
	r.watchCycles(!opt.FollowAll)
	if err := r.begin(ctx); err != nil {
		return nil, err
	}
	reached := true
	if err := r.follow(ctx); err != nil {
		var stall *StallError
		if !errors.As(err, &stall) || r.taken <= r.steps {
			return nil, err
		}
		reached = false
	}
	return r.outcome(ctx, reached)
}

const (
	// settleSteps bounds the steps of a search.
	settleSteps = 800_000
	// stirShare is the part of the time, at its end, in which a circuit at rest
	// has no net that swings.
	stirShare = 0.1
	// coarseFloors is by how much coarser the floors of the judged unknowns are
	// where cycles are what matters: the ringing of millivolts somewhere
	// does not.
	coarseFloors = 20
	// settlePace is the time that shares of the run are of until the cycle is
	// known.
	settlePace = 20e-3
)

// watchCycles has the run find its cycles, and go over them if asked.
func (r *run) watchCycles(leaping bool) {
	r.coarse = coarseFloors
	r.judge()
	r.beat = newBeat(r.in, !r.settling)
	r.beat.least = leastSwing * r.largest
	r.leaps = newLeaper(r)
	r.leaps.leaping = leaping
	if r.leaps.still.share = stillShare; !leaping {
		r.leaps.still.share = aloneShare
	}
}

// outcome follows one more cycle, or a stretch where there is none, and takes
// everything down.
func (r *run) outcome(ctx context.Context, reached bool) (*Settled, error) {
	s := &Settled{in: r.in, At: r.at.t, Followed: int(r.leaps.followed), Skipped: int(r.leaps.skipped)}
	even := r.beat.length > 0 && !r.beat.lost(r.at.t)
	r.log = &log{}
	if !even && r.resting() && !r.beat.stirs(r.at.t-stirShare*r.opt.For) {
		s.Reached = true
		r.log.add(r)
		s.log, s.Steps = r.log, r.taken
		return s, nil
	}
	s.Swings = true
	s.Reached = reached && even && r.leaps.still.reached()
	r.opt.For = math.Inf(1)
	r.opt.Progress = nil
	r.steps = r.taken + settleSteps
	if even {
		if err := r.follow(ctx); err != nil {
			return nil, err
		}
	}
	r.log = &log{}
	r.log.add(r)
	if err := r.follow(ctx); err != nil {
		return nil, err
	}
	if even && r.beat.last > r.log.time[0] {
		s.Period = r.beat.former
	}
	s.log, s.Steps = r.log, r.taken
	return s, nil
}

// log is every point of a stretch: voltages, branch currents, currents into
// leads.
type log struct {
	time    []float64
	x       [][]float64
	current [][]float64
}

func (l *log) add(r *run) {
	x := slices.Clone(r.at.x)
	i := make([]float64, r.in.leads)
	for _, e := range r.in.elements {
		e.currents(x, i)
	}
	l.time, l.x, l.current = append(l.time, r.at.t), append(l.x, x), append(l.current, i)
}

func (l *log) span() float64 { return l.time[len(l.time)-1] - l.time[0] }

// over is the figures of a quantity over the log, which goes in straight lines
// from point to point.
func (l *log) over(at func(k int) float64) Cycle {
	c := Cycle{Low: math.Inf(1), High: math.Inf(-1)}
	for k := range l.time {
		v := at(k)
		c.Low, c.High = min(c.Low, v), max(c.High, v)
	}
	if l.span() <= 0 {
		v := at(len(l.time) - 1)
		return Cycle{Average: v, Low: c.Low, High: c.High, RMS: math.Abs(v)}
	}
	c.Average = l.mean(at, func(a, b float64) float64 { return (a + b) / 2 })
	rest := func(k int) float64 { return at(k) - c.Average }
	c.Ripple = math.Sqrt(l.mean(rest, func(a, b float64) float64 { return (a*a + a*b + b*b) / 3 }))
	c.RMS = math.Hypot(c.Ripple, c.Average)
	c.Rectified = l.mean(rest, func(a, b float64) float64 {
		if a*b >= 0 {
			return math.Abs(a+b) / 2
		}
		return (a*a + b*b) / (2 * math.Abs(a-b))
	})
	return c
}

// mean is the mean over time of what of gives for a straight piece.
func (l *log) mean(at func(k int) float64, of func(a, b float64) float64) float64 {
	sum := 0.0
	for k := 1; k < len(l.time); k++ {
		sum += (l.time[k] - l.time[k-1]) * of(at(k-1), at(k))
	}
	return sum / l.span()
}

// Net is what a net's voltage to the reference does; ok as in Solution.
func (s *Settled) Net(n circuit.NetID) (Cycle, bool) {
	return s.Between(OnNet(n), OnNet(s.in.model.reference))
}

// Reference is the place that voltages of nets refer to.
func (s *Settled) Reference() Place { return OnNet(s.in.model.reference) }

// Between is what the voltage of one place over another does. ok is false for
// an unknown place, and where nothing joins the two.
func (s *Settled) Between(plus, minus Place) (Cycle, bool) {
	a, errA := s.in.placeNode(plus)
	b, errB := s.in.placeNode(minus)
	if errA != nil || errB != nil {
		return Cycle{}, false
	}
	return s.log.over(func(k int) float64 { return s.log.x[k][a] - s.log.x[k][b] }), s.in.island[a] == s.in.island[b]
}

// Current is what the current into a lead of a part does.
func (s *Settled) Current(p circuit.PartRef, lead circuit.LeadName) (Cycle, bool) {
	at, ok := s.in.model.partIndex[p]
	if !ok {
		return Cycle{}, false
	}
	l := s.in.model.parts[at].lead(lead)
	if l < 0 {
		return Cycle{}, false
	}
	slot := s.in.leadBase[at] + int32(l)
	return s.log.over(func(k int) float64 { return s.log.current[k][slot] }), true
}

// Power is what a part takes in; a source that delivers has it negative.
func (s *Settled) Power(p circuit.PartRef) Cycle {
	at, ok := s.in.model.partIndex[p]
	if !ok {
		return Cycle{}
	}
	return s.log.over(func(k int) float64 {
		sum := 0.0
		for l := range s.in.model.parts[at].leadNet {
			slot := s.in.leadBase[at] + int32(l)
			sum += s.log.x[k][s.in.leadNode[slot]] * s.log.current[k][slot]
		}
		return sum
	})
}

// Parts lists the parts of the circuit.
func (s *Settled) Parts() []circuit.PartRef {
	var out []circuit.PartRef
	for i := range s.in.model.parts {
		out = append(out, s.in.model.parts[i].part.Ref)
	}
	return out
}

// Waveforms is the cycle itself, its time from 0.
func (s *Settled) Waveforms() *Waveforms {
	w := &Waveforms{Nets: map[circuit.NetID][]float64{}}
	for _, t := range s.log.time {
		t -= s.log.time[0]
		if n := len(w.Time); n > 0 {
			t = max(t, math.Nextafter(w.Time[n-1], math.Inf(1)))
		}
		w.Time = append(w.Time, t)
	}
	for i, n := range s.in.model.nets {
		v := make([]float64, len(s.log.time))
		for k := range v {
			v[k] = s.log.x[k][s.in.netNode[i]]
		}
		w.Nets[n] = v
	}
	return w
}

// String says where the circuit comes to.
func (s *Settled) String() string {
	switch {
	case !s.Swings:
		return "it comes to rest"
	case s.Reached:
		return fmt.Sprintf("it swings with a period of %s", quantity.Format(s.Period, quantity.Second, 4))
	}
	return "it swings, and has not settled in the time given"
}
