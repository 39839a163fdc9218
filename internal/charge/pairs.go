package charge

import (
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// electrolyticTop is the highest usual rating of one electrolytic.
const electrolyticTop = 450.0

// capacitorPairs are two values of E6: in parallel, each with the full rating,
// or two equal ones in series where one alone can't stand the voltage.
func capacitorPairs(p circuit.Part, value float64, r Required) []Option {
	rated := math.Max(r.Volts, 0)
	if v, ok := p.Amount("voltage"); ok {
		rated = math.Max(rated, v)
	}
	var out []Option
	if a, b, ok := parallelPair(value, toleranceOf(p)); ok {
		out = append(out, Option{Value: a + b, Values: []float64{a, b}, Joined: "parallel",
			Text: fmt.Sprintf("%s and %s in parallel, each %s", quantity.Format(a, quantity.Farad, 3), quantity.Format(b, quantity.Farad, 3), quantity.Format(ratingAbove(rated), quantity.Volt, 3))})
	}
	if p.Kind != circuit.Electrolytic || rated <= electrolyticTop {
		return out
	}
	each, err := quantity.E6.Near(2*value, 1)
	if err != nil {
		return out
	}
	// Each takes 60 % at worst, by their tolerance and leakage; the resistors
	// across them keep it so. Common practice.
	return append(out, Option{Value: each[0] / 2, Values: []float64{each[0], each[0]}, Joined: "series",
		Text: fmt.Sprintf("two of %s, %s in series, each with a resistor of the same value across it (%s or less)",
			quantity.Format(each[0], quantity.Farad, 3), quantity.Format(ratingAbove(0.6*rated), quantity.Volt, 3), quantity.Format(balancing(each[0], 0.6*rated), quantity.Ohm, 2))})
}

// balancing is the resistor across each of two electrolytics in series that
// carries ten times their leakage. Common practice; leakage as in reformOf.
func balancing(farads, volts float64) float64 {
	leak := math.Max(leakagePerCV*farads*volts, leakageLeast)
	return volts / (10 * leak)
}

// parallelPair is the pair of E6 nearest to a value, within its tolerance and at
// least a hundredth.
func parallelPair(value, tolerance float64) (a, b float64, ok bool) {
	off := math.Max(tolerance, 0.01)
	decade := math.Pow(10, math.Floor(math.Log10(value)))
	for _, m := range quantity.E6.Values() {
		for _, scale := range []float64{decade / 10, decade} {
			one := m * scale
			if one >= value || one < value/2*(1-1e-9) {
				continue
			}
			near, err := quantity.E6.Near(value-one, 1)
			if err != nil {
				continue
			}
			if d := math.Abs((one+near[0])/value - 1); d < off {
				a, b, off, ok = one, near[0], d, true
			}
		}
	}
	return a, b, ok
}

func inductorText(p circuit.Part, value float64, r Required) string {
	text := quantity.Format(value, quantity.Henry, 3) + " for " + quantity.Format(r.Amps, quantity.Ampere, 2)
	if ohms, ok := p.Amount("resistance"); ok {
		text += fmt.Sprintf(", a winding of about %s", quantity.Format(ohms, quantity.Ohm, 2))
	}
	return text + "; it must not saturate at its peak current"
}
