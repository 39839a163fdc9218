package bayes

import "math"

// LogSumExp returns log Σ exp(xᵢ) without overflow; -Inf for an empty list.
func LogSumExp(x []float64) float64 {
	top := math.Inf(-1)
	for _, v := range x {
		top = math.Max(top, v)
	}
	if math.IsInf(top, 0) {
		return top
	}
	var sum float64
	for _, v := range x {
		sum += math.Exp(v - top)
	}
	return top + math.Log(sum)
}

// Posterior turns log prior + log likelihood into probabilities, and returns
// the log evidence. The arguments may be unnormalised and of any size; where
// every hypothesis is impossible the prior comes back unchanged with evidence
// -Inf, so that a caller can say so instead of dividing by zero.
func Posterior(logPrior, logLikelihood []float64) (p []float64, logEvidence float64) {
	joint := make([]float64, len(logPrior))
	for i := range joint {
		joint[i] = logPrior[i] + logLikelihood[i]
	}
	norm := LogSumExp(joint)
	if math.IsInf(norm, -1) {
		joint, norm = logPrior, LogSumExp(logPrior)
		logEvidence = math.Inf(-1)
	} else {
		logEvidence = norm - LogSumExp(logPrior)
	}
	p = make([]float64, len(joint))
	for i, v := range joint {
		p[i] = math.Exp(v - norm)
	}
	return p, logEvidence
}

// Entropy returns -Σ p·log2 p in bits. The p need not sum to 1: they are
// scaled first; all zero gives 0.
func Entropy(p []float64) float64 {
	var sum, plogp float64
	for _, v := range p {
		if v > 0 {
			sum += v
			plogp += v * math.Log2(v)
		}
	}
	if sum <= 0 {
		return 0
	}
	return math.Max(0, math.Log2(sum)-plogp/sum)
}

// NormalCDF is the probability that a standard normal variate is below z.
func NormalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
