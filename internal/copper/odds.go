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

// leanTable tabulates tanh(u/2), the mean of a label -1 or +1 with log odds u,
// over -leanTop..leanTop. Reading it errs by less than 1e-3.
type leanTable [2*leanTop*leanSteps + 1]float32

const (
	leanTop   = 8
	leanSteps = 256 // a unit of log odds
)

func newLeanTable() *leanTable {
	var t leanTable
	for i := range t {
		t[i] = float32(math.Tanh((float64(i)/leanSteps - leanTop) / 2))
	}
	return &t
}

func (t *leanTable) at(u float32) float32 {
	i := int(u*leanSteps + (leanTop*leanSteps + 0.5))
	if i < 0 {
		return t[0]
	}
	if i >= len(t) {
		return t[len(t)-1]
	}
	return t[i]
}

// decayTable tabulates exp(-v) over 0..decayTop. Reading it errs by less than
// 0.4 % of its value below that, and by less than 1e-6 above.
type decayTable [decayTop*decaySteps + 1]float32

const (
	decayTop   = 14
	decaySteps = 128
)

func newDecayTable() *decayTable {
	var t decayTable
	for i := range t {
		t[i] = float32(math.Exp(-float64(i) / decaySteps))
	}
	t[len(t)-1] = 0
	return &t
}

// at reads v >= 0.
func (t *decayTable) at(v float32) float32 {
	i := int(v*decaySteps + 0.5)
	if i < 0 || i >= len(t) {
		return 0
	}
	return t[i]
}
