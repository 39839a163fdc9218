package specimen

import (
	"fmt"
	"math"
	"strconv"
)

// digitColours are the colours of the digits 0 to 9 (IEC 60062, CHECKS A07).
func digitColours() []string {
	return []string{"black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"}
}

// BandColours returns the bands that mark a resistance in ohms with a
// tolerance (0.05 for 5 %): two digits above 2 %, three up to 2 %, then the
// multiplier and the tolerance; none of the last at 20 %.
//
// Errors: a value that does not fit in the digits or the multipliers, or a
// tolerance without a colour.
// Source: IEC 60062, CHECKS A07 and A08.
func BandColours(ohms, tolerance float64) ([]string, error) {
	last, err := toleranceColour(tolerance)
	if err != nil {
		return nil, err
	}
	digits := 2
	if tolerance <= 0.0201 {
		digits = 3
	}
	if ohms <= 0 {
		return nil, fmt.Errorf("no colour bands for %g Ω: give a value above 0", ohms)
	}
	exp := int(math.Floor(math.Log10(ohms)*(1+1e-15)+1e-12)) - digits + 1
	mantissa := math.Round(ohms / math.Pow10(exp))
	if math.Abs(mantissa*math.Pow10(exp)/ohms-1) > 1e-6 {
		return nil, fmt.Errorf("no colour bands for %g Ω: it has more than %d digits", ohms, digits)
	}
	mult, err := multiplierColour(exp)
	if err != nil {
		return nil, fmt.Errorf("no colour bands for %g Ω: %w", ohms, err)
	}
	var out []string
	for _, d := range strconv.Itoa(int(mantissa)) {
		out = append(out, digitColours()[d-'0'])
	}
	out = append(out, mult)
	if last != "" {
		out = append(out, last)
	}
	return out, nil
}

func multiplierColour(exp int) (string, error) {
	switch {
	case exp >= 0 && exp <= 9:
		return digitColours()[exp], nil
	case exp == -1:
		return "gold", nil
	case exp == -2:
		return "silver", nil
	}
	return "", fmt.Errorf("no colour multiplies by 10^%d", exp)
}

func toleranceColour(t float64) (string, error) {
	for _, c := range []struct {
		t      float64
		colour string
	}{{0.2, ""}, {0.1, "silver"}, {0.05, "gold"}, {0.02, "red"}, {0.01, "brown"}, {0.005, "green"}, {0.0025, "blue"}, {0.001, "violet"}} {
		if math.Abs(t/c.t-1) < 1e-6 {
			return c.colour, nil
		}
	}
	return "", fmt.Errorf("no colour band for a tolerance of %g %%", t*100)
}
