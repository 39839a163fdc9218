package diagnosis

import (
	"math"

	"foilside/internal/meter"
)

// Readings are compared on a scale on which the meter's and the model's error
// is nearly the same everywhere: the logarithm of ohms, and of volts with the
// sign kept and the smallest voltages straight.

const (
	smallVolts = 0.05 // below it the voltage scale is straight
	smallOhms  = 0.5  // below it the ohms scale is straight: leads and contacts
	leakyOhms  = 40e6 // of the order of what boards and junctions leak
)

// scaled puts a value of the mode on its scale.
func scaled(m meter.Mode, v float64) float64 {
	if inOhms(m) {
		return math.Log(math.Max(v, 0) + smallOhms)
	}
	return math.Asinh(v / smallVolts)
}

// unscaled is the inverse of scaled.
func unscaled(m meter.Mode, g float64) float64 {
	if inOhms(m) {
		return math.Max(math.Exp(g)-smallOhms, 0)
	}
	return smallVolts * math.Sinh(g)
}

func inOhms(m meter.Mode) bool { return m == meter.Ohms || m == meter.Continuity }

// slope is how fast the scale runs at a value, per unit.
func slope(m meter.Mode, v float64) float64 {
	if inOhms(m) {
		return 1 / (math.Max(v, 0) + smallOhms)
	}
	return 1 / math.Hypot(v, smallVolts)
}

// modelError is how far the simulated reading of a unit with known parameters
// may be off the true one: devices are no textbook, leads and contacts have
// resistance, the board is warm. Tuned by judgement, held by the study of
// hidden faults, whose truths come from altered models.
func modelError(m meter.Mode, v float64) float64 {
	switch {
	case inOhms(m):
		// Towards the top of the range leakages decide, known to a factor.
		return math.Abs(v)*(0.02+math.Min(0.5, math.Abs(v)/leakyOhms)) + 0.2
	case m == meter.Junction:
		return 0.01*math.Abs(v) + 0.012
	}
	return 0.01*math.Abs(v) + 0.008
}

// noise is the standard deviation of a reading on its scale. meterError is
// the meter's limit of error at the value, taken as two deviations.
func noise(m meter.Mode, v, meterError float64) float64 {
	return slope(m, v) * math.Hypot(meterError/2, modelError(m, v))
}

// range of the scale, for readings that tell nothing: -top…top volts or
// 0…top ohms.
func span(m meter.Mode, top float64) (low, high float64) {
	if inOhms(m) {
		return scaled(m, 0), scaled(m, top)
	}
	return scaled(m, -top), scaled(m, top)
}
