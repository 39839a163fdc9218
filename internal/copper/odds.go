package copper

import "math"

// logit is log(p/(1-p)).
func logit(p float64) float64 { return math.Log(p / (1 - p)) }

// oddsTable tabulates the logistic function over -oddsTop..oddsTop. Reading it
// with linear interpolation errs by less than 1e-5.
type oddsTable [2*oddsTop*oddsSteps + 2]float32

const (
	oddsTop   = 12
	oddsSteps = 64 // a unit of log odds
)

func newOddsTable() *oddsTable {
	var t oddsTable
	for i := range t {
		t[i] = float32(1 / (1 + math.Exp(-float64(i)/oddsSteps+oddsTop)))
	}
	return &t
}

// at turns log odds into a probability.
func (t *oddsTable) at(u float32) float32 {
	s := (min(max(u, -oddsTop), oddsTop) + oddsTop) * oddsSteps
	i := int(s)
	return t[i] + (s-float32(i))*(t[i+1]-t[i])
}
