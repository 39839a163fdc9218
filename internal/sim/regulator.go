package sim

import (
	"math"

	q "foilside/internal/quantity"
)

// regulator is a fixed three-terminal regulator, positive or negative. Ends:
// in, out, com.
//
// The output holds its voltage behind 30 mΩ up to 1.5 A, falls with the input
// from 2 V of drop-out, and takes no current back; 5 mA leave at com.
//
// Source: data-sheet figures of the class, from memory.
type regulator struct {
	volts  float64 // magnitude
	sign   float64
	factor float64
}

const (
	dropOut         = 2.0
	regulatorOhms   = 0.03
	regulatorLimit  = 1.5
	regulatorSupply = 5e-3
)

func (t *regulator) joined() [][2]int { return [][2]int{{0, 2}, {1, 2}} }

func (t *regulator) tune(k tuning) { t.factor = k.value }

func (t *regulator) tame(old, next []float64) {}

func (t *regulator) flow(v, current, slope []float64) { numericSlopes(v, current, slope, t.currents) }

func (t *regulator) currents(v, current []float64) {
	in, out := t.sign*(v[0]-v[2]), t.sign*(v[1]-v[2])
	target := atMost(t.volts*t.factor, atLeast(in-dropOut, 0, 0.01), 0.01)
	i := regulatorLimit * math.Tanh((target-out)/regulatorOhms/regulatorLimit)
	give, _ := smoothPositive(i, 2e-4)
	flows(current, 0, 1, t.sign*give)
	flows(current, 0, 2, t.sign*regulatorSupply*math.Tanh(in/dropOut))
	// What its own divider takes from the output.
	flows(current, 1, 2, t.sign*out/20e3)
}

func makeRegulator(r *resolver) func(*assembly) {
	f, ok := r.known("output voltage")
	if !ok || math.Abs(f.Value) < 0.5 {
		r.complain("%s: its output voltage is not known; give it (output voltage: 5 V) or its type", r.part.Ref)
		return makeOpen(r)
	}
	t := regulator{volts: math.Abs(f.Value), sign: math.Copysign(1, f.Value), factor: 1}
	r.note("drop-out voltage", dropOut, q.Volt, memory)
	r.spread(KnobValue, 0.04, memory)
	return func(b *assembly) {
		e := t
		b.device(&e, b.lead("in"), b.lead("out"), b.lead("com"))
	}
}
