package meter

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

// Mode is a function of a meter.
type Mode string

// The modes.
const (
	VoltsDC    Mode = "volts-dc"
	VoltsAC    Mode = "volts-ac"
	Ohms       Mode = "ohms"
	Continuity Mode = "continuity"
	Junction   Mode = "junction"
	AmpsDC     Mode = "amps-dc"
)

// Powered tells whether a mode reads the circuit with its supplies as the
// state has them. The other modes take every supply as off.
func (m Mode) Powered() bool { return m == VoltsDC || m == VoltsAC || m == AmpsDC }

// Unit is the unit of a mode's readings.
func (m Mode) Unit() quantity.Unit {
	switch m {
	case Ohms, Continuity:
		return quantity.Ohm
	case AmpsDC:
		return quantity.Ampere
	}
	return quantity.Volt
}

// UnsupportedError refuses a mode that is not worked out here.
type UnsupportedError struct{ Mode Mode }

// Error says what to do instead.
func (e *UnsupportedError) Error() string {
	if e.Mode == VoltsAC {
		return "volts-ac is read over a settled cycle, not at an operating point"
	}
	return fmt.Sprintf("there is no mode %q; use volts-dc, volts-ac, ohms, continuity, junction or amps-dc", e.Mode)
}

// supported returns an *UnsupportedError for a mode not worked out.
func (m Mode) supported() error {
	switch m {
	case VoltsDC, VoltsAC, Ohms, Continuity, Junction, AmpsDC:
		return nil
	}
	return &UnsupportedError{m}
}

// Class is a class of meter.
type Class string

// The classes.
const (
	Digital  Class = "digital"
	Valve    Class = "valve"
	Analogue Class = "analogue"
)

// Meter is what a reading depends on. All figures are in SI base units.
type Meter struct {
	Name  string `json:"name,omitempty"`
	Class Class  `json:"class"`

	Input       float64   `json:"input,omitempty"`       // Ω on volts, every range alike
	Sensitivity float64   `json:"sensitivity,omitempty"` // Ω/V, where Input is 0
	Ranges      []float64 `json:"ranges"`                // V full scale, ascending
	Range       float64   `json:"range,omitempty"`       // V, set by hand; 0: chosen
	Rated       float64   `json:"rated"`                 // V
	Accuracy    float64   `json:"accuracy"`              // share of the reading, or of full scale (analogue)
	Digits      float64   `json:"digits"`                // counts of the last figure
	// AverageResponding: volts-ac answers to the average of the rectified wave
	// and is marked in the rms of a sine.
	AverageResponding bool `json:"average_responding,omitempty"`
	// Bandwidth is where volts-ac shows 3 dB too little, in Hz; 0: no limit.
	Bandwidth float64 `json:"bandwidth,omitempty"`
	// Probe divides the voltage before the meter: 1000 for 1000 : 1; 0: none.
	Probe float64 `json:"probe,omitempty"`

	OpenCircuit  float64   `json:"open_circuit"` // V of the ohms function
	OhmsRanges   []float64 `json:"ohms_ranges"`  // Ω, each also the resistance behind it
	OhmsAccuracy float64   `json:"ohms_accuracy"`
	OhmsDigits   float64   `json:"ohms_digits"`
	HighestOhms  float64   `json:"highest_ohms"`
	// RedNegative: the black lead is the positive one on ohms (D47).
	RedNegative bool `json:"red_negative,omitempty"`

	JunctionCurrent float64 `json:"junction_current"` // A
	JunctionOpen    float64 `json:"junction_open"`    // V, the most it can reach
	JunctionLimit   float64 `json:"junction_limit"`   // V above which it shows over-range
	JoinedBelow     float64 `json:"joined_below"`     // Ω

	AmpsRanges   []float64 `json:"amps_ranges"`           // A full scale, ascending
	AmpsDrop     float64   `json:"amps_drop"`             // V across the meter at full scale
	AmpsSeries   float64   `json:"amps_series,omitempty"` // Ω in every range, instead of AmpsDrop
	AmpsAccuracy float64   `json:"amps_accuracy"`         // share of the reading, or of full scale (analogue)
	AmpsDigits   float64   `json:"amps_digits"`
}

// Default is the meter of a class where nothing else is said. "" stands for
// digital.
//
// Source: the project's contract for digital; valve and analogue D02, D28 of
// the outside checks and common practice. The current ranges are common
// practice throughout: shunts that drop 0.2 V (a quarter of a volt behind a
// pointer) at full scale, the socket for large currents up to 10 A.
func Default(c Class) Meter {
	m := Meter{
		Class: Digital, Input: 10e6, Ranges: []float64{1, 10, 100, 1000}, Rated: 600, Accuracy: 0.005, Digits: 2,
		OpenCircuit: 0.5, OhmsRanges: []float64{200, 2e3, 20e3, 200e3, 2e6, 20e6}, OhmsAccuracy: 0.01, OhmsDigits: 1, HighestOhms: 20e6,
		JunctionCurrent: 1e-3, JunctionOpen: 3, JunctionLimit: 2, JoinedBelow: 50,
		AmpsRanges: []float64{2e-3, 20e-3, 200e-3, 10}, AmpsDrop: 0.2, AmpsAccuracy: 0.01, AmpsDigits: 2,
	}
	switch c {
	case Valve:
		m.Class, m.Input, m.Accuracy, m.Digits = Valve, 11e6, 0.03, 0
		m.Ranges = analogueRanges()
		m.analogueOhms()
	case Analogue:
		m.Class, m.Input, m.Sensitivity, m.Accuracy, m.Digits = Analogue, 0, 20e3, 0.03, 0
		m.Ranges = analogueRanges()
		m.analogueOhms()
	}
	return m
}

func analogueRanges() []float64 { return []float64{2.5, 10, 50, 250, 1000} }

// analogueOhms is a cell of 1.5 V behind the resistance that reads at half
// scale; the scale is of use up to ten times that (D08).
func (m *Meter) analogueOhms() {
	m.OpenCircuit, m.OhmsRanges, m.OhmsAccuracy, m.OhmsDigits = 1.5, []float64{15, 150, 1.5e3, 15e3, 150e3}, 0.05, 0
	m.AmpsRanges, m.AmpsDrop, m.AmpsAccuracy, m.AmpsDigits = []float64{50e-6, 2.5e-3, 25e-3, 250e-3, 10}, 0.25, 0.03, 0
}

// New is a meter of a class with what the person said of it, by the names of
// the job text: "input", "open circuit", "rated" and so on.
func New(name string, c Class, given func(param string) (float64, bool)) Meter {
	m := Default(c)
	m.Name = name
	for param, field := range map[string]*float64{
		"input": &m.Input, "sensitivity": &m.Sensitivity, "range": &m.Range, "rated": &m.Rated, "accuracy": &m.Accuracy,
		"digits": &m.Digits, "open circuit": &m.OpenCircuit, "ohms accuracy": &m.OhmsAccuracy, "highest ohms": &m.HighestOhms,
		"junction current": &m.JunctionCurrent, "junction limit": &m.JunctionLimit, "joined below": &m.JoinedBelow,
		"series resistance": &m.AmpsSeries, "amps accuracy": &m.AmpsAccuracy, "bandwidth": &m.Bandwidth, "probe": &m.Probe,
	} {
		if v, ok := given(param); ok && v > 0 && !math.IsInf(v, 0) {
			*field = v
		}
	}
	if _, ok := given("input"); m.Probe > 1 {
		m.behindProbe(ok)
	}
	if v, ok := given("highest amps"); ok && v > 0 {
		m.upToAmps(v)
	}
	if i, ok := given("test current"); ok && i > 0 {
		m.testCurrent(i)
	}
	if m.JunctionOpen < 1.5*m.JunctionLimit {
		m.JunctionOpen = 1.5 * m.JunctionLimit
	}
	return m
}

// testCurrent sets the current into a short of the lowest ohms range; the
// higher ranges keep their ratio to it.
func (m *Meter) testCurrent(i float64) {
	k := m.OpenCircuit / i / m.OhmsRanges[0]
	for r := range m.OhmsRanges {
		m.OhmsRanges[r] *= k
	}
}

// probeOhms is the resistance of a high-voltage probe for each unit of its
// ratio: 100 MΩ at 100 : 1, 1 GΩ at 1000 : 1. Common practice.
const probeOhms = 1e6

// behindProbe puts a divider before the meter: its ranges reach further, and it
// loads less. What probe and meter are rated for has to be said ("rated"): the
// ratio tells nothing of the insulation.
func (m *Meter) behindProbe(inputGiven bool) {
	for i := range m.Ranges {
		m.Ranges[i] *= m.Probe
	}
	m.Range *= m.Probe
	if !inputGiven {
		m.Input = m.Probe * probeOhms
	}
}

// upToAmps ends the current ranges at what the person's meter has.
func (m *Meter) upToAmps(most float64) {
	var ranges []float64
	for _, r := range m.AmpsRanges {
		if r < most*(1-1e-9) {
			ranges = append(ranges, r)
		}
	}
	m.AmpsRanges = append(ranges, most)
}

// input is the resistance on volts in a range.
func (m Meter) input(rng float64) float64 {
	if m.Input > 0 {
		return m.Input
	}
	return m.Sensitivity * rng
}

// MaxError is the limit of the meter's own error at a reading.
func (m Meter) MaxError(mode Mode, value float64) float64 {
	size := math.Abs(value)
	switch mode {
	case Ohms, Continuity:
		if m.Class != Digital {
			return m.scaleError(size)
		}
		return m.OhmsAccuracy*size + m.OhmsDigits*m.Resolution(mode, value)
	}
	share, digits := m.Accuracy, m.Digits
	if mode == AmpsDC {
		share, digits = m.AmpsAccuracy, m.AmpsDigits
	}
	if m.Class == Digital {
		return share*size + digits*m.Resolution(mode, value)
	}
	return share * m.fullScale(mode, size)
}

// scaleError is the error of an ohms scale that is crowded towards its upper
// end: the same angle of the pointer is R·(1 + R/mid)²/(R/mid) in ohms.
func (m Meter) scaleError(ohms float64) float64 {
	mid := m.ohmsRange(ohms)
	u := ohms / mid
	return m.OhmsAccuracy * mid * (1 + u) * (1 + u)
}

// scaleFor is the range that a voltage would be read in.
func (m Meter) scaleFor(volts float64) float64 {
	if m.Range > 0 {
		return m.Range
	}
	for _, r := range m.Ranges {
		if volts <= r {
			return r
		}
	}
	return m.Ranges[len(m.Ranges)-1]
}

// fullScale is the range that a voltage or a current would be read in.
func (m Meter) fullScale(mode Mode, size float64) float64 {
	if mode != AmpsDC {
		return m.scaleFor(size)
	}
	for _, r := range m.AmpsRanges {
		if size <= r {
			return r
		}
	}
	return m.AmpsRanges[len(m.AmpsRanges)-1]
}

// ohmsRange is the range that a resistance would be read in.
func (m Meter) ohmsRange(ohms float64) float64 {
	for _, r := range m.OhmsRanges {
		if ohms <= r*m.span() {
			return r
		}
	}
	return m.OhmsRanges[len(m.OhmsRanges)-1]
}

// span is how far above its range's resistance an ohms range reads.
func (m Meter) span() float64 {
	if m.Class == Digital {
		return 1
	}
	return 10
}

// figures are what the display of a digital meter, or a careful look at a
// pointer, resolves.
const (
	digitalFigures = 4
	pointerShare   = 0.005 // of full scale
)

// Resolution is the step of the display at a value: the last of four figures,
// or half a percent of an analogue scale.
func (m Meter) Resolution(mode Mode, value float64) float64 {
	size := math.Abs(value)
	full := m.fullScale(mode, size)
	if mode == Ohms || mode == Continuity {
		full = m.ohmsRange(size)
		if m.Class != Digital {
			u := size / full
			return pointerShare * full * (1 + u) * (1 + u)
		}
	} else if mode == Junction {
		full = m.JunctionLimit
	}
	if m.Class != Digital {
		return pointerShare * full
	}
	decade := math.Ceil(math.Log10(full) - 1e-9)
	return math.Pow(10, decade-digitalFigures)
}

// Round is the value as displayed.
func (m Meter) Round(mode Mode, value float64) float64 {
	step := m.Resolution(mode, value)
	return math.Round(value/step) * step
}
