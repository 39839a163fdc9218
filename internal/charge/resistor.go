package charge

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

// Rating is what a resistor of one size stands.
type Rating struct {
	Watts   float64
	Working float64 // greatest continuous voltage, however little the power
}

// filmRatings are leaded film resistors: metal film by makers' data sheets
// (G48), ¼ W and below at the lower of G48–G50.
func filmRatings() []Rating {
	return []Rating{{0.125, 150}, {0.25, 250}, {0.5, 300}, {1, 350}, {2, 500}, {3, 500}, {5, 500}}
}

// WorkingVolts is the greatest continuous voltage across a resistor: √(P·R),
// capped by the working voltage of its size.
//
// Source: makers' data sheets (G48–G50, G52).
func WorkingVolts(ohms, watts float64) float64 {
	limit := 0.0
	for _, r := range filmRatings() {
		if r.Watts <= watts*1.001 {
			limit = r.Working
		}
	}
	if limit == 0 {
		limit = filmRatings()[0].Working
	}
	return math.Min(math.Sqrt(ohms*watts), limit)
}

// CriticalOhms is the resistance above which the working voltage of the size
// and no longer its power limits (G53).
func CriticalOhms(r Rating) float64 { return r.Working * r.Working / r.Watts }

// Derated is the power a film resistor stands at an ambient temperature in
// °C: full to 70 °C, falling in a line to nothing at 155 °C (G54).
func Derated(watts, celsius float64) float64 {
	const full, none = 70, 155
	return watts * math.Max(0, math.Min(1, (none-celsius)/(none-full)))
}

// Bleeder is the resistor, or string of equal ones, with which to discharge.
type Bleeder struct {
	Ohms    float64 `json:"ohms"`    // of the whole string
	Each    float64 `json:"each"`    // of one
	Count   int     `json:"count"`   // in series
	Watts   float64 `json:"watts"`   // rating of one
	Volts   float64 `json:"volts"`   // working voltage that the string stands
	Seconds float64 `json:"seconds"` // to hold it on
}

// String says what to take in hand.
func (b Bleeder) String() string {
	one := fmt.Sprintf("%s, %s", quantity.Format(b.Each, quantity.Ohm, 3), quantity.Format(b.Watts, quantity.Watt, 3))
	if b.Count > 1 {
		return fmt.Sprintf("%d resistors of %s in series", b.Count, one)
	}
	return "a resistor of " + one
}

const (
	dischargedVolts = 5.0  // what is left at the end of the time stated
	patience        = 15.0 // seconds that a hand holds a probe still
	bleederMargin   = 1.3  // on the time: resistor and capacitor at their upper limits
)

// ChooseBleeder finds the smallest resistors of the E12 series that discharge
// the capacitor within their continuous power and working voltage, so that
// holding them on for too long, or on a live store, doesn't burn them.
//
// Units: volts is the greatest voltage, farads with the tolerance added.
func ChooseBleeder(volts, farads float64) Bleeder {
	var b Bleeder
	for _, r := range filmRatings() {
		if r.Watts < 0.5 { // too small to solder leads to and hold
			continue
		}
		b = bleederOf(r, volts, farads)
		if b.Seconds <= patience {
			break
		}
	}
	return b
}

func bleederOf(r Rating, volts, farads float64) Bleeder {
	count := max(1, int(math.Ceil(volts/r.Working)))
	share := volts / float64(count)
	each := e12Above(share * share / r.Watts)
	total := each * float64(count)
	seconds := 0.0
	if volts > dischargedVolts {
		seconds = bleederMargin * total * farads * math.Log(volts/dischargedVolts)
	}
	return Bleeder{Ohms: total, Each: each, Count: count, Watts: r.Watts,
		Volts: float64(count) * WorkingVolts(each, r.Watts), Seconds: math.Max(2, math.Ceil(seconds))}
}

// e12Above is the smallest value of the series that is not below v.
func e12Above(v float64) float64 {
	if v <= 100 { // less than this draws a spark
		return 100
	}
	decade := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range quantity.E12.Values() {
		if m*decade >= v*(1-1e-9) {
			return m * decade
		}
	}
	return 10 * decade
}
