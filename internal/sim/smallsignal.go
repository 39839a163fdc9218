package sim

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
)

// SmallSignal is a circuit at rest with every part replaced by its tangent, at
// any frequency. One goroutine at a time may use it.
//
// A storing part's row says that its state is rest + dh·rate. For a small
// sinusoid rate = jω·state, so that the same rows hold with dh = 1/(jω) and
// nothing at rest: with A(dh) = A0 + dh·A1 the equations are
//
//	(A0 − j/ω·A1)·x = b
//
// solved as real ones of twice the size.
type SmallSignal struct {
	in      *Instance
	pattern sparse.Pattern // of A0
	zero    []float64      // A0
	slope   []float64      // A1
}

// SmallSignal finds the rest of a circuit in a state and its tangents there.
// Parts with modes stay in theirs.
//
// Errors: those of OperatingPoint.
func (m *Model) SmallSignal(ctx context.Context, state circuit.State, v Variant) (*SmallSignal, error) {
	at, err := m.OperatingPoint(ctx, state, Run{Variant: v})
	if err != nil {
		return nil, err
	}
	movers, err := m.movers()
	if err != nil {
		return nil, err
	}
	in, err := m.instance(state, v, movers)
	if err != nil {
		return nil, err
	}
	s := newStepper(in)
	p := newPoint(len(in.sys.x), len(s.rest))
	if err := s.startAt(ctx, at, &p); err != nil {
		return nil, err
	}
	copy(s.rest, p.state)
	out := &SmallSignal{in: in, pattern: in.symbolic.Pattern()}
	out.zero = s.matrix(p.x, 0)
	out.slope = s.matrix(p.x, 1)
	for k, z := range out.zero {
		out.slope[k] -= z
	}
	return out, nil
}

// matrix is the equations' slopes at x for a share dh.
func (s *stepper) matrix(x []float64, dh float64) []float64 {
	in := s.in
	s.each(func(e storing, from, to int) { e.arm(dh, s.rest[from:to]) })
	in.loadStraight()
	s.dh = dh
	copy(in.sys.x, x)
	for _, e := range in.bent {
		e.begin(x, false)
	}
	in.assemble(trial{})
	return append([]float64(nil), in.sys.a[:len(in.sys.a)-1]...)
}

// solve is the unknowns for an excitation b at a frequency.
//
// Errors: a circuit without an answer there.
func (s *SmallSignal) solve(hertz float64, b []float64) ([]complex128, error) {
	if !(hertz > 0) || math.IsInf(hertz, 0) {
		return nil, fmt.Errorf("there is no small signal at %g Hz; give a frequency above nothing", hertz)
	}
	n := s.pattern.N
	builder := sparse.NewBuilder(2 * n)
	var numbers []float64
	add := func(i, j int, v float64) {
		builder.Add(i, j)
		numbers = append(numbers, v)
	}
	w := 2 * math.Pi * hertz
	for j := range n {
		for t := s.pattern.ColPtr[j]; t < s.pattern.ColPtr[j+1]; t++ {
			i := int(s.pattern.Row[t])
			add(i, j, s.zero[t])
			add(n+i, n+j, s.zero[t])
			add(i, n+j, s.slope[t]/w)
			add(n+i, j, -s.slope[t]/w)
		}
	}
	pattern, places := builder.Build()
	a := make([]float64, pattern.NNZ())
	for k, v := range numbers {
		a[places[k]] += v
	}
	lu, err := sparse.Analyze(pattern).Factor(a)
	if err != nil {
		return nil, fmt.Errorf("nothing sets the small signal at %g Hz: %w", hertz, err)
	}
	x := make([]float64, 2*n)
	copy(x, b[1:])
	lu.Solve(x, make([]float64, 2*n))
	out := make([]complex128, n+1)
	for k := range n {
		out[k+1] = complex(x[k], x[n+k])
	}
	return out, nil
}

// Gain is the voltage between two places for one volt of a source: its size
// is the gain, its phase that of the output over the source.
//
// Errors: an unknown place, a part that is no source or is off.
func (s *SmallSignal) Gain(source circuit.PartRef, plus, minus Place, hertz float64) (complex128, error) {
	b := make([]float64, s.pattern.N+1)
	if err := s.excite(source, b); err != nil {
		return 0, err
	}
	return s.between(b, plus, minus, hertz)
}

// excite is what one volt of a source puts into the equations.
func (s *SmallSignal) excite(ref circuit.PartRef, b []float64) error {
	at, ok := s.in.model.partIndex[ref]
	if !ok {
		return fmt.Errorf("there is no part %q", ref)
	}
	for _, e := range s.in.elements {
		src, is := e.element.(*source)
		if !is || e.part != at {
			continue
		}
		if src.ideal() {
			b[src.branch]++
			return nil
		}
		b[src.plus.node] += src.g
		b[src.minus.node] -= src.g
		return nil
	}
	return fmt.Errorf("%s gives no voltage; a small signal comes from a source that is on", ref)
}

// Impedance is what two places show to a small current at a frequency, in
// ohms, every source at rest.
//
// Errors: an unknown place.
func (s *SmallSignal) Impedance(plus, minus Place, hertz float64) (complex128, error) {
	x, err := s.in.placeNode(plus)
	if err != nil {
		return 0, err
	}
	y, err := s.in.placeNode(minus)
	if err != nil {
		return 0, err
	}
	b := make([]float64, s.pattern.N+1)
	b[x]++
	b[y]--
	return s.between(b, plus, minus, hertz)
}

func (s *SmallSignal) between(b []float64, plus, minus Place, hertz float64) (complex128, error) {
	x, err := s.in.placeNode(plus)
	if err != nil {
		return 0, err
	}
	y, err := s.in.placeNode(minus)
	if err != nil {
		return 0, err
	}
	b[0] = 0
	v, err := s.solve(hertz, b)
	if err != nil {
		return 0, err
	}
	return v[x] - v[y], nil
}
