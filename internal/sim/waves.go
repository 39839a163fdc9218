package sim

import "math"

// pulseDuty is the share of the period for which a pulse stands, common
// practice for a test pulse.
const pulseDuty = 0.1

// wave moves a signal source. It is made of smooth pieces; the piece at hand
// is counted, not computed from the time, so that rounding never takes the
// wrong side of an edge.
type wave struct {
	src    *source
	shape  string
	peak   float64
	period float64
	piece  int
}

// peakOf is the peak of a shape with the rms value volts. A pulse stands from
// 0 to its peak, all others swing evenly about 0.
func peakOf(shape string, volts float64) float64 {
	switch shape {
	case "square":
		return volts
	case "triangle":
		return volts * math.Sqrt(3)
	case "pulse":
		return volts / math.Sqrt(pulseDuty)
	}
	return volts * math.Sqrt2
}

// edge is where the piece at hand ends.
func (w *wave) edge() float64 {
	k := float64(w.piece)
	switch w.shape {
	case "square":
		return (k + 1) / 2 * w.period
	case "triangle":
		return (2*k + 1) / 4 * w.period
	case "pulse":
		whole := math.Floor(k / 2)
		if w.piece%2 == 0 {
			return (whole + pulseDuty) * w.period
		}
		return (whole + 1) * w.period
	}
	return math.Inf(1)
}

// at is the voltage at a time within the piece at hand, ends included. All
// begin at the time 0: sine and triangle from 0 upwards, square and pulse
// with their high piece.
func (w *wave) at(t float64) float64 {
	sign := 1.0
	if w.piece%2 == 1 {
		sign = -1
	}
	switch w.shape {
	case "square":
		return sign * w.peak
	case "triangle":
		return sign * w.peak * 4 * (t/w.period - float64(w.piece)/2)
	case "pulse":
		return w.peak * (1 + sign) / 2
	}
	_, turn := math.Modf(t / w.period)
	return w.peak * math.Sin(2*math.Pi*turn)
}

// set puts the source at its voltage of a time.
func (w *wave) set(t float64) { w.src.v = w.at(t) }
