package sim

import (
	"context"
	"errors"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
)

// Road is the way by which an operating point was found.
type Road string

// The roads, in the order they are tried.
const (
	Warm    Road = "warm start"
	Cold    Road = "cold start"
	Shunts  Road = "conductance stepping"
	Levels  Road = "source stepping"
	Settle  Road = "pseudo-transient"
	Propped Road = "propped"
)

// prop is the conductance from every node to the reference that a propped
// answer leans on, in siemens.
const prop = 1e-12

// walk finds an operating point from the start x (nil: from nothing) with the
// hinges as they are, and leaves it in in.sys.x.
func (in *Instance) walk(ctx context.Context, from []float64, p *attached) (Road, error) {
	s := &in.sys
	if from != nil && len(from) == len(s.x) {
		copy(s.x, from)
		if done, err := settled(in.newton(ctx, trial{probe: p, steps: warmSteps})); done {
			return Warm, err
		}
	}
	roads := []struct {
		name Road
		walk func(context.Context, *attached) error
	}{{Cold, in.fromNothing}, {Shunts, in.stepShunts}, {Levels, in.stepLevels}, {Settle, in.settle}, {Propped, in.proppedUp}}
	for _, r := range roads {
		clear(s.x)
		if done, err := settled(r.walk(ctx, p)); done {
			return r.name, err
		}
	}
	return "", in.unsettled()
}

// settled tells results that end the search from those that call for the
// next road.
func settled(err error) (bool, error) {
	var singular *sparse.SingularError
	if errors.Is(err, errUnsettled) || errors.As(err, &singular) {
		return false, nil
	}
	return true, err
}

func (in *Instance) fromNothing(ctx context.Context, p *attached) error {
	return in.newton(ctx, trial{probe: p, steps: coldSteps, cold: true})
}

// stepShunts begins with every node strongly tied to the reference and
// loosens the ties by decades, more finely where a step fails.
func (in *Instance) stepShunts(ctx context.Context, p *attached) error {
	if err := in.loosen(ctx, p, 1e-13); err != nil {
		return err
	}
	return in.newton(ctx, trial{probe: p, steps: coldSteps})
}

// proppedUp is the last resort, for nets so loosely joined that rounding
// swallows what joins them: a teraohm stays from every node to the reference.
func (in *Instance) proppedUp(ctx context.Context, p *attached) error {
	if err := in.loosen(ctx, p, prop); err != nil {
		return err
	}
	return in.newton(ctx, trial{probe: p, shunt: prop, steps: coldSteps})
}

// loosen steps a conductance from every node to the reference down to last.
func (in *Instance) loosen(ctx context.Context, p *attached, last float64) error {
	const first = 1.0
	ratio := 0.1
	shunt := first
	cold := true
	kept := make([]float64, len(in.sys.x))
	for tries := 0; shunt > last; tries++ {
		err := in.newton(ctx, trial{probe: p, shunt: shunt, steps: stageSteps, cold: cold, weaken: true})
		done, err := settled(err)
		if done && err != nil {
			return err
		}
		if !done {
			if cold || tries > 200 || ratio > 0.9 {
				return errUnsettled
			}
			copy(in.sys.x, kept)
			shunt /= ratio
			ratio = math.Sqrt(ratio)
			shunt *= ratio
			continue
		}
		copy(kept, in.sys.x)
		cold = false
		ratio = math.Max(ratio*ratio, 0.1)
		shunt *= ratio
	}
	return nil
}

// stepLevels raises all sources together from nothing.
func (in *Instance) stepLevels(ctx context.Context, p *attached) error {
	defer func() { in.sys.level = 1 }()
	level, step := 0.0, 0.1
	kept := make([]float64, len(in.sys.x))
	for tries := 0; level < 1; tries++ {
		next := math.Min(level+step, 1)
		in.sys.level = next
		done, err := settled(in.newton(ctx, trial{probe: p, steps: stageSteps, weaken: next < 1}))
		if done && err != nil {
			return err
		}
		if !done {
			if tries > 300 || step < 1e-6 {
				return errUnsettled
			}
			copy(in.sys.x, kept)
			step /= 4
			continue
		}
		copy(kept, in.sys.x)
		level = next
		step *= 2
	}
	return nil
}

// settle lets every node charge a capacitor to the reference, by implicit
// steps that grow as the circuit comes to rest.
//
// Source: C. T. Kelley, D. E. Keyes, SIAM J. Numer. Anal. 35 (1998) 508–523
// (from memory).
func (in *Instance) settle(ctx context.Context, p *attached) error {
	shunt := 1.0
	hold := make([]float64, len(in.sys.x))
	for range 400 {
		done, err := settled(in.newton(ctx, trial{probe: p, shunt: shunt, hold: hold, steps: stageSteps, weaken: true}))
		if done && err != nil {
			return err
		}
		if !done {
			copy(in.sys.x, hold)
			shunt *= 8
			if shunt > 1e12 {
				return errUnsettled
			}
			continue
		}
		copy(hold, in.sys.x)
		shunt /= 2
		if shunt < 1e-14 {
			break
		}
	}
	return in.newton(ctx, trial{probe: p, steps: coldSteps})
}

// unsettled names the nets that change most in one more iteration.
func (in *Instance) unsettled() error {
	before := slices.Clone(in.sys.x)
	in.assemble(trial{})
	if in.factor() != nil {
		return &ConvergenceError{}
	}
	in.solve(nil)
	in.advance()
	type moved struct {
		net circuit.NetID
		by  float64
	}
	var all []moved
	for i, n := range in.model.nets {
		d := math.Abs(in.sys.x[in.netNode[i]] - before[in.netNode[i]])
		if !(d <= 1e-6) {
			all = append(all, moved{n, d})
		}
	}
	slices.SortStableFunc(all, func(a, b moved) int {
		switch {
		case a.by > b.by:
			return -1
		case a.by < b.by:
			return 1
		}
		return 0
	})
	var e ConvergenceError
	for _, m := range all[:min(len(all), 3)] {
		e.Nets = append(e.Nets, m.net)
	}
	return &e
}
