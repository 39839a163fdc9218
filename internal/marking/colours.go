package marking

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// colour is a row of the colour code. A missing entry is NaN.
//
// Source: IEC 60062:2016, as quoted by public tables (A07 of the outside
// checks). The standard's 2016 issue gives grey ±0.01 %, older ones ±0.05 %.
type colour struct {
	names     []string
	digit     int     // -1: none
	exp       int     // multiplier 10^exp
	tolerance float64 // ratio
	tempco    float64 // per kelvin
}

const sourceBands = "colour code of IEC 60062"

func colours() []colour {
	none := math.NaN()
	return []colour{
		{[]string{"black", "bk"}, 0, 0, none, 250e-6},
		{[]string{"brown", "bn"}, 1, 1, 0.01, 100e-6},
		{[]string{"red", "rd"}, 2, 2, 0.02, 50e-6},
		{[]string{"orange", "og"}, 3, 3, none, 15e-6},
		{[]string{"yellow", "ye"}, 4, 4, none, 25e-6},
		{[]string{"green", "gn"}, 5, 5, 0.005, 20e-6},
		{[]string{"blue", "bu"}, 6, 6, 0.0025, 10e-6},
		{[]string{"violet", "purple", "vt"}, 7, 7, 0.001, 5e-6},
		{[]string{"grey", "gray", "gy"}, 8, 8, 0.0005, 1e-6},
		{[]string{"white", "wh"}, 9, 9, none, none},
		{[]string{"gold", "gd"}, -1, -1, 0.05, none},
		{[]string{"silver", "sr"}, -1, -2, 0.10, none},
	}
}

func findColour(word string) (colour, bool) {
	for _, c := range colours() {
		if slices.Contains(c.names, word) {
			return c, true
		}
	}
	return colour{}, false
}

// splitColours cuts text into colours. ok is false where it is no list of
// colours at all; an error says which word of a list is none.
func splitColours(t string) (list []colour, ok bool, err error) {
	words := strings.FieldsFunc(strings.ToLower(t), func(r rune) bool { return strings.ContainsRune(" -,/", r) })
	var unknown string
	for _, w := range words {
		if w == "none" || w == "bands" {
			continue
		}
		c, found := findColour(w)
		if !found {
			unknown = w
			continue
		}
		list = append(list, c)
	}
	if len(list) < 2 {
		return nil, false, nil
	}
	if unknown != "" {
		return nil, false, fmt.Errorf("%q is no colour of the code; it has black brown red orange yellow green blue violet grey white gold silver", unknown)
	}
	return list, true, nil
}

// bands reads three to six bands both ways round. The order given comes first
// unless only the other one is legal, or only the other one is a preferred value.
func bands(text string, list []colour) ([]Reading, error) {
	if len(list) < 3 || len(list) > 6 {
		return nil, &Error{text, fmt.Sprintf("%d bands; a resistor has three to six", len(list))}
	}
	reversed := slices.Clone(list)
	slices.Reverse(reversed)
	var good, doubtful []Reading
	for i, order := range [][]colour{list, reversed} {
		for _, r := range bandsOneWay(order) {
			r.Doubtful = r.Doubtful || i == 1
			if i == 1 {
				r.Text += " (read from the other end)"
			}
			if r.Doubtful {
				doubtful = append(doubtful, r)
			} else {
				good = append(good, r)
			}
		}
	}
	all := append(good, doubtful...)
	if len(all) == 0 {
		return nil, &Error{text, "the bands make no value from either end; gold and silver can't be figures, and the tolerance colour must be one of the code"}
	}
	return all, nil
}

// bandsOneWay reads the bands in one direction; several readings where a
// fifth band may also be the failure rate of military parts.
func bandsOneWay(list []colour) []Reading {
	figures := 2
	if len(list) >= 5 {
		figures = 3
	}
	var out []Reading
	if r, ok := readBands(list, figures); ok {
		out = append(out, r)
	}
	if len(list) == 5 {
		if r, ok := readBands(list[:4], 2); ok && reliability(list[4]) {
			r.Text += ", fifth band: failure rate"
			r.Source = sourceBands + ", fifth band by US military composition resistors"
			r.Doubtful = len(out) > 0
			out = append(out, r)
		}
	}
	return out
}

// reliability tells the colours of the failure-rate band (A09).
func reliability(c colour) bool { return c.digit >= 1 && c.digit <= 4 }

// readBands reads figures, multiplier, then tolerance and temperature
// coefficient where there are bands for them.
func readBands(list []colour, figures int) (Reading, bool) {
	mantissa := 0
	for _, c := range list[:figures] {
		if c.digit < 0 {
			return Reading{}, false
		}
		mantissa = 10*mantissa + c.digit
	}
	v := float64(mantissa) * math.Pow(10, float64(list[figures].exp))
	if e := list[figures].exp; e < 0 {
		v = float64(mantissa) / math.Pow(10, float64(-e))
	}
	r := valueReading(circuit.Resistor, quantity.Ohm, v, sourceBands)
	tol := 0.20 // no band: ±20 %
	if len(list) > figures+1 {
		tol = list[figures+1].tolerance
	}
	if math.IsNaN(tol) {
		return Reading{}, false
	}
	r = r.withTolerance(tol)
	if len(list) > figures+2 {
		tc := list[figures+2].tempco
		if math.IsNaN(tc) {
			return Reading{}, false
		}
		r.TempCoeff = &tc
		r.Text += fmt.Sprintf(", %.0f ppm/K", 1e6*tc)
	}
	r.Doubtful = !preferred(float64(mantissa), figures)
	return r, true
}

// preferred tells whether the figures are in a series of IEC 60063.
func preferred(mantissa float64, figures int) bool {
	if mantissa == 0 {
		return true // the zero-ohm link
	}
	for mantissa >= 10 {
		mantissa /= 10
	}
	series := []quantity.Series{quantity.E24}
	if figures == 3 {
		series = append(series, quantity.E192)
	}
	for _, s := range series {
		for _, v := range s.Values() {
			if math.Abs(v-mantissa) < 1e-9 {
				return true
			}
		}
	}
	return false
}
