package sim

import (
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
	"foilside/internal/quantity"
)

// Solution is an operating point.
type Solution struct {
	in      *Instance
	x       []float64
	current []float64 // by slot of lead, into the lead
	road    Road
	modes   []int8 // of the instance's hinges
	pivots  *sparse.Pivots
	// runsAway: the circuit would not stay there, as a ball on a summit.
	runsAway bool
}

// Run is what to solve for.
type Run struct {
	Variant Variant
	Draw    Draw
	From    *Solution // start there; its circuit may differ in what it likes
}

// OperatingPoint solves the circuit in a state: the short way for one answer.
//
// Errors: those of Instance, *ConvergenceError, the context's.
func (m *Model) OperatingPoint(ctx context.Context, state circuit.State, r Run) (*Solution, error) {
	in, err := m.Instance(state, r.Variant)
	if err != nil {
		return nil, err
	}
	return in.Solve(ctx, r.Draw, r.From)
}

// Solve finds the operating point of a draw (nil: nominal), starting from
// another solution where one is given.
func (in *Instance) Solve(ctx context.Context, d Draw, from *Solution) (*Solution, error) {
	if d != nil && len(d) != len(in.model.spreads) {
		return nil, fmt.Errorf("the draw has %d scores, the circuit %d spreads", len(d), len(in.model.spreads))
	}
	if d != nil || in.drawn {
		in.tune(d)
	}
	// Another draw of the same unit has its relays and tubes where this one
	// has them; any other start is of another history.
	if from != nil && from.in == in {
		in.restoreModes(from.modes)
	} else {
		in.restHinges()
	}
	in.usePivots(from.pivotsOf())
	road, err := in.search(ctx, in.start(from), nil)
	if err != nil {
		return nil, err
	}
	s, err := in.stay(ctx, in.solution(road))
	if err != nil {
		return nil, err
	}
	for _, i := range s.current {
		if math.IsNaN(i) || math.IsInf(i, 0) {
			return nil, &ConvergenceError{}
		}
	}
	return s, nil
}

// start turns another solution into a start for this instance: the nets have
// the same numbers in all instances of a model, inner nodes may not.
func (in *Instance) start(from *Solution) []float64 {
	if from == nil || from.in.model != in.model {
		return nil
	}
	if len(from.x) == len(in.sys.x) {
		return from.x
	}
	x := make([]float64, len(in.sys.x))
	shared := min(in.nodes, from.in.nodes)
	copy(x[:shared+1], from.x)
	return x
}

// pivotsOf are the solution's pivots, nil for none.
func (s *Solution) pivotsOf() *sparse.Pivots {
	if s == nil {
		return nil
	}
	return s.pivots
}

// solution copies what the last search found.
func (in *Instance) solution(road Road) *Solution {
	s := &Solution{in: in, road: road, pivots: in.lu.Pivots, modes: in.modes(), runsAway: in.runsAway(),
		x: slices.Clone(in.sys.x), current: make([]float64, in.leads)}
	for _, e := range in.elements {
		e.currents(s.x, s.current)
	}
	return s
}

// Stays tells whether the circuit would stay at the point, or run away from it
// like a ball from a summit.
func (s *Solution) Stays() bool { return !s.runsAway }

// Road says how the operating point was found.
func (s *Solution) Road() Road { return s.road }

// Voltage is the voltage of a net to the model's reference. ok is false for a
// net that is not in the circuit or floats: see Floating.
func (s *Solution) Voltage(n circuit.NetID) (v float64, ok bool) {
	i, there := s.in.model.netIndex[n]
	if !there {
		return 0, false
	}
	node := s.in.netNode[i]
	return s.x[node], s.in.island[node] == 0
}

// Between is the voltage of one net over another. ok is false where nothing
// sets it, because no path for direct current joins them.
func (s *Solution) Between(plus, minus circuit.NetID) (v float64, ok bool) {
	return s.Across(OnNet(plus), OnNet(minus))
}

// Current is the current into a lead of a part.
func (s *Solution) Current(p circuit.PartRef, lead circuit.LeadName) (i float64, ok bool) {
	at, there := s.in.model.partIndex[p]
	if !there {
		return 0, false
	}
	l := s.in.model.parts[at].lead(lead)
	if l < 0 {
		return 0, false
	}
	return s.current[s.in.leadBase[at]+int32(l)], true
}

// Power is what a part takes in; a source that delivers has it negative.
func (s *Solution) Power(p circuit.PartRef) float64 {
	at, there := s.in.model.partIndex[p]
	if !there {
		return 0
	}
	total := 0.0
	for l := range s.in.model.parts[at].leadNet {
		slot := s.in.leadBase[at] + int32(l)
		total += s.x[s.in.leadNode[slot]] * s.current[slot]
	}
	return total
}

// Floating lists the groups of nets whose voltage to the reference nothing
// sets.
func (s *Solution) Floating() []Floating { return s.in.floating }

// Warnings lists what is doubtful about the answer, in the circuit's words.
func (s *Solution) Warnings() []circuit.Problem {
	out := append([]circuit.Problem(nil), s.in.shorted...)
	for _, f := range s.in.floating {
		out = append(out, circuit.Problem{Net: f.Nets[0], Text: f.Text, Warning: true})
	}
	for _, e := range s.in.elements {
		out = append(out, s.overload(e)...)
	}
	if s.road == Propped {
		out = append(out, circuit.Problem{Warning: true, Text: fmt.Sprintf(
			"some nets are joined to the rest by next to nothing; their voltages lean on 1 TΩ to %s", s.in.model.reference)})
	}
	return out
}

// overload warns of a source that gives more than half its short-circuit
// current.
func (s *Solution) overload(e placed) []circuit.Problem {
	src, ok := e.element.(*source)
	if !ok || src.ideal() || src.volts == 0 || e.part == noPart {
		return nil
	}
	i := -s.current[src.plus.lead]
	if i*src.ohms < src.volts/2 {
		return nil
	}
	ref := s.in.model.parts[e.part].part.Ref
	return []circuit.Problem{{Part: ref, Warning: true, Text: fmt.Sprintf(
		"%s delivers %s, as good as a short across it; only its inner resistance of %s limits the current",
		ref, quantity.Format(i, quantity.Ampere, 3), quantity.Format(src.ohms, quantity.Ohm, 3))}}
}

// At is the voltage of a place to the reference, as Voltage.
func (s *Solution) At(p Place) (v float64, ok bool) {
	n, err := s.in.placeNode(p)
	if err != nil {
		return 0, false
	}
	return s.x[n], s.in.island[n] == 0
}

// Across is the voltage of one place over another, as Between.
func (s *Solution) Across(plus, minus Place) (v float64, ok bool) {
	a, errA := s.in.placeNode(plus)
	b, errB := s.in.placeNode(minus)
	if errA != nil || errB != nil {
		return 0, false
	}
	return s.x[a] - s.x[b], s.in.island[a] == s.in.island[b]
}
