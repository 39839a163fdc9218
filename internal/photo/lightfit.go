package photo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// fit finds the surface by iteratively re-weighted least squares. The first
// pass uses plain weights; a small ridge on the curved terms keeps them still
// where the board covers too little of the photo to tell.
func (l *Light) fit(samples []lightSample) {
	weights := make([]float64, len(samples))
	for i := range weights {
		weights[i] = 1
	}
	for range 20 {
		l.solve(samples, weights)
		if change := l.reweigh(samples, weights); change < 1e-3 {
			return
		}
	}
}

// solve is one weighted least-squares step by Cholesky; where the normal
// matrix is singular the surface stays as it was.
func (l *Light) solve(samples []lightSample, weights []float64) {
	normal := mat.NewSymDense(lightTerms, nil)
	right := mat.NewVecDense(lightTerms, nil)
	for i, s := range samples {
		for r := range lightTerms {
			right.SetVec(r, right.AtVec(r)+weights[i]*s.terms[r]*s.value)
			for c := r; c < lightTerms; c++ {
				normal.SetSym(r, c, normal.At(r, c)+weights[i]*s.terms[r]*s.terms[c])
			}
		}
	}
	ridge := 1e-3 * float64(len(samples))
	for r := 1; r < lightTerms; r++ {
		normal.SetSym(r, r, normal.At(r, r)+ridge)
	}
	var chol mat.Cholesky
	var answer mat.VecDense
	if chol.Factorize(normal) && chol.SolveVecTo(&answer, right) == nil {
		for i := range l.coeff {
			l.coeff[i] = answer.AtVec(i)
		}
	}
}

// reweigh gives each sample its Tukey weight (cut at 4.685 sigma, the constant
// for 95 % efficiency; sigma from the median absolute residual) and returns
// the largest change of a weight.
func (l *Light) reweigh(samples []lightSample, weights []float64) float64 {
	residuals := make([]float64, len(samples))
	sizes := make([]float64, len(samples))
	for i, s := range samples {
		residuals[i] = s.value - dot(l.coeff, s.terms)
		sizes[i] = math.Abs(residuals[i])
	}
	slices.Sort(sizes)
	cut := 4.685 * math.Max(1.4826*sizes[len(sizes)/2], 1e-6)
	change := 0.0
	for i, r := range residuals {
		w := 0.0
		if u := r / cut; math.Abs(u) < 1 {
			w = (1 - u*u) * (1 - u*u)
		}
		change = math.Max(change, math.Abs(w-weights[i]))
		weights[i] = w
	}
	return change
}
