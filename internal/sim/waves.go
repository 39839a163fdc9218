package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// pulseDuty is the share of the period for which a pulse stands, common
// practice for a test pulse.
const pulseDuty = 0.1

// wave moves a signal source. It is made of smooth pieces; the piece at hand
// is counted, not computed from the time, so that rounding never takes the
// wrong side of an edge.
type wave struct {
	src    *source
	shape  string
	base   float64 // volts that it swings about
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

// steps tells whether the wave stands still between its edges.
func (w *wave) steps() bool { return w.shape == "square" || w.shape == "pulse" }

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
func (w *wave) set(t float64) { w.src.v = (w.base + w.at(t)) * w.src.factor }

// moveSignal is a source with a waveform.
func moveSignal(r *resolver, _ func(*assembly)) func(*assembly) {
	volts := r.required("voltage", "1 V")
	ohms := math.Abs(r.amount("resistance", 50, q.Ohm, trade))
	hertz := r.positive("frequency", 1000, q.Hertz, trade)
	shape := r.word("shape")
	return func(b *assembly) {
		if b.setting.Form == circuit.Off {
			return
		}
		src := &source{plus: b.lead("+"), minus: b.lead("-"), volts: peakOf(shape, volts), ohms: ohms}
		b.add(src)
		b.inst.waves = append(b.inst.waves, &wave{src: src, shape: shape, peak: src.volts, period: 1 / hertz})
	}
}

// mainsHertz is the mains frequency taken for a supply's ripple.
const mainsHertz = 50.0

// moveSupply is a steady voltage with the ripple of a full-wave rectifier's
// reservoir: a triangle at twice the mains frequency, evenly about the voltage
// given (common practice).
func moveSupply(r *resolver, still func(*assembly)) func(*assembly) {
	ripple, ok := r.lookup("ripple")
	if !ok || ripple.Value == 0 {
		return still
	}
	volts := r.required("voltage", "9 V")
	ohms := math.Abs(r.amount("resistance", 0, q.Ohm, trade))
	return func(b *assembly) {
		if b.setting.Form == circuit.Off {
			return
		}
		src := &source{plus: b.lead("+"), minus: b.lead("-"), volts: volts, ohms: ohms}
		b.add(src)
		w := &wave{src: src, shape: "triangle", base: volts, peak: math.Abs(ripple.Value) / 2, period: 1 / (2 * mainsHertz)}
		b.inst.waves = append(b.inst.waves, w)
	}
}
