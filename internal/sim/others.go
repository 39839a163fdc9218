package sim

import (
	"context"
	"math"
)

// mostOthers bounds the search for further operating points.
const mostOthers = 8

// Others looks for further operating points that the circuit would stay at: a
// bistable stands either way, a latched thyristor stays latched. at is the
// one already known. It is a search from every active part, pushed over and
// let go, not a proof that there are no more.
//
// Errors: the context's.
func (in *Instance) Others(ctx context.Context, at *Solution) ([]*Solution, error) {
	found := []*Solution{at}
	for k := 0; k < len(found) && len(found) <= mostOthers; k++ {
		for _, push := range in.pushes(found[k]) {
			s, err := in.pushed(ctx, found[k], push)
			if err != nil {
				return nil, err
			}
			if s != nil && !s.among(found) {
				found = append(found, s)
			}
		}
	}
	return found[1:], nil
}

// Further operating points and their stability.
//
// With a capacitor from every node to the reference a circuit runs away from
// an operating point whose Jacobian has an odd number of negative eigenvalues:
// a negative determinant. The middle point of a bistable is one. Where nothing
// amplifies the determinant is positive: that of the conductances G is, and
// sources with a current of their own make it det G·det(R + BᵀG⁻¹B).

// runsAway tells whether the circuit as last factored would not stay there.
func (in *Instance) runsAway() bool {
	return len(in.bent) > 0 && in.lu != nil && in.negative()
}

// stay returns the solution, or where the circuit runs away from it one of
// those that it stays at, the first found.
func (in *Instance) stay(ctx context.Context, at *Solution) (*Solution, error) {
	if !at.runsAway {
		return at, nil
	}
	others, err := in.Others(ctx, at)
	for _, o := range others {
		if !o.runsAway {
			return o, err
		}
	}
	return at, err
}

// push is one way to tip a part over: a voltage held across two nodes for a
// while, or a hinge turned.
type push struct {
	a, b  int32
	held  holder
	hinge int // index of the hinge to turn, −1 for none
	mode  int8
}

// holder is a voltage behind an ohm.
type holder float64

// At is the current that the holder takes.
func (h holder) At(v float64) (i, g float64) { return v - float64(h), 1 }

// pushes lists what may tip the circuit out of an operating point.
func (in *Instance) pushes(at *Solution) []push {
	var out []push
	for _, e := range in.bent {
		switch e := e.(type) {
		case *bipolar:
			out = append(out, e.push(at.x))
		case *multi:
			out = append(out, e.pushes(at.x)...)
		}
	}
	for k := range in.hinges {
		for _, mode := range []int8{-1, 0, 1} {
			if mode != at.modes[k] {
				out = append(out, push{hinge: k, mode: mode})
			}
		}
	}
	return out
}

// push turns a conducting transistor off and one that does not on.
func (e *bipolar) push(x []float64) push {
	p := push{a: e.b.node, b: e.e.node, hinge: -1}
	conducts := e.sign*(x[e.b.node]-x[e.e.node]) > e.critical-10*e.vt
	if !conducts {
		p.held = holder(e.sign * (e.critical + 2*e.vt))
	}
	return p
}

// pushes drives the output of an operational amplifier to either rail.
func (e *multi) pushes(x []float64) []push {
	if _, ok := e.does.(opamp); !ok {
		return nil
	}
	out, low, high := e.ends[outEnd].node, e.ends[railMinus].node, e.ends[railPlus].node
	return []push{{a: out, b: low, hinge: -1}, {a: out, b: low, held: holder(x[high] - x[low]), hinge: -1}}
}

// pushed tips the circuit over, lets it go and returns where it comes to
// rest; nil where it finds no rest near by.
func (in *Instance) pushed(ctx context.Context, at *Solution, p push) (*Solution, error) {
	copy(in.sys.x, at.x)
	in.restoreModes(at.modes)
	if p.hinge >= 0 {
		in.hinges[p.hinge].does.restore(p.mode)
		// A turned hinge first settles with all others as they were.
		if done, err := settled(in.newton(ctx, trial{steps: coldSteps})); !done || err != nil {
			return nil, err
		}
	} else if p.a != p.b {
		t := trial{probe: &attached{probe: p.held, a: p.a, b: p.b}, steps: coldSteps}
		if done, err := settled(in.newton(ctx, t)); !done || err != nil {
			return nil, err
		}
	}
	if done, err := settled(in.newton(ctx, trial{steps: coldSteps})); !done || err != nil {
		return nil, err
	}
	for range mostPasses {
		if in.turnHinges(false) == nil {
			return in.solution(Warm), nil
		}
		if done, err := settled(in.newton(ctx, trial{steps: coldSteps})); !done || err != nil {
			return nil, err
		}
	}
	return nil, nil
}

// among tells whether a solution is one of those, to a millivolt or a
// thousandth.
func (s *Solution) among(others []*Solution) bool {
	for _, o := range others {
		same := true
		for k, v := range s.x {
			if math.Abs(v-o.x[k]) > 1e-3*(1+math.Abs(v)) {
				same = false
				break
			}
		}
		if same {
			return true
		}
	}
	return false
}
