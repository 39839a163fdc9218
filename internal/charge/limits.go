package charge

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

// Limits below which a charged capacitor does not count as hazardous.
const (
	// LiveVolts is the direct voltage above which accessible parts are
	// hazardous live. Source: IEC 61010-1 cl. 6.3.1 (G09); the same figure is
	// the ES1 limit of IEC 62368-1 table 4 (G14).
	LiveVolts = 60.0
	// CautionVolts is where a caution begins. Source: Lessons in Electric
	// Circuits, DC, ch. 3 (G08).
	CautionVolts = 30.0
	// LiveCoulombs is the charge allowed above LiveVolts and up to
	// HighVolts. Source: IEC 61010-1 cl. 6.3.1 (G09).
	LiveCoulombs = 45e-6
	// HighVolts is where the limit of charge gives way to one of energy.
	HighVolts = 15e3
	// HighJoules is the energy allowed above HighVolts. Source: the same (G09).
	HighJoules = 0.350
	// BurnJoules is the energy that burns below 100 V. Source: Lawrence
	// Berkeley electrical safety manual (G34).
	BurnJoules = 100.0
)

// Verdict says what a stored charge means for a hand.
type Verdict struct {
	Hazardous bool   `json:"hazardous"`
	Caution   bool   `json:"caution"` // above CautionVolts, or hazardous
	Rule      string `json:"rule"`    // the rule that decides, with its source
}

// Judge holds a charged capacitor against the limits; the strictest rule
// decides. Volts is its greatest voltage, farads its value with the tolerance
// added.
func Judge(volts, farads float64) Verdict {
	v := math.Abs(volts)
	joules, coulombs := farads*v*v/2, farads*v
	hazard := func(format string, args ...any) Verdict {
		return Verdict{Hazardous: true, Caution: true, Rule: fmt.Sprintf(format, args...)}
	}
	switch {
	case v <= LiveVolts && joules > BurnJoules:
		return hazard("below 60 V, but more than 100 J can burn (US laboratory threshold)")
	case v <= CautionVolts:
		return Verdict{Rule: "below the caution line of 30 V"}
	case v <= LiveVolts:
		return Verdict{Caution: true, Rule: "above the caution line of 30 V, not above the 60 V dc of IEC 61010-1"}
	case v > HighVolts && joules > HighJoules:
		return hazard("above 15 kV and 350 mJ (IEC 61010-1, 6.3.1)")
	case v <= HighVolts && coulombs > LiveCoulombs:
		return hazard("above 60 V dc and 45 µC (IEC 61010-1, 6.3.1)")
	case v > ES1Volts(farads):
		return hazard("above the %s that IEC 62368-1 table 5 allows at %s (ES1)",
			quantity.Format(ES1Volts(farads), quantity.Volt, 3), quantity.Format(farads, quantity.Farad, 3))
	}
	return Verdict{Caution: true, Rule: "above 60 V dc, but within 45 µC (IEC 61010-1) and ES1 (IEC 62368-1 table 5)"}
}

// limit is one row of table 5 of IEC 62368-1.
type limit struct{ farads, volts float64 }

// es1Table is from IEC 62368-1 table 5 as reproduced in a national technical
// regulation (G16–G30), capacitance falling. ES2 is twice the voltage.
func es1Table() []limit {
	return []limit{
		{300e-9, 60}, {170e-9, 75}, {91e-9, 100}, {61e-9, 125}, {41e-9, 150}, {28e-9, 200}, {18e-9, 250},
		{12e-9, 350}, {8e-9, 500}, {4e-9, 1000}, {1.6e-9, 2500}, {0.8e-9, 5000}, {0.4e-9, 10e3},
		{0.2e-9, 20e3}, {0.133e-9, 25e3},
	}
}

// ES1Volts is the peak voltage to which a capacitor may be charged within
// class ES1, interpolated linearly between the rows as the standard allows.
func ES1Volts(farads float64) float64 {
	table := es1Table()
	if !(farads < table[0].farads) {
		return table[0].volts
	}
	for i := 1; i < len(table); i++ {
		hi, lo := table[i-1], table[i]
		if farads >= lo.farads {
			t := (hi.farads - farads) / (hi.farads - lo.farads)
			return hi.volts + t*(lo.volts-hi.volts)
		}
	}
	return table[len(table)-1].volts
}

// SafeVolts is the voltage to which a capacitor must fall to be no hazard and
// need no caution: the caution line, or less where its energy could still burn.
func SafeVolts(farads float64) float64 {
	if farads <= 0 {
		return CautionVolts
	}
	return math.Min(CautionVolts, math.Sqrt(2*BurnJoules/farads))
}
