package diagnosis

import (
	"foilside/internal/circuit"
	"foilside/internal/meter"
)

// Check is a reading that can be taken: one meter function between a red and
// a black lead at two nets in one state.
type Check struct {
	Mode  meter.Mode    `json:"mode"`
	Red   circuit.NetID `json:"red"`
	Black circuit.NetID `json:"black"`
	State string        `json:"state"`
}

// Reading is a check that was taken.
type Reading struct {
	Check
	Meter     *meter.Meter `json:"-"` // nil: the case's own
	Value     float64      `json:"value"`
	Overrange bool         `json:"overrange,omitempty"`
}

// Symptom is what a person saw or heard of a part without a meter.
type Symptom struct {
	Part  circuit.PartRef `json:"part"`
	Seen  string          `json:"seen"`
	State string          `json:"state,omitempty"`
}

// Evidence is all that is known of the faulty unit.
type Evidence struct {
	Readings []Reading
	Symptoms []Symptom
}
