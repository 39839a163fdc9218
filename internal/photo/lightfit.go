package photo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// lightStep is the change of log luminance between two cells, and of each term
// of the surface.
type lightStep struct {
	terms lightTerms
	value float64
}

// fit finds the surface by iteratively re-weighted least squares, starting
// from even light, so that the first scale is that of the steps themselves.
func (l *Light) fit(steps []lightStep) {
	weights := make([]float64, len(steps))
	for range 30 {
		change := l.reweigh(steps, weights)
		if change < 1e-3 {
			return
		}
		l.solve(steps, weights)
	}
}

// solve is one weighted least-squares pass by Cholesky over all terms but the
// constant, which no step depends on. A small ridge keeps terms still that
// the cells can't tell.
func (l *Light) solve(steps []lightStep, weights []float64) {
	const n = len(lightTerms{}) - 1
	normal := mat.NewSymDense(n, nil)
	right := mat.NewVecDense(n, nil)
	for i, s := range steps {
		for r := range n {
			right.SetVec(r, right.AtVec(r)+weights[i]*s.terms[r]*s.value)
			for c := r; c < n; c++ {
				normal.SetSym(r, c, normal.At(r, c)+weights[i]*s.terms[r]*s.terms[c])
			}
		}
	}
	ridge := 1e-4 * mat.Trace(normal) / float64(n)
	for r := range n {
		normal.SetSym(r, r, normal.At(r, r)+ridge)
	}
	var chol mat.Cholesky
	var answer mat.VecDense
	if chol.Factorize(normal) && chol.SolveVecTo(&answer, right) == nil {
		copy(l.coeff[:n], answer.RawVector().Data)
	}
}

// finestStep is the smallest scale of steps taken as real: an 8-bit value of
// mid grey is 1/70 of its luminance.
const finestStep = 0.01

// reweigh gives each step its Tukey weight (cut at 4.685 sigma, the constant
// for 95 % efficiency; sigma from the median absolute residual) and returns
// the largest change of a weight.
func (l *Light) reweigh(steps []lightStep, weights []float64) float64 {
	sizes := make([]float64, len(steps))
	for i, s := range steps {
		sizes[i] = math.Abs(s.value - l.coeff.dot(s.terms))
	}
	sorted := slices.Clone(sizes)
	slices.Sort(sorted)
	cut := 4.685 * math.Max(1.4826*sorted[len(sorted)/2], finestStep)
	change := 0.0
	for i, size := range sizes {
		w := 0.0
		if u := size / cut; u < 1 {
			w = (1 - u*u) * (1 - u*u)
		}
		change = math.Max(change, math.Abs(w-weights[i]))
		weights[i] = w
	}
	return change
}
