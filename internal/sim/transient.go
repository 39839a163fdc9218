package sim

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// TransientOptions are what a run over time is asked for.
type TransientOptions struct {
	For       float64         // seconds
	Tolerance float64         // of a voltage's largest value so far, 1e-7 to 1e-2; 0 stands for DefaultTolerance
	Watch     []circuit.NetID // nets to note; nil: all
	Variant   Variant
	// FromSettled begins at the operating point of the same state, with signal
	// sources at 0 V; From at one of any state of this model. Without them
	// every capacitor and coil begins empty, the supplies coming on at 0 s.
	FromSettled bool
	From        *Solution
	// Leaps lets the run go over cycles that hardly differ, see leaper: between
	// the cycles that are followed only their slow change is known. Gaps of
	// the waveforms tell where.
	Leaps     bool
	MaxPoints int                             // 0 stands for DefaultPoints
	Progress  func(done float64, what string) // nil: nobody watches
}

// Defaults of TransientOptions.
const (
	DefaultTolerance = 1e-4
	DefaultPoints    = 20000
)

// leapSteps is how many times the usual steps a run with leaps may take: it is
// asked for what would otherwise take hundreds of times as many.
const leapSteps = 4

// Waveforms are voltages of nets to the model's reference over time.
//
// Time begins at 0, rises strictly and ends at what was asked for. Where a
// voltage jumps there are two points, a rounding apart in time.
type Waveforms struct {
	Time     []float64                   `json:"time"` // s
	Nets     map[circuit.NetID][]float64 `json:"nets"` // V
	Warnings []circuit.Problem           `json:"-"`    // what is doubtful, in the circuit's words
	// Gaps are the stretches, from and to, in which cycles were gone over: a
	// straight line is drawn from the end of one cycle to the beginning of
	// another.
	Gaps [][2]float64 `json:"gaps,omitempty"`
}

// Order lists the nets in natural order.
func (w *Waveforms) Order() []circuit.NetID {
	return slices.SortedFunc(maps.Keys(w.Nets), func(a, b circuit.NetID) int { return circuit.NaturalCompare(string(a), string(b)) })
}

// StallError says that a run could not go on.
type StallError struct {
	Time float64
	Nets []circuit.NetID // that keep changing there
	Why  string
}

// Error says when and where.
func (e *StallError) Error() string {
	text := fmt.Sprintf("the circuit cannot be followed past %s: %s", quantity.Format(e.Time, quantity.Second, 4), e.Why)
	if len(e.Nets) == 0 {
		return text
	}
	var names []string
	for _, n := range e.Nets {
		names = append(names, string(n))
	}
	return text + "; look at " + listed(names)
}

// Transient follows the circuit over time from the moment its supplies come
// on.
//
// Method, constants, limits: docs/numerics.md, section "Waveforms".
//
// Errors: those of Instance and OperatingPoint; *StallError; the context's.
func (m *Model) Transient(ctx context.Context, state circuit.State, opt TransientOptions) (*Waveforms, error) {
	opt, err := m.filled(opt)
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
	if opt.FromSettled && opt.From == nil {
		opt.From, err = m.OperatingPoint(ctx, state, Run{Variant: opt.Variant})
		if err != nil {
			return nil, err
		}
	}
	r := newRun(in, opt)
	if opt.Leaps {
		r.pace = min(r.pace, settlePace)
		r.watchCycles(true)
		r.steps *= leapSteps
	}
	if err := r.begin(ctx); err != nil {
		return nil, err
	}
	if err := r.follow(ctx); err != nil {
		return nil, err
	}
	return r.waveforms()
}

// filled checks the options and puts the defaults in.
func (m *Model) filled(opt TransientOptions) (TransientOptions, error) {
	if !(opt.For >= leastSpan && opt.For <= mostSpan) {
		return opt, fmt.Errorf("a run of %s makes no sense; give a time from 1 ps to 10 Ms", quantity.Format(opt.For, quantity.Second, 3))
	}
	if opt.Tolerance == 0 {
		opt.Tolerance = DefaultTolerance
	}
	opt.Tolerance = min(max(opt.Tolerance, finest), coarsest)
	if opt.MaxPoints == 0 {
		opt.MaxPoints = DefaultPoints
	}
	if opt.Watch == nil {
		opt.Watch = m.nets
	}
	for _, n := range opt.Watch {
		if _, ok := m.netIndex[n]; !ok {
			return opt, fmt.Errorf("there is no net %q to watch", n)
		}
	}
	if opt.From != nil && opt.From.in.model != m {
		return opt, fmt.Errorf("the run cannot begin at an operating point of another circuit")
	}
	return opt, nil
}

// movers makes what builds the parts that move.
func (m *Model) movers() ([]func(*assembly), error) {
	all := make([]func(*assembly), len(m.parts))
	var problems []circuit.Problem
	for i := range m.parts {
		p := &m.parts[i]
		move := moverOf(p.part.Kind)
		if move == nil {
			continue
		}
		info, _ := circuit.Lookup(p.part.Kind)
		r := &resolver{part: p.part, info: info, opt: m.opt}
		all[i] = move(r, p.build)
		problems = append(problems, r.problems...)
	}
	if problems != nil {
		return nil, &ProblemError{problems}
	}
	return all, nil
}

// waveforms is the outcome of a run.
//
// Errors: *StallError where a voltage is beyond all numbers.
func (r *run) waveforms() (*Waveforms, error) {
	if len(r.trace.time) > r.trace.limit {
		r.trace.thin()
	}
	w := &Waveforms{Time: r.trace.time, Nets: map[circuit.NetID][]float64{}, Warnings: r.warnings()}
	if r.leaps != nil {
		w.Gaps = r.leaps.gaps
	}
	for k, n := range r.opt.Watch {
		w.Nets[n] = r.trace.values[k]
		if !isFinite(w.Nets[n]) {
			return nil, &StallError{Time: r.at.t, Nets: []circuit.NetID{n}, Why: "its voltages grow beyond all numbers"}
		}
	}
	return w, nil
}

// warnings are floating nets that were watched.
func (r *run) warnings() []circuit.Problem {
	out := slices.Clone(r.in.shorted)
	for k, n := range r.opt.Watch {
		if r.in.island[r.watched[k]] != 0 {
			out = append(out, circuit.Problem{Net: n, Warning: true, Text: fmt.Sprintf(
				"net %s has no path to %s of any sort; its voltage is that to another net of its own group, held at 0 V", n, r.in.model.reference)})
		}
	}
	return out
}

// isFinite tells numbers from overflows.
func isFinite(x []float64) bool {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
