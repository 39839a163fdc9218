package sim

import (
	"math"

	"foilside/internal/circuit"
)

// thyristorMoving is the thyristor of thyristor with latching current and
// turn-off time. Ends: main terminals, gate, stored charge, the reference.
//
// The charge node s follows the current, 1 V for each ampere, with a time
// constant: s is what of the current's carriers is still there. Fired, it
// stays on while the gate fires it or once its current has passed latching;
// latched, it lets go when both current and charge are below holding. Voltage
// that comes back before then finds it conducting.
//
// Limits: no effect of the slope of voltage or current; the quadrants of a
// triac are alike.
// Source: General Electric SCR Manual, chapters 1 and 5 (from memory).
type thyristorMoving struct {
	thyristor
	state int8 // off, fired, held
}

const (
	off = iota
	fired
	held
)

const (
	charges = trigger + 1 + iota
	ground
)

const (
	// latchingShare is latching over holding current, from memory.
	latchingShare = 2.0
	// turnOff is the turn-off time of a small thyristor from a hundred times
	// its holding current, from memory.
	turnOff = 20e-6
)

func (t *thyristorMoving) joined() [][2]int {
	return append(t.thyristor.joined(), [2]int{charges, ground})
}

func (t *thyristorMoving) flow(v, current, slope []float64) {
	const n = 5
	resistive(n, v, current, slope, mainA, mainK, 1e-9)
	resistive(n, v, current, slope, trigger, mainK, 1e-9)
	diodePath(n, v, current, slope, trigger, mainK, t.gate)
	if t.both {
		diodePath(n, v, current, slope, mainK, trigger, t.gate)
	}
	resistive(n, v, current, slope, charges, ground, 1)
	if t.state == off {
		return
	}
	t.conduct(v, current, slope, mainA, mainK)
	if t.both {
		t.conduct(v, current, slope, mainK, mainA)
	}
}

// conduct passes current from a to b and stores as much.
func (t *thyristorMoving) conduct(v, current, slope []float64, a, b int) {
	i, g := t.on.at(v[a] - v[b])
	path(5, current, slope, a, b, i, g, a, b)
	path(5, current, slope, ground, charges, i, g, a, b)
}

func (t *thyristorMoving) tame(old, next []float64) {
	tamePair(t.gate, old, next, trigger, mainK)
	if t.state != off {
		tamePair(t.on, old, next, mainA, mainK)
	}
}

func (t *thyristorMoving) rest() { t.state = off }

func (t *thyristorMoving) turn(v []float64) bool {
	was := t.state
	across := v[mainA] - v[mainK]
	if t.both {
		across = math.Abs(across)
	}
	i, _ := t.on.at(across)
	switch {
	case was == off:
		if across > t.blocking || (across > latchVolts && t.triggered(v)) {
			t.state = fired
		}
	case was == fired && i >= latchingShare*t.holding:
		t.state = held
	case was == fired && !t.triggered(v) && across < t.blocking:
		t.state = off
	case was == held && i < t.holding && v[charges]-v[ground] < t.holding && !t.triggered(v):
		t.state = off
	}
	return t.state != was
}

func (t *thyristorMoving) mode() int8 { return t.state }

// restore takes the mode of thyristor too: latched is held.
func (t *thyristorMoving) restore(m int8) { t.state = m }

func moveThyristor(r *resolver, _ func(*assembly)) func(*assembly) {
	t := r.thyristor()
	a, k := thyristorLeads(t.both)
	return func(b *assembly) {
		e := &thyristorMoving{thyristor: t}
		s := b.helper()
		b.device(e, b.lead(a), b.lead(k), b.lead("g"), s, terminal{})
		b.store(s, terminal{}, turnOff/math.Log(100), 0)
	}
}

// thyristorLeads are its main terminals, the positive one first.
func thyristorLeads(both bool) (a, k circuit.LeadName) {
	if both {
		return "mt2", "mt1"
	}
	return "a", "k"
}
