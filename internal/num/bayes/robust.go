package bayes

import "math"

// Robust is the likelihood of several values of which at most one may be an
// outlier: misread, or taken at the wrong place.
type Robust struct {
	Log     float64   // log likelihood
	Outlier []float64 // probability that value i is the outlier, given the hypothesis
}

// WithOutlier mixes a fit with the cases in which one value tells nothing.
//
// Shapes: logElsewhere[i] is the log density of value i when it is an
// outlier; rate in (0, 1) is the chance of that per value. Two outliers at
// once are left out: their weight is rate², and an observer repeats a reading
// that doesn't fit.
func WithOutlier(fit Fit, logElsewhere []float64, rate float64) Robust {
	n := len(fit.Without)
	terms := make([]float64, n+1)
	good, bad := math.Log1p(-rate), math.Log(rate)
	for i := range n {
		terms[i] = fit.Without[i] + logElsewhere[i] + bad + good*float64(n-1)
	}
	terms[n] = fit.All + good*float64(n)
	out := Robust{Log: LogSumExp(terms), Outlier: make([]float64, n)}
	for i := range n {
		if !math.IsInf(out.Log, -1) {
			out.Outlier[i] = math.Exp(terms[i] - out.Log)
		}
	}
	return out
}
