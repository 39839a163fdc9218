package sim

import "math"

// opamp is an operational amplifier of the 741 class. Ends: +in, −in, out,
// v+, v−.
//
// The output is a voltage behind 75 Ω that follows 2e5 times the input
// difference between limits 1.2 V inside the rails, and gives at most 25 mA;
// what it gives comes from the rails. The inputs have 2 MΩ between them and
// each takes 80 nA.
//
// Limits: no offset, no frequency response; steady voltages only.
// Source: data-sheet figures of the class, from memory.
type opamp struct{}

const (
	inPlus = iota
	inMinus
	outEnd
	railPlus
	railMinus
)

const (
	openLoop    = 2e5
	railMargin  = 1.2
	opampOhms   = 75.0
	opampLimit  = 0.025
	opampBias   = 80e-9
	opampSupply = 1.7e-3
)

func (opamp) joined() [][2]int {
	return [][2]int{{inPlus, inMinus}, {inPlus, railMinus}, {outEnd, railMinus}, {railPlus, railMinus}}
}

func (opamp) tune(tuning) {}

func (opamp) tame(old, next []float64) {}

func (o opamp) flow(v, current, slope []float64) { numericSlopes(v, current, slope, o.currents) }

func (opamp) currents(v, current []float64) {
	alive, half, middle := opampRails(v)
	target := middle + half*math.Tanh(openLoop*(v[inPlus]-v[inMinus])/half)
	opampOutput(v, current, alive, target)
	flows(current, railPlus, railMinus, opampSupply*math.Tanh((v[railPlus]-v[railMinus])/2))
	opampInputs(v, current, alive)
}

// opampRails tells whether it works at all, and between which limits.
func opampRails(v []float64) (alive, half, middle float64) {
	supply := v[railPlus] - v[railMinus]
	alive = 0.5 * (1 + math.Tanh((supply-3)/0.3)) // it needs some 3 V to work
	return alive, atLeast(supply/2-railMargin, 0.01, 0.01), (v[railPlus] + v[railMinus]) / 2
}

// opampOutput drives the output towards target, with current from the rails.
func opampOutput(v, current []float64, alive, target float64) {
	i := alive * opampLimit * math.Tanh((target-v[outEnd])/opampOhms/opampLimit)
	from, _ := smoothPositive(i, 1e-6)
	flows(current, railPlus, outEnd, from)
	flows(current, railMinus, outEnd, i-from)
	flows(current, outEnd, railMinus, 1e-9*(v[outEnd]-v[railMinus]))
}

// opampInputs is what the inputs take.
func opampInputs(v, current []float64, alive float64) {
	flows(current, inPlus, inMinus, (v[inPlus]-v[inMinus])/2e6)
	for _, in := range []int{inPlus, inMinus} {
		flows(current, in, railMinus, alive*opampBias+1e-12*(v[in]-v[railMinus]))
	}
}

func makeOpAmp(*resolver) func(*assembly) {
	return func(b *assembly) {
		b.device(opamp{}, b.lead("+in"), b.lead("-in"), b.lead("out"), b.lead("v+"), b.lead("v-"))
	}
}
