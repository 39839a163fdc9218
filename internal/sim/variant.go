package sim

import (
	"fmt"
	"math"

	"foilside/internal/circuit"
)

// Op is what a Change does to the good circuit.
type Op string

// The operations.
const (
	OpRemove Op = "remove" // the part is taken out: open in every path
	OpShort  Op = "short"  // Ohms between two leads of the part, beside what it does
	OpLift   Op = "lift"   // Ohms between a lead and its net; +Inf: not joined at all
	OpBridge Op = "bridge" // Ohms between two nets
	OpScale  Op = "scale"  // a knob of the part turned by Factor
	OpSet    Op = "set"    // the part set otherwise than the state says: a stuck switch
)

// Change is one departure from the good circuit.
type Change struct {
	Op      Op
	Part    circuit.PartRef
	Leads   [2]circuit.LeadName // OpShort: both; OpLift: the first
	Nets    [2]circuit.NetID    // OpBridge
	Ohms    float64
	Knob    Knob    // OpScale
	Factor  float64 // OpScale; for KnobDrop volts added
	Setting circuit.Setting
}

// Variant is the good circuit with changes, in any order. Nil is the good one.
type Variant []Change

// Remove takes a part out.
func Remove(p circuit.PartRef) Change { return Change{Op: OpRemove, Part: p} }

// Short puts ohms between two leads of a part.
func Short(p circuit.PartRef, a, b circuit.LeadName, ohms float64) Change {
	return Change{Op: OpShort, Part: p, Leads: [2]circuit.LeadName{a, b}, Ohms: ohms}
}

// Lift puts ohms between a lead and its net: a dry joint. Infinity is a lead
// that touches nothing.
func Lift(p circuit.PartRef, lead circuit.LeadName, ohms float64) Change {
	return Change{Op: OpLift, Part: p, Leads: [2]circuit.LeadName{lead}, Ohms: ohms}
}

// Bridge puts ohms between two nets: solder, dirt, a resistor clipped on.
func Bridge(a, b circuit.NetID, ohms float64) Change {
	return Change{Op: OpBridge, Nets: [2]circuit.NetID{a, b}, Ohms: ohms}
}

// Scale multiplies a knob of a part; the drop knob has volts added instead.
func Scale(p circuit.PartRef, k Knob, factor float64) Change {
	return Change{Op: OpScale, Part: p, Knob: k, Factor: factor}
}

// Set overrides how the state sets a part.
func Set(p circuit.PartRef, s circuit.Setting) Change {
	return Change{Op: OpSet, Part: p, Setting: s}
}

// check says what is wrong with a variant for this model.
func (m *Model) check(v Variant) error {
	for _, c := range v {
		if err := m.checkChange(c); err != nil {
			return err
		}
	}
	return nil
}

func (m *Model) checkChange(c Change) error {
	if math.IsNaN(c.Ohms) || c.Ohms < 0 || math.IsNaN(c.Factor) {
		return fmt.Errorf("change %s of %s: the amount makes no sense", c.Op, c.Part)
	}
	if c.Op == OpBridge {
		for _, n := range c.Nets {
			if _, ok := m.netIndex[n]; !ok {
				return fmt.Errorf("change bridge: there is no net %q", n)
			}
		}
		return nil
	}
	at, ok := m.partIndex[c.Part]
	if !ok {
		return fmt.Errorf("change %s: there is no part %q", c.Op, c.Part)
	}
	for i, l := range c.Leads {
		if used := c.Op == OpShort || (c.Op == OpLift && i == 0); used && m.parts[at].lead(l) < 0 {
			return fmt.Errorf("change %s: %s has no lead %q", c.Op, c.Part, l)
		}
	}
	return nil
}
