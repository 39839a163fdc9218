package circuit

import (
	"fmt"
	"math"
)

// Problem is something wrong, or doubtful, about a circuit, in the circuit's
// own words.
type Problem struct {
	Part PartRef `json:"part,omitempty"`
	Net  NetID   `json:"net,omitempty"`
	Text string  `json:"text"`
	// Warning: the circuit can be worked with all the same.
	Warning bool `json:"warning,omitempty"`
}

// Validate lists what breaks the invariants of the package, and warns of a
// net that has one lead only. It returns nil for a sound circuit.
func (c *Circuit) Validate() []Problem {
	var out []Problem
	seen := map[PartRef]bool{}
	for _, p := range c.Parts {
		if seen[p.Ref] {
			out = append(out, Problem{Part: p.Ref, Text: fmt.Sprintf("%s stands twice; give one of them another reference", p.Ref)})
		}
		seen[p.Ref] = true
		out = append(out, p.validate()...)
	}
	out = append(out, c.validateStates()...)
	for _, n := range c.Nets() {
		if len(n.Leads) == 1 && !c.mayEndAlone(n.Leads[0].Part) {
			l := n.Leads[0]
			out = append(out, Problem{Net: n.ID, Part: l.Part, Warning: true,
				Text: fmt.Sprintf("net %s has one lead only, %s of %s; is a joint or a wire missing?", n.ID, l.Lead, l.Part)})
		}
	}
	return out
}

func (c *Circuit) mayEndAlone(ref PartRef) bool {
	p, _ := c.Part(ref)
	return p.Kind == Connector || p.Kind == TestPoint
}

func (p Part) validate() []Problem {
	info, ok := Lookup(p.Kind)
	if !ok {
		return []Problem{{Part: p.Ref, Text: fmt.Sprintf("%s: there is no kind %q", p.Ref, p.Kind)}}
	}
	var out []Problem
	problem := func(format string, args ...any) {
		out = append(out, Problem{Part: p.Ref, Text: string(p.Ref) + ": " + fmt.Sprintf(format, args...)})
	}
	for _, name := range LeadNames(p.Kind, p.Windings, p.Poles()) {
		if p.Net(name) == "" {
			problem("lead %s of a %s is missing", name, info.Noun)
		}
	}
	if info.AnyLead && len(p.Leads) == 0 {
		problem("a %s needs at least one lead", info.Noun)
	}
	for name, a := range p.Amounts {
		if param, ok := info.Param(name); !ok || len(param.Units) == 0 {
			problem("a %s has no amount %q", info.Noun, name)
		} else if math.IsNaN(a.Value) || math.IsInf(a.Value, 0) {
			problem("%s is no number", name)
		}
	}
	return out
}

func (c *Circuit) validateStates() []Problem {
	var out []Problem
	for _, s := range c.States {
		for ref := range s.Settings {
			if _, ok := c.Part(ref); !ok {
				out = append(out, Problem{Part: ref, Text: fmt.Sprintf("state %s sets %s, which is not in the circuit", s.Name, ref)})
			}
		}
	}
	return out
}
