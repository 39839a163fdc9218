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
