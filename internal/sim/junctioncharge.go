package sim

import "foilside/internal/circuit"

// Capacitances of junctions, in farads: constant, with the middle of what the
// class has over its range of voltages. They stand for all charge in a device
// and keep what switches by itself from doing so in no time. From memory,
// typical of makers' data sheets.
const (
	smallDiode   = 4e-12
	rectifier    = 30e-12
	zenerDiode   = 100e-12
	lightDiode   = 30e-12
	baseEmitter  = 10e-12
	baseOut      = 4e-12 // base to collector
	largeFactor  = 20.0  // of a power transistor over a small one
	gateJunction = 4e-12
	gateOxide    = 50e-12
)

func moveDiode(r *resolver, still func(*assembly)) func(*assembly) {
	farads := smallDiode
	switch {
	case r.part.Kind == circuit.Zener:
		farads = zenerDiode
	case r.part.Kind == circuit.LED:
		farads = lightDiode
	case r.isRectifier():
		farads = rectifier
	}
	return func(b *assembly) {
		still(b)
		if r.part.Kind != circuit.Bridge {
			b.store(b.lead("a"), b.lead("k"), farads, 0)
			return
		}
		for _, ac := range []circuit.LeadName{"ac1", "ac2"} {
			b.store(b.lead(ac), b.lead("+"), farads, 0)
			b.store(b.lead("-"), b.lead(ac), farads, 0)
		}
	}
}

func moveBipolar(r *resolver, still func(*assembly)) func(*assembly) {
	factor := 1.0
	if f, ok := r.lookup("current"); ok && f.Value >= powerTransistor {
		factor = largeFactor
	}
	return func(b *assembly) {
		still(b)
		b.store(b.lead("b"), b.lead("e"), factor*baseEmitter, 0)
		b.store(b.lead("b"), b.lead("c"), factor*baseOut, 0)
	}
}

func moveFET(r *resolver, still func(*assembly)) func(*assembly) {
	farads := gateJunction
	if r.part.Kind == circuit.MOSFETN || r.part.Kind == circuit.MOSFETP {
		farads = gateOxide
	}
	return func(b *assembly) {
		still(b)
		b.store(b.lead("g"), b.lead("s"), farads, 0)
		b.store(b.lead("g"), b.lead("d"), farads, 0)
	}
}
