package sim

import (
	"context"
	"errors"
	"math"

	"foilside/internal/num/sparse"
)

// Limits of the iteration.
const (
	// roughly is the largest shortening of a junction's step, in volts, at
	// which an iteration may still count as the last.
	roughly = 1e-9
	// relative and absolute are the change of an unknown (volt or ampere)
	// between iterations below which it has settled. Newton's error then is
	// of the order of its square.
	relative = 1e-9
	absolute = 1e-10
	// noise, patience and balance: steps that stay below noise volts for
	// patience iterations while the currents of every node add up to nothing
	// within balance of the largest are rounding errors (a net that hangs on
	// leakages beside amperes). Noise is far below any junction's thermal
	// voltage, where Newton's own error would have gone in two steps.
	noise    = 2e-4
	patience = 5
	balance  = 1e-10
	// warmSteps, coldSteps and stageSteps bound the iterations of one try.
	warmSteps  = 30
	coldSteps  = 60
	stageSteps = 40
)

// errUnsettled: the iterations ran out or ran away.
var errUnsettled = errors.New("did not settle")

// Probe is a two-terminal element set between two places for one solve: a
// meter. It gives the current into the first place's side at v volts across
// it, and the slope.
type Probe interface {
	At(v float64) (i, g float64)
}

// attached is a probe between two nodes.
type attached struct {
	probe Probe
	a, b  int32
	v     float64 // across it in the last iteration
}

// trial is how one run of Newton's method is changed to help it.
type trial struct {
	probe  *attached
	shunt  float64   // conductance from every node to hold
	hold   []float64 // voltages that the shunt pulls to; nil for 0 V
	steps  int
	cold   bool
	weaken bool // accept a step that is only nearly settled: a stage on the way
	// loose is how many times the usual change counts as settled; 0 for once.
	loose float64
}

// newton iterates from in.sys.x to a solution there.
//
// Errors: errUnsettled, a *sparse.SingularError, or the context's.
func (in *Instance) newton(ctx context.Context, t trial) error {
	for _, e := range in.bent {
		e.begin(in.sys.x, t.cold)
	}
	if t.probe != nil {
		t.probe.v = in.sys.x[t.probe.a] - in.sys.x[t.probe.b]
	}
	loose := max(1, t.loose)
	if t.weaken {
		loose = 1e5
	}
	quiet := 0
	for step := range t.steps {
		if err := ctx.Err(); err != nil {
			return err
		}
		in.assemble(t)
		if err := in.renew(t); err != nil {
			return err
		}
		even := quiet >= patience-1 && in.sys.even()
		in.solve(t.probe)
		change, moved := in.advance()
		if math.IsNaN(change) || math.IsInf(change, 0) {
			return errUnsettled
		}
		if quiet++; moved > noise || in.sys.rough {
			quiet = 0
		}
		straight := len(in.bent) == 0 && t.probe == nil
		if straight || (even && quiet >= patience) || (change <= loose && !in.sys.rough && (step > 0 || !t.cold)) {
			return nil
		}
	}
	return errUnsettled
}

// assemble makes the equations of one iteration.
func (in *Instance) assemble(t trial) {
	s := &in.sys
	copy(s.a, in.base)
	clear(s.f)
	s.rough, s.most = false, 0
	for _, e := range in.straight {
		e.flow(s)
	}
	for _, node := range in.ties {
		s.f[node] += tieConductance * s.x[node]
	}
	for _, e := range in.bent {
		e.load(s)
	}
	if t.shunt > 0 {
		in.addShunts(t)
	}
}

// even tells whether the currents balance to what rounding allows.
func (s *system) even() bool {
	for _, f := range s.f[1:] {
		if !(math.Abs(f) <= balance*s.most) {
			return false
		}
	}
	return true
}

// addShunts pulls every node to where it is held.
func (in *Instance) addShunts(t trial) {
	s := &in.sys
	for k, at := range in.diagonal {
		s.a[at] += t.shunt
		held := 0.0
		if t.hold != nil {
			held = t.hold[k+1]
		}
		s.f[k+1] += t.shunt * (s.x[k+1] - held)
	}
}

// renew renews the factors, unless they are of the same matrix: straight
// elements alone, and not loaded anew since.
func (in *Instance) renew(t trial) error {
	alone := len(in.bent) == 0 && t.shunt == 0
	if alone && in.current {
		return nil
	}
	err := in.factor()
	in.current = alone && err == nil
	return err
}

// factor renews the factors, with new pivots where the kept ones fail.
func (in *Instance) factor() error {
	a := in.sys.a[:len(in.sys.a)-1]
	if in.lu != nil {
		if err := in.lu.Refactor(a); !errors.Is(err, sparse.ErrPivot) {
			in.prepareLinks()
			return err
		}
	}
	lu, err := in.symbolic.Factor(a)
	if err != nil {
		return err
	}
	in.lu = lu
	in.prepareLinks()
	return nil
}

// solve overwrites s.f with the step, its sign turned. A probe is added as an
// update of rank one to the factors.
func (in *Instance) solve(p *attached) {
	f := in.sys.f
	if p == nil || p.a == p.b {
		in.backsolve(f, in.links)
		return
	}
	// The probe's straight line of the last iteration, taken at x.
	i, g := p.probe.At(p.v)
	v := in.sys.x[p.a] - in.sys.x[p.b]
	in.sys.pass(p.a, p.b, i+g*(v-p.v))
	in.backsolve(f, in.links)
	z := in.unit(p.a, p.b)
	k := g * (f[p.a] - f[p.b]) / (1 + g*(z[p.a]-z[p.b]))
	for j := range f {
		f[j] -= z[j] * k
	}
	p.v = v - (f[p.a] - f[p.b])
}

// advance takes the step and returns its largest part, as a multiple of what
// counts as settled and as it is.
func (in *Instance) advance() (change, moved float64) {
	x, step := in.sys.x, in.sys.f
	for k := 1; k < len(x); k++ {
		next := x[k] - step[k]
		if k <= int(in.nodes) {
			next = max(-in.bound, min(next, in.bound))
		}
		size := math.Abs(step[k])
		d := size / (relative*max(math.Abs(next), math.Abs(x[k])) + absolute)
		// Not max: a NaN must come through.
		if !(d <= change) {
			change = d
		}
		moved = max(moved, size)
		x[k] = next
	}
	return change, moved
}
