package sim

import (
	"math"
	"math/rand/v2"

	"foilside/internal/circuit"
)

// Knob tells what of a part a Spread or a scale change turns.
type Knob string

// The knobs.
const (
	KnobValue Knob = "value" // the main value: ohms, volts of a source, zener voltage
	KnobGain  Knob = "gain"  // a transistor's gain
	KnobDrop  Knob = "drop"  // a junction's forward drop
)

// Spread is one independent uncertainty of a good unit.
//
// A score s from −1 to 1 turns the knob: value and gain are multiplied by
// 1 + s·Width (value) or (1+Width)^s (gain), the drop of a junction grows by
// s·Width volts.
type Spread struct {
	Part   circuit.PartRef
	Knob   Knob
	Width  float64
	Source string
}

// Draw is one good unit among many: a score for every spread of the model.
// Nil is the nominal unit.
type Draw []float64

// Draws makes count units whose scores fill the range −1…1 of every spread
// evenly, the same for every call with the same arguments.
//
// Method: Latin hypercube, each of count equal slices of every range used
// once, in an order shuffled by a generator with a fixed seed.
// Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979)
// 239–245 (from memory).
func (m *Model) Draws(count int, seed uint64) []Draw {
	draws := make([]Draw, count)
	for i := range draws {
		draws[i] = make(Draw, len(m.spreads))
	}
	rng := rand.New(rand.NewPCG(seed, 0x466f696c))
	for k := range m.spreads {
		for i, slice := range rng.Perm(count) {
			draws[i][k] = 2*(float64(slice)+rng.Float64())/float64(count) - 1
		}
	}
	return draws
}

// tuning is how a draw and the changes of a variant turn one part's knobs.
type tuning struct {
	value float64 // factor
	gain  float64 // factor
	drop  float64 // volts added
}

// turn applies one score.
func (t *tuning) turn(s Spread, score float64) {
	switch s.Knob {
	case KnobValue:
		t.value *= 1 + score*s.Width
	case KnobGain:
		t.gain *= math.Exp(score * math.Log1p(s.Width))
	case KnobDrop:
		t.drop += score * s.Width
	}
}
