package sim

import (
	"context"
	"errors"

	"foilside/internal/circuit"
)

// Survey lists what the simulator finds amiss in a circuit: parts without a
// model, values that are missing or make no sense, and in the given states
// shorts across sources, nets that nothing holds, and contradictions. It is
// for telling a person, so a circuit that cannot be solved is no error.
//
// Errors: the context's.
func Survey(ctx context.Context, c *circuit.Circuit, states []circuit.State, opt Options) ([]circuit.Problem, error) {
	m, err := Compile(c, opt)
	if err != nil {
		return problemsOf(err), nil
	}
	if len(states) == 0 {
		states = []circuit.State{{}}
	}
	var out []circuit.Problem
	seen := map[circuit.Problem]bool{}
	for _, s := range states {
		found, err := m.survey(ctx, s)
		if err != nil {
			return nil, err
		}
		for _, p := range found {
			if !seen[p] {
				seen[p] = true
				out = append(out, p)
			}
		}
	}
	return out, nil
}

// survey is what is amiss in one state.
func (m *Model) survey(ctx context.Context, s circuit.State) ([]circuit.Problem, error) {
	at, err := m.OperatingPoint(ctx, s, Run{})
	if err == nil {
		return at.Warnings(), nil
	}
	if !IsRefusal(err) {
		return nil, err
	}
	return problemsOf(err), nil
}

// problemsOf turns a refusal into problems.
func problemsOf(err error) []circuit.Problem {
	var several *ProblemError
	if errors.As(err, &several) {
		return several.Problems
	}
	p := circuit.Problem{Text: err.Error(), Warning: true}
	var unmodelled *UnmodelledError
	var swing *SwingError
	var unsettled *ConvergenceError
	switch {
	case errors.As(err, &unmodelled):
		p.Part = unmodelled.Parts[0].Part
	case errors.As(err, &swing):
		p.Part = swing.Parts[0]
	case errors.As(err, &unsettled) && len(unsettled.Nets) > 0:
		p.Net = unsettled.Nets[0]
	}
	return []circuit.Problem{p}
}
