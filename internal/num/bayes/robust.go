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
// outlier; rate[i] in (0, 1) is the chance of that. Three outliers among the
// few values taken together are left out: an observer repeats a reading that
// doesn't fit.
func WithOutlier(fit Fit, logElsewhere, rate []float64) Robust {
	n := len(fit.Without)
	var good float64
	turned := make([]float64, n) // what it adds that value i is an outlier
	for i := range n {
		good += math.Log1p(-rate[i])
		turned[i] = logElsewhere[i] + math.Log(rate[i]) - math.Log1p(-rate[i])
	}
	terms := []float64{fit.All + good}
	for i := range n {
		terms = append(terms, fit.Without[i]+good+turned[i])
	}
	for i := range n {
		for j := range i {
			terms = append(terms, fit.Pairs[i][j]+good+turned[i]+turned[j])
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
