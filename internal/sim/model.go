package sim

import (
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
	"foilside/internal/quantity"
)

// RoomTemperature is 25 °C in kelvin, where data sheets state their figures.
const RoomTemperature = 298.15

// Shelf knows parameters by type number. The parts shelf of the marking room
// serves; nil stands for an empty one.
type Shelf interface {
	// Amount returns a parameter of a type and where it is from.
	Amount(kind circuit.Kind, typeNumber, param string) (a circuit.Amount, source string, ok bool)
	// Word returns a parameter that is a word.
	Word(kind circuit.Kind, typeNumber, param string) (word, source string, ok bool)
}

// Options are what a model is built with.
type Options struct {
	Shelf       Shelf
	Temperature float64 // kelvin; 0 stands for RoomTemperature
}

// Use is one parameter as the model took it, for the parts shelf.
type Use struct {
	Part   circuit.PartRef `json:"part"`
	Name   string          `json:"name"`
	Value  float64         `json:"value"`
	Unit   quantity.Unit   `json:"unit"`
	Source string          `json:"source"` // "given", or where the default is from
}

// Model is a circuit with its parameters resolved, ready for any state.
type Model struct {
	circuit   *circuit.Circuit
	opt       Options
	reference circuit.NetID
	nets      []circuit.NetID
	netIndex  map[circuit.NetID]int
	partIndex map[circuit.PartRef]int
	parts     []partModel
	spreads   []Spread
	spreadOf  []int // index of the part of each spread
	uses      []Use
	patterns  patterns
}

// partModel is one part: its leads and what makes its elements.
type partModel struct {
	part    circuit.Part
	leadNet []int // index of the net of each lead
	build   func(b *assembly)
}

// lead returns the index of a named lead, or −1.
func (p *partModel) lead(name circuit.LeadName) int {
	return slices.IndexFunc(p.part.Leads, func(l circuit.Lead) bool { return l.Name == name })
}

// Compile resolves every parameter of the circuit and prepares its equations.
//
// Errors: *UnmodelledError listing every part without a model; *ProblemError
// for a value that is missing or makes no sense.
func Compile(c *circuit.Circuit, opt Options) (*Model, error) {
	if opt.Temperature == 0 {
		opt.Temperature = RoomTemperature
	}
	m := &Model{circuit: c, opt: opt, reference: referenceNet(c), netIndex: map[circuit.NetID]int{}, partIndex: map[circuit.PartRef]int{},
		patterns: patterns{made: map[string]*sparse.Symbolic{}}}
	for _, n := range c.Nets() {
		m.netIndex[n.ID] = len(m.nets)
		m.nets = append(m.nets, n.ID)
	}
	if err := refuseUnmodelled(c); err != nil {
		return nil, err
	}
	if err := refuseUnsound(c); err != nil {
		return nil, err
	}
	var problems []circuit.Problem
	for _, p := range c.Parts {
		info, _ := circuit.Lookup(p.Kind)
		r := &resolver{part: p, info: info, opt: opt}
		pm := partModel{part: p}
		for _, l := range p.Leads {
			pm.leadNet = append(pm.leadNet, m.netIndex[l.Net])
		}
		pm.build = builderOf(p.Kind)(r)
		for range r.spreads {
			m.spreadOf = append(m.spreadOf, len(m.parts))
		}
		m.partIndex[p.Ref] = len(m.parts)
		m.parts = append(m.parts, pm)
		m.uses = append(m.uses, r.uses...)
		m.spreads = append(m.spreads, r.spreads...)
		problems = append(problems, r.problems...)
	}
	if problems != nil {
		return nil, &ProblemError{problems}
	}
	return m, nil
}

// refuseUnsound returns what breaks the invariants of package circuit.
func refuseUnsound(c *circuit.Circuit) error {
	var bad []circuit.Problem
	for _, p := range c.Validate() {
		if !p.Warning {
			bad = append(bad, p)
		}
	}
	if bad != nil {
		return &ProblemError{bad}
	}
	return nil
}

func refuseUnmodelled(c *circuit.Circuit) error {
	var missing []Unmodelled
	for _, p := range c.Parts {
		if builderOf(p.Kind) == nil {
			missing = append(missing, Unmodelled{p.Ref, p.Kind})
		}
	}
	if missing != nil {
		return &UnmodelledError{missing}
	}
	return nil
}

// referenceNet is the net at 0 V: the common one where it is named, else the
// negative side of the first source, else the first net.
func referenceNet(c *circuit.Circuit) circuit.NetID {
	nets := c.Nets()
	if slices.ContainsFunc(nets, func(n circuit.Net) bool { return n.ID == c.Common }) {
		return c.Common
	}
	for _, p := range c.Parts {
		if p.Kind == circuit.Battery || p.Kind == circuit.Supply {
			return p.Net("-")
		}
	}
	if len(nets) == 0 {
		return ""
	}
	return nets[0].ID
}

// Reference is the net that voltages refer to.
func (m *Model) Reference() circuit.NetID { return m.reference }

// Circuit is what the model was compiled from. It must not be changed.
func (m *Model) Circuit() *circuit.Circuit { return m.circuit }

// Nets lists the nets in natural order.
func (m *Model) Nets() []circuit.NetID { return slices.Clone(m.nets) }

// Parameters lists every parameter as the model took it, with its source.
func (m *Model) Parameters() []Use { return slices.Clone(m.uses) }

// Spreads lists what tolerance draws vary, in the order of a Draw's scores.
func (m *Model) Spreads() []Spread { return slices.Clone(m.spreads) }
