package bayes

import "math"

// Robust is the likelihood of several values of which two at most may be
// outliers: misread, or taken at the wrong place.
type Robust struct {
	Log     float64   // log likelihood
	Outlier []float64 // probability that value i is an outlier, given the hypothesis
}

// WithOutlier mixes a fit with the cases in which one value or two tell
// nothing.
//
// Shapes: logElsewhere[i] is the log density of value i when it is an
// outlier; rate in (0, 1) is the chance of that per value. Three outliers
// among the few values taken together are left out: an observer repeats a
// reading that doesn't fit.
func WithOutlier(fit Fit, logElsewhere []float64, rate float64) Robust {
	n := len(fit.Without)
	good, bad := math.Log1p(-rate), math.Log(rate)
	terms := []float64{fit.All + good*float64(n)}
	for i := range n {
		terms = append(terms, fit.Without[i]+logElsewhere[i]+bad+good*float64(n-1))
	}
	for i := range n {
		for j := range i {
			terms = append(terms, fit.Pairs[i][j]+logElsewhere[i]+logElsewhere[j]+2*bad+good*float64(n-2))
		}
	}
	out := Robust{Log: LogSumExp(terms), Outlier: make([]float64, n)}
	if math.IsInf(out.Log, -1) {
		return out
	}
	share := func(k int) float64 { return math.Exp(terms[k] - out.Log) }
	k := 1 + n
	for i := range n {
		out.Outlier[i] += share(1 + i)
		for j := range i {
			out.Outlier[i] += share(k)
			out.Outlier[j] += share(k)
			k++
		}
	}
	return out
}
