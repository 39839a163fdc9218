package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// thyristor is a thyristor or a triac: off or latched. Ends: main terminal
// that is positive in the forward direction, the other one, gate.
//
// Off it is a leakage, with the gate a diode to the second end (both ways
// round in a triac). It latches when the gate is given its trigger current
// while the main terminals stand above a volt, or when they pass the blocking
// voltage; it lets go when the current falls below holding and the gate no
// longer triggers. Latched it is a diode of 1 V at 1 A.
//
// Limits: no rate effects; the quadrants of a triac are alike.
// Source: General Electric SCR Manual, chapters 1 and 4 (from memory).
type thyristor struct {
	both     bool // a triac
	trigger  float64
	holding  float64
	blocking float64
	gate     law
	on       law
	latched  bool
}

const (
	mainA = iota
	mainK
	trigger
)

// latchVolts is what must stand across it for the gate to fire it.
const latchVolts = 1.0

func (t *thyristor) joined() [][2]int { return [][2]int{{mainA, mainK}, {trigger, mainK}} }

func (t *thyristor) tune(tuning) {}

func (t *thyristor) flow(v, current, slope []float64) {
	resistive(3, v, current, slope, mainA, mainK, 1e-9)
	resistive(3, v, current, slope, trigger, mainK, 1e-9)
	diodePath(3, v, current, slope, trigger, mainK, t.gate)
	if t.both {
		diodePath(3, v, current, slope, mainK, trigger, t.gate)
	}
	if !t.latched {
		return
	}
	diodePath(3, v, current, slope, mainA, mainK, t.on)
	if t.both {
		diodePath(3, v, current, slope, mainK, mainA, t.on)
	}
}

func (t *thyristor) tame(old, next []float64) {
	tamePair(t.gate, old, next, trigger, mainK)
	if t.latched {
		tamePair(t.on, old, next, mainA, mainK)
	}
}

// triggered tells whether the gate alone would keep it on.
func (t *thyristor) triggered(v []float64) bool {
	i, _ := t.gate.at(v[trigger] - v[mainK])
	if t.both {
		back, _ := t.gate.at(v[mainK] - v[trigger])
		i = math.Abs(i - back)
	}
	return i >= t.trigger
}

func (t *thyristor) rest() { t.latched = false }

func (t *thyristor) turn(v []float64) bool {
	across := v[mainA] - v[mainK]
	if t.both {
		across = math.Abs(across)
	}
	if !t.latched {
		t.latched = across > t.blocking || (across > latchVolts && t.triggered(v))
		return t.latched
	}
	i, _ := t.on.at(across)
	t.latched = i >= t.holding || t.triggered(v)
	return !t.latched
}

func (t *thyristor) mode() int8 { return oneIf(t.latched) }

func (t *thyristor) restore(m int8) { t.latched = m != 0 }

func oneIf(b bool) int8 {
	if b {
		return 1
	}
	return 0
}

// thyristor resolves a thyristor or triac. Data sheets state the gate current
// that surely fires any of the type; a common one fires at half.
func (r *resolver) thyristor() thyristor {
	t := thyristor{both: r.part.Kind == circuit.Triac}
	igt := r.positive("gate trigger current", 0.005, q.Ampere, memory)
	vgt := math.Max(r.positive("gate trigger voltage", 0.7, q.Volt, memory), 0.1)
	t.trigger = igt / 2
	t.holding = r.positive("holding current", 0.01, q.Ampere, memory)
	t.blocking = r.positive("blocking voltage", 400, q.Volt, memory)
	vt := thermalVoltage(r.opt.Temperature)
	t.gate = fit(vgt, igt, vt, 1)
	t.on = fit(1, 1, 1.5*vt, 0.1)
	return t
}

func makeThyristor(r *resolver) func(*assembly) {
	t := r.thyristor()
	a, k := thyristorLeads(t.both)
	return func(b *assembly) {
		e := t
		b.device(&e, b.lead(a), b.lead(k), b.lead("g"))
	}
}
