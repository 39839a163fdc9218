package diagnosis

import (
	"fmt"

	"foilside/internal/circuit"
)

// Name is how a part fails.
type Name string

// The faults of the contract.
const (
	Open           Name = "open"
	Short          Name = "short"
	Leaky          Name = "leaky"
	ValueHigh      Name = "value-high"
	ValueLow       Name = "value-low"
	LowGain        Name = "low-gain"
	HighResistance Name = "high-resistance"
	Stuck          Name = "stuck"
	ShortedTurns   Name = "shorted-turns"
	DryJoint       Name = "dry-joint"
	Bridge         Name = "bridge"
	Dirt           Name = "dirt"
	Dead           Name = "dead"
	None           Name = "none"
)

// Fault is one way in which the unit may have failed.
type Fault struct {
	Part  circuit.PartRef    // empty for a bridge, dirt or none
	Name  Name               //
	Lead  circuit.LeadName   // where it sits on one lead: open at c, dry joint
	Leads []circuit.LeadName // the two leads between which a part with more than two is short or leaky
	Nets  []circuit.NetID    // bridge and dirt: the two nets; a cracked track: its net
	Away  []circuit.LeadRef  // a cracked track: the leads that it parts from the others
	Word  string             // what else tells it apart: a winding, the contact where it is stuck
	Prior float64            // relative weight before any reading
	Basis string             // where the weight is from
}

// String says the fault as one would on the bench: "Q1 open at c".
func (f Fault) String() string {
	switch {
	case f.Name == None:
		return "no fault"
	case len(f.Away) > 0:
		return fmt.Sprintf("track of %s cracked: %s parted from the others", f.Nets[0], leadList(f.Away))
	case len(f.Nets) == 2:
		return fmt.Sprintf("%s between %s and %s", f.Name, f.Nets[0], f.Nets[1])
	}
	text := fmt.Sprintf("%s %s", f.Part, f.Name)
	if f.Lead != "" {
		text += " at " + string(f.Lead)
	}
	if len(f.Leads) == 2 {
		text += fmt.Sprintf(" from %s to %s", f.Leads[0], f.Leads[1])
	}
	if f.Word != "" {
		text += " (" + f.Word + ")"
	}
	return text
}

// leadList writes leads as R1.2, C3.1.
func leadList(leads []circuit.LeadRef) string {
	var words []string
	for _, l := range leads {
		words = append(words, fmt.Sprintf("%s.%s", l.Part, l.Lead))
	}
	return listed(words)
}
