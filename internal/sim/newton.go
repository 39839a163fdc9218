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
	loose := 1.0
	if t.weaken {
		loose = 1e5
	}
	for step := range t.steps {
		if err := ctx.Err(); err != nil {
			return err
		}
		in.assemble(t)
		if err := in.factor(); err != nil {
			return err
		}
		in.solve(t.probe)
		change := in.advance()
		if math.IsNaN(change) || math.IsInf(change, 0) {
			return errUnsettled
		}
		straight := len(in.bent) == 0 && t.probe == nil
		if straight || (change <= loose && !in.sys.rough && (step > 0 || !t.cold)) {
			return nil
		}
	}
	return errUnsettled
}

// assemble makes the equations of one iteration.
func (in *Instance) assemble(t trial) {
	s := &in.sys
	copy(s.a, in.base)
	copy(s.rhs, in.baseRHS)
	s.rough = false
	if t.shunt > 0 {
		for k, at := range in.diagonal {
			s.a[at] += t.shunt
			if t.hold != nil {
				s.rhs[k+1] += t.shunt * t.hold[k+1]
			}
		}
	}
	for _, e := range in.bent {
		e.load(s)
	}
}

// factor renews the factors, with new pivots where the kept ones fail.
func (in *Instance) factor() error {
	a := in.sys.a[:len(in.sys.a)-1]
	if in.lu != nil {
		if err := in.lu.Refactor(a); !errors.Is(err, sparse.ErrPivot) {
			return err
		}
	}
	lu, err := in.symbolic.Factor(a)
	if err != nil {
		return err
	}
	in.lu = lu
	return nil
}

// solve overwrites the right side with the next iterate. A probe is added as
// an update of rank one to the factors.
func (in *Instance) solve(p *attached) {
	x := in.sys.rhs
	in.lu.Solve(x[1:], in.scratch)
	x[0] = 0
	if p == nil || p.a == p.b {
		return
	}
	z := in.probeCol
	clear(z)
	z[p.a]++
	z[p.b]--
	in.lu.Solve(z[1:], in.scratch)
	z[0] = 0
	i0, g := p.probe.At(p.v)
	zz := z[p.a] - z[p.b]
	current := (i0 + g*(x[p.a]-x[p.b]-p.v)) / (1 + g*zz)
	for k := range x {
		x[k] -= z[k] * current
	}
	p.v = x[p.a] - x[p.b]
}

// advance takes the next iterate and returns the largest change as a multiple
// of what counts as settled.
func (in *Instance) advance() float64 {
	worst := 0.0
	x, next := in.sys.x, in.sys.rhs
	for k := 1; k < len(x); k++ {
		d := math.Abs(next[k]-x[k]) / (relative*math.Max(math.Abs(next[k]), math.Abs(x[k])) + absolute)
		// Not max: a NaN must come through.
		if !(d <= worst) {
			worst = d
		}
		x[k] = next[k]
	}
	return worst
}
