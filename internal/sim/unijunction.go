package sim

import q "foilside/internal/quantity"

// unijunction is a unijunction transistor: a bar between its bases, tapped by
// the emitter's diode. Ends: emitter, base 1, base 2, tap.
//
// Off the tap stands at the stand-off share of the bar. When the emitter
// carries more than its peak current the part of the bar below the tap falls
// to a few ohms, until the emitter carries less than its valley current.
//
// Source: LIEC Semi ch.7 (C37: peak 2 µA, valley 8 mA); saturation resistance
// from memory.
type unijunction struct {
	ratio   float64
	bar     float64 // ohms between the bases
	emitter law
	firing  bool
}

const (
	ujtEmitter = iota
	ujtBase1
	ujtBase2
	ujtTap
)

const (
	peakCurrent   = 2e-6
	peakDrop      = 0.7 // volts of the emitter's diode there
	valleyCurrent = 6e-3
	firedOhms     = 15
)

func (t *unijunction) joined() [][2]int {
	return [][2]int{{ujtEmitter, ujtTap}, {ujtTap, ujtBase1}, {ujtTap, ujtBase2}}
}

func (t *unijunction) tune(tuning) {}

func (t *unijunction) flow(v, current, slope []float64) {
	lower := t.ratio * t.bar
	if t.firing {
		lower = firedOhms
	}
	resistive(4, v, current, slope, ujtTap, ujtBase1, 1/lower)
	resistive(4, v, current, slope, ujtTap, ujtBase2, 1/((1-t.ratio)*t.bar))
	resistive(4, v, current, slope, ujtEmitter, ujtTap, 1e-10)
	diodePath(4, v, current, slope, ujtEmitter, ujtTap, t.emitter)
}

func (t *unijunction) tame(old, next []float64) { tamePair(t.emitter, old, next, ujtEmitter, ujtTap) }

func (t *unijunction) rest() { t.firing = false }

func (t *unijunction) turn(v []float64) bool {
	i, _ := t.emitter.at(v[ujtEmitter] - v[ujtTap])
	was := t.firing
	if was {
		t.firing = i >= valleyCurrent
	} else {
		t.firing = i > peakCurrent && v[ujtBase2] > v[ujtBase1]+1
	}
	return t.firing != was
}

func (t *unijunction) mode() int8 { return oneIf(t.firing) }

func (t *unijunction) restore(m int8) { t.firing = m != 0 }

func makeUnijunction(r *resolver) func(*assembly) {
	t := unijunction{ratio: r.positive("intrinsic ratio", 0.65, q.None, memory), bar: r.positive("interbase resistance", 7e3, q.Ohm, memory)}
	if t.ratio > 0.95 || t.ratio < 0.05 {
		r.complain("%s: its intrinsic ratio must lie between 0 and 1", r.part.Ref)
		t.ratio = 0.65
	}
	t.emitter = fit(peakDrop, peakCurrent, 1.5*thermalVoltage(r.opt.Temperature), 5)
	return func(b *assembly) {
		e := t
		b.device(&e, b.lead("e"), b.lead("b1"), b.lead("b2"), terminal{node: b.node()})
	}
}
