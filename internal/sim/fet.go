package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// fet is a field-effect transistor by the square law, ends drain, gate,
// source. sign is 1 for n-channel, −1 for p-channel.
//
//	Id = k·(2·Vov·Vds − Vds²)   below Vds = Vov = Vgs − threshold
//	Id = k·Vov²                 above
//
// Drain and source change over with the sign of Vds. A junction FET has a
// diode from gate to channel, a MOSFET an insulated gate and a body diode.
//
// Limits: no channel-length modulation, no subthreshold law (the square law
// is rounded over 20 mV instead), no fall of mobility.
// Source: W. Shockley, Proc. IRE 40 (1952) 1365–1376; C. T. Sah, IEEE Trans.
// Electron Devices 11 (1964) 324–345 (from memory).
type fet struct {
	sign      float64
	threshold float64 // in the n-channel sense
	k         float64 // A/V²
	junction  bool
	diode     law // of the gate, or of the body
	leak      float64
	gain      float64 // factor on k
	shift     float64 // volts on the threshold
}

const (
	drain = iota
	gate
	origin // source
)

// roundOff is the width in volts over which the square law begins.
const roundOff = 0.02

func (f *fet) joined() [][2]int {
	if f.junction {
		return [][2]int{{drain, origin}, {gate, origin}}
	}
	return [][2]int{{drain, origin}}
}

func (f *fet) tune(t tuning) { f.gain, f.shift = t.gain, t.drop }

func (f *fet) flow(v, current, slope []float64) {
	d, s := drain, origin
	if f.sign*(v[drain]-v[origin]) < 0 {
		d, s = origin, drain
	}
	vds := f.sign * (v[d] - v[s])
	vov, dvov := smoothPositive(f.sign*(v[gate]-v[s])-f.threshold-f.shift, roundOff)
	k := f.k * f.gain
	i, gm, gds := k*vov*vov, 2*k*vov*dvov, 0.0
	if vds < vov {
		i, gm, gds = k*(2*vov-vds)*vds, 2*k*vds*dvov, 2*k*(vov-vds)
	}
	path(3, current, slope, d, s, f.sign*i, gds, d, s)
	path(3, current, slope, d, s, 0, gm, gate, s)
	resistive(3, v, current, slope, drain, origin, f.leak)
	if !f.junction {
		f.diodeFrom(v, current, slope, origin, drain)
		return
	}
	f.diodeFrom(v, current, slope, gate, origin)
	f.diodeFrom(v, current, slope, gate, drain)
}

// diodeFrom is the diode from a to b of an n-channel device.
func (f *fet) diodeFrom(v, current, slope []float64, a, b int) {
	if f.sign < 0 {
		a, b = b, a
	}
	diodePath(3, v, current, slope, a, b, f.diode)
}

func (f *fet) tame(old, next []float64) {
	a, b := origin, drain
	if f.junction {
		a, b = gate, origin
	}
	if f.sign < 0 {
		tamePair(f.diode, old, next, b, a)
		return
	}
	tamePair(f.diode, old, next, a, b)
}

// makeFET resolves a field-effect transistor. A junction FET is known by any
// two of pinch-off, zero-bias current and transconductance there; a MOSFET by
// threshold and transconductance, which holds at a volt of overdrive where no
// current is given.
func makeFET(r *resolver) func(*assembly) {
	f := fet{sign: 1, leak: 1e-10, gain: 1}
	if r.part.Kind == circuit.JFETP || r.part.Kind == circuit.MOSFETP {
		f.sign = -1
	}
	f.junction = r.part.Kind == circuit.JFETN || r.part.Kind == circuit.JFETP
	vt := thermalVoltage(r.opt.Temperature)
	if f.junction {
		f.diode = fit(0.7, 0.001, vt, 10)
		r.junctionFET(&f)
	} else {
		f.diode = fit(0.8, 0.1, 1.2*vt, 0.1)
		r.insulatedFET(&f)
	}
	r.spread(KnobGain, gainSpread, trade)
	r.spread(KnobDrop, 0.1*math.Abs(f.threshold), trade)
	return func(b *assembly) {
		e := f
		b.device(&e, b.lead("d"), b.lead("g"), b.lead("s"))
	}
}

func (r *resolver) junctionFET(f *fet) {
	idss, okI := r.known("zero-bias current")
	gm, okG := r.known("transconductance")
	pinch, okP := r.known("threshold")
	zero := math.Abs(idss.Value)
	off := math.Abs(pinch.Value)
	switch {
	case !okP && okI && okG && gm.Value > 0:
		off = 2 * zero / gm.Value
	case okP && !okI && okG:
		zero = math.Abs(gm.Value) * off / 2
	}
	if off < least {
		off = 2
		r.note("threshold", -off, q.Volt, memory)
	}
	if zero <= 0 {
		zero = 0.005
		r.note("zero-bias current", zero, q.Ampere, memory)
	}
	f.threshold, f.k = -off, zero/(off*off)
}

func (r *resolver) insulatedFET(f *fet) {
	f.threshold = f.sign * r.amount("threshold", f.sign*2, q.Volt, memory)
	gm, ok := r.known("transconductance")
	if !ok || gm.Value <= 0 {
		gm.Value = 0.1
		r.note("transconductance", gm.Value, q.Siemens, memory)
	}
	f.k = gm.Value / 2
	if gm.At != nil && *gm.At > 0 {
		f.k = gm.Value * gm.Value / (4 * *gm.At)
	}
}
