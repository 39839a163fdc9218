package meter

import (
	"math"

	"foilside/internal/sim"
)

// wave is one period of a voltage, straight between its points.
type wave struct{ time, volts []float64 }

// wave is the voltage between the query's nets over the settled cycle.
func (r waveReader) wave(s *sim.Settled) wave {
	w := s.Waveforms()
	at := func(p sim.Place) []float64 { return w.Nets[netOf(r.model.Circuit(), p)] }
	red, black := at(r.q.Red), at(r.q.Black)
	out := wave{time: w.Time, volts: make([]float64, len(w.Time))}
	for k := range out.volts {
		out.volts[k] = sample(red, k) - sample(black, k)
	}
	return out
}

// sample is a net's voltage; a net without a wave is the reference.
func sample(v []float64, k int) float64 {
	if k >= len(v) {
		return 0
	}
	return v[k]
}

// throughBandwidth is what volts-ac shows of a wave: it passes a first-order
// low pass whose corner is the meter's bandwidth, and is then taken as rms or
// as rectified average.
func (m Meter) throughBandwidth(w wave) float64 {
	tau := 1 / (2 * math.Pi * m.Bandwidth)
	y := w.filtered(tau)
	var span, sum float64
	for k := 1; k < len(y.time); k++ {
		h := y.time[k] - y.time[k-1]
		span += h
		sum += h * (y.volts[k] + y.volts[k-1]) / 2
	}
	if span == 0 {
		return 0
	}
	mean := sum / span
	var square, size float64
	for k := 1; k < len(y.time); k++ {
		h, a, b := y.time[k]-y.time[k-1], y.volts[k-1]-mean, y.volts[k]-mean
		square += h * (a*a + a*b + b*b) / 3
		if a*b >= 0 {
			size += h * math.Abs(a+b) / 2
		} else {
			size += h * (a*a + b*b) / (2 * math.Abs(b-a))
		}
	}
	if m.AverageResponding {
		return formFactor * size / span
	}
	return math.Sqrt(square / span)
}

// stepsOfTau divides a stretch of the wave so that the filtered wave too is
// straight enough between its points.
const stepsOfTau = 8.0

// mostPieces bounds that for a bandwidth far above the wave, where the filter
// changes nothing between its points.
const mostPieces = 64

// filtered is the wave behind a first-order low pass, in its steady state: the
// exact answer to straight pieces, begun where it ends a period later.
func (w wave) filtered(tau float64) wave {
	fine := w.divided(tau / stepsOfTau)
	// From 0 the end is what the wave alone makes; a start adds its own decay.
	alone, decay := fine.pass(tau, 0)
	begin := 0.0
	if n := len(alone.volts); n > 0 && decay < 1 {
		begin = alone.volts[n-1] / (1 - decay)
	}
	out, _ := fine.pass(tau, begin)
	return out
}

// pass follows the low pass over the wave from a start.
func (w wave) pass(tau, begin float64) (out wave, decay float64) {
	out = wave{time: w.time, volts: make([]float64, len(w.volts))}
	if len(w.volts) == 0 {
		return out, 0
	}
	y := begin
	decay, out.volts[0] = 1.0, begin
	for k := 1; k < len(w.time); k++ {
		h := w.time[k] - w.time[k-1]
		e, lag := math.Exp(-h/tau), 1.0
		if h > 0 { // of a ramp; written so that a jump within rounding stays one
			lag = -math.Expm1(-h/tau) * tau / h
		}
		y = w.volts[k] - (w.volts[k]-w.volts[k-1])*lag + (y-w.volts[k-1])*e
		decay *= e
		out.volts[k] = y
	}
	return out, decay
}

// divided cuts pieces that are longer than a step.
func (w wave) divided(step float64) wave {
	var out wave
	for k := range w.time {
		if k > 0 {
			h := w.time[k] - w.time[k-1]
			n := int(min(math.Ceil(h/step), mostPieces))
			for i := 1; i < n; i++ {
				x := float64(i) / float64(n)
				out.time = append(out.time, w.time[k-1]+x*h)
				out.volts = append(out.volts, w.volts[k-1]+x*(w.volts[k]-w.volts[k-1]))
			}
		}
		out.time, out.volts = append(out.time, w.time[k]), append(out.volts, w.volts[k])
	}
	return out
}
