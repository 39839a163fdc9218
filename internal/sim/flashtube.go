package sim

import (
	"math"

	q "foilside/internal/quantity"
)

// flashTube is a flash tube over time. Ends: anode, cathode, trigger.
//
// Dark it is an insulation, with a few picofarads from the trigger electrode
// to the cathode. It strikes when the trigger passes its voltage while the
// tube stands above the least voltage that carries an arc, or by itself above
// hold-off. Struck it is an arc behind its resistance until the current falls
// below what keeps the gas ionised: fed with more than that, it stays lit
// (C71, US Army TM 9-6625-2465-15 §3.2.2).
//
// Limits: the arc's resistance is the same over the flash, which in truth
// falls with the root of the current (J. H. Goncz, J. Appl. Phys. 36 (1965)
// 742; C67); gas cools at once when the arc is out.
type flashTube struct {
	gas
	fires float64 // volts of the trigger
	least float64 // volts that an arc needs to form
}

// Figures of flash tubes, from memory: trigger of a small xenon tube, its
// least working voltage over hold-off, and the trigger wire's capacitance.
const (
	flashTrigger  = 4000.0
	flashLeast    = 0.25
	triggerFarads = 5e-12
)

const triggerWire = 2

func (t *flashTube) joined() [][2]int { return [][2]int{{0, 1}, {triggerWire, 1}} }

func (t *flashTube) flow(v, current, slope []float64) {
	const n = 3
	resistive(n, v, current, slope, 0, 1, t.dark)
	resistive(n, v, current, slope, triggerWire, 1, t.dark)
	if t.struck != 0 {
		i := (v[0] - v[1] - float64(t.struck)*t.maintaining) / t.ohms
		path(n, current, slope, 0, 1, i, 1/t.ohms, 0, 1)
	}
}

func (t *flashTube) turn(v []float64) bool {
	across := v[0] - v[1]
	if t.struck == 0 && math.Abs(across) > t.least && math.Abs(v[triggerWire]-v[1]) > t.fires {
		t.struck = 1
		if across < 0 {
			t.struck = -1
		}
		return true
	}
	return t.gas.turn(v)
}

// flash resolves a flash tube as a gas tube.
func (r *resolver) flash() gas {
	hold := r.positive("hold-off voltage", 1000, q.Volt, memory)
	return gas{striking: hold, maintaining: 0.1 * hold, ohms: r.positive("arc resistance", 1, q.Ohm, memory), least: 1, dark: 1e-11}
}

func moveFlashTube(r *resolver, _ func(*assembly)) func(*assembly) {
	t := flashTube{gas: r.flash(), fires: r.positive("trigger voltage", flashTrigger, q.Volt, memory)}
	t.least = flashLeast * t.striking
	return func(b *assembly) {
		e := t
		b.device(&e, b.lead("a"), b.lead("k"), b.lead("t"))
		b.store(b.lead("t"), b.lead("k"), triggerFarads, 0)
	}
}
