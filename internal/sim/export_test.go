package sim

import "foilside/internal/num/sparse"

// Jacobian is the matrix of the last iteration at a solution of the instance,
// for tests and timings of the solver of linear equations.
func (in *Instance) Jacobian(at *Solution) (sparse.Pattern, []float64) {
	copy(in.sys.x, at.x)
	for _, e := range in.bent {
		e.begin(in.sys.x, false)
	}
	in.assemble(trial{})
	p := in.symbolic.Pattern()
	return p, in.sys.a[:p.NNZ()]
}

// Links is how many conductances stood beside the matrix, for tests.
func (s *Solution) Links() int { return len(s.in.links) }

// Omega is the Wright omega function.
func Omega(u float64) float64 { return omega(u) }

// Method is a one-step method as its tests take it: A's last row is the end of
// the step, Control the row that the error is taken from, 0 for none.
type Method struct {
	Name           string
	Order, Control int
	A              [][]float64
	At             []float64
}

// Methods are the two that runs are made of.
func Methods() []Method {
	return []Method{methodOf("second order", 2, 0, secondOrder()), methodOf("fourth order", 4, 4, fourthOrder())}
}

func methodOf(name string, order, control int, m method) Method {
	out := Method{Name: name, Order: order, Control: control, At: m.at[:m.stages]}
	for k := range m.stages {
		row := make([]float64, m.stages)
		copy(row, m.shares[k][:k])
		if k > 0 {
			row[k] = m.implicit
		}
		out.A = append(out.A, row)
	}
	return out
}

// Thinned runs points of a voltage through a trace that keeps up to limit.
func Thinned(points, limit int, at func(k int) float64) (time, volts []float64) {
	t := newTrace(1, limit, float64(points))
	for k := range points {
		t.add(float64(k), func(int) float64 { return at(k) })
	}
	t.thin()
	return t.time, t.values[0]
}
