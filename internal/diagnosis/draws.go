package diagnosis

import (
	"math"
	"math/rand/v2"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// drawUnits makes the good units that readings are foretold for: their
// tolerances and what nobody gave. They come in rounds, each of which fills
// the ranges evenly by itself, so that the first round can be used alone.
//
// The units without power have draws of their own for what behaves otherwise
// cold: lamps.
func (p *Predictor) drawUnits() {
	n := p.opt.Draws
	rng := rand.New(rand.NewPCG(p.opt.Seed, 0x72756e67))
	for round := range uint64(rounds) {
		draws := p.model.Draws(n, p.opt.Seed+round)
		for _, slice := range rng.Perm(n) {
			p.within = append(p.within, (float64(slice)+rng.Float64())/float64(n))
		}
		p.widen(draws, rng)
		p.draws = append(p.draws, draws...)
		p.cold = append(p.cold, p.coldLamps(draws)...)
	}
}

// vague is how far a parameter that nobody gave may be from the default, as a
// factor either way. Common practice.
func vague(k circuit.Kind) float64 {
	switch k {
	case circuit.Fuse, circuit.Inductor, circuit.Transformer:
		return 5
	case circuit.Earphone, circuit.Buzzer, circuit.Motor, circuit.MeterMovement, circuit.Relay, circuit.Heater:
		return 4
	case circuit.Speaker, circuit.Lamp:
		return 1.5
	}
	return 1
}

// widerDrop is how much further junction drops are drawn than one type
// scatters: temperature and the shape of the law count as well, and at small
// currents, as in ohms readings, 20 mV are a third of the current.
const widerDrop = 1.6

// widen spreads the resistances that nobody gave over a wide range, and
// junction drops by what a model leaves out.
func (p *Predictor) widen(draws []sim.Draw, rng *rand.Rand) {
	for i, s := range p.model.Spreads() {
		if s.Knob == sim.KnobDrop {
			for k := range draws {
				draws[k][i] *= widerDrop
			}
			continue
		}
		part, _ := p.circuit.Part(s.Part)
		f := vague(part.Kind)
		if s.Knob != sim.KnobValue || f == 1 || givenResistance(part) {
			continue
		}
		for k, slice := range rng.Perm(len(draws)) {
			u := 2*(float64(slice)+rng.Float64())/float64(len(draws)) - 1
			draws[k][i] = (math.Pow(f, u) - 1) / s.Width
		}
	}
}

// givenResistance tells whether the person gave the resistance of every
// winding that the part has.
func givenResistance(p circuit.Part) bool {
	if p.Kind == circuit.Transformer {
		for _, w := range p.Windings {
			if w.Resistance == nil {
				return false
			}
		}
		return true
	}
	for _, name := range []string{"resistance", "coil resistance"} {
		if _, ok := p.Amount(name); ok {
			return true
		}
	}
	return false
}

const (
	// warmLamp is hot over cold resistance of a tungsten filament, the most
	// by which a lamp without power may read above the model. Common practice.
	warmLamp = 10
	// warmEvery: one unit in so many has lamps that read warm when cold, as
	// carbon filaments and replacements of another kind do.
	warmEvery = 4
)

// coldLamps copies draws for units without power.
func (p *Predictor) coldLamps(draws []sim.Draw) []sim.Draw {
	out := make([]sim.Draw, len(draws))
	for k, d := range draws {
		out[k] = d
		if k%warmEvery != warmEvery-1 {
			continue
		}
		out[k] = append(sim.Draw(nil), d...)
		for i, s := range p.model.Spreads() {
			if part, _ := p.circuit.Part(s.Part); part.Kind == circuit.Lamp && s.Knob == sim.KnobValue {
				out[k][i] = (warmLamp*(1+d[i]*s.Width) - 1) / s.Width
			}
		}
	}
	return out
}
