package charge

import (
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Reform is how an electrolytic that has lain for years is brought back to its
// voltage, out of the circuit: its oxide grows again as a small current flows.
type Reform struct {
	Ohms     float64      `json:"resistor"` // in series
	Watts    float64      `json:"power"`    // of it, should the capacitor be shorted
	Steps    []ReformStep `json:"steps"`
	Leakage  float64      `json:"leakage"` // A that it may take at the end
	Cautions []string     `json:"cautions"`
}

// ReformStep is one voltage to hold.
type ReformStep struct {
	Volts   float64 `json:"voltage"`
	Minutes float64 `json:"minutes"` // at least
	Text    string  `json:"text"`
}

// Reforming. Common practice throughout; the leakage limit is the usual line of
// makers' data sheets, the larger of 0.01·C·V and 3 µA (from memory).
const (
	reformAmps    = 2e-3 // at most, into a short
	reformLeast   = 10e3 // Ω
	reformMinutes = 10.0
	leakagePerCV  = 0.01 // µA for each µF and volt
	leakageLeast  = 3e-6
	reformMost    = 450.0 // volts; what is rated for more is left to others
)

// reformOf plans it for a part; nil where its rating is not known.
func reformOf(p circuit.Part) *Reform {
	volts, ok := p.Amount("voltage")
	farads, known := p.Amount("value")
	if p.Kind != circuit.Electrolytic || !ok || !known || volts <= 0 || farads <= 0 {
		return nil
	}
	if volts > reformMost {
		return &Reform{Steps: []ReformStep{}, Cautions: []string{fmt.Sprintf("No steps: at %s it is left to someone equipped for it; fit a new one.", quantity.Format(volts, quantity.Volt, 3))}}
	}
	ohms := e12Above(math.Max(reformLeast, volts/reformAmps))
	r := &Reform{Ohms: ohms, Watts: standardWatts(2 * volts * volts / ohms), Leakage: math.Max(leakagePerCV*farads*volts, leakageLeast)}
	for _, share := range []float64{0.25, 0.5, 0.75, 1} {
		v := share * volts
		r.Steps = append(r.Steps, ReformStep{Volts: v, Minutes: reformMinutes,
			Text: fmt.Sprintf("Set the supply to %s through %s, plus to plus. Wait %.0f minutes at least, until less than %s stands across the resistor.",
				quantity.Format(v, quantity.Volt, 3), quantity.Format(ohms, quantity.Ohm, 3), reformMinutes, quantity.Format(math.Min(r.Leakage*ohms, v/4), quantity.Volt, 2))})
	}
	r.Cautions = []string{
		"Take it out of the circuit first, use a supply with a current limit, cover the capacitor, and stop when it warms up or the current no longer falls: then it is past saving.",
		fmt.Sprintf("Afterwards it is charged: discharge it through %s and measure before touching it.", ChooseBleeder(volts, farads*(1+toleranceOf(p)))),
	}
	if Judge(volts, farads).Hazardous {
		r.Cautions = append(r.Cautions, "At its full voltage it is dangerous to touch.")
	}
	return r
}

// standardWatts is the smallest usual size of resistor that stands a power.
func standardWatts(watts float64) float64 {
	for _, r := range filmRatings() {
		if r.Watts >= watts {
			return r.Watts
		}
	}
	return math.Ceil(watts)
}
