package sim

import "math"

// opampMoving is the operational amplifier of opamp with one pole: a stage of
// limited current into a capacitor, whose voltage (end inner) the output
// follows. At rest it does what opamp does, but for some millivolts at the
// rails.
//
// Limits: one pole; no slewing of the common mode.
// Source: gain–bandwidth product and slew rate of the class, from memory; the
// macromodel after J. E. Solomon, IEEE J. Solid-State Circuits 9 (1974)
// 314–332 (from memory).
type opampMoving struct{}

const (
	inner       = railMinus + 1
	opampSpeed  = 1e6   // hertz at a gain of one
	opampSlew   = 0.5e6 // volts a second
	opampStore  = 30e-12
	opampTail   = opampSlew * opampStore // amperes
	opampClamps = 1e-3                   // siemens by which the rails hold the inner stage
)

func (opampMoving) joined() [][2]int { return append(opamp{}.joined(), [2]int{inner, railMinus}) }

func (opampMoving) tune(tuning) {}

func (opampMoving) tame(old, next []float64) {}

func (o opampMoving) flow(v, current, slope []float64) { numericSlopes(v, current, slope, o.currents) }

// currents: the inner end stands at the middle of the rails when nothing is
// amplified.
func (opampMoving) currents(v, current []float64) {
	alive, half, middle := opampRails(v)
	gm := 2 * math.Pi * opampSpeed * opampStore
	up := v[inner] - middle
	i := opampTail*math.Tanh(gm*(v[inPlus]-v[inMinus])/opampTail) - gm/openLoop*up
	over, _ := smoothPositive(up-half, 1e-3)
	under, _ := smoothPositive(-up-half, 1e-3)
	flows(current, inner, railMinus, opampClamps*(over-under)-i)
	opampOutput(v, current, alive, v[inner])
	flows(current, railPlus, railMinus, opampSupply*math.Tanh((v[railPlus]-v[railMinus])/2))
	opampInputs(v, current, alive)
}

func moveOpAmp(*resolver, func(*assembly)) func(*assembly) {
	return func(b *assembly) {
		z, low := terminal{node: b.node()}, b.lead("v-")
		b.device(opampMoving{}, b.lead("+in"), b.lead("-in"), b.lead("out"), b.lead("v+"), low, z)
		b.store(z, terminal{node: low.node}, opampStore, 0)
	}
}
