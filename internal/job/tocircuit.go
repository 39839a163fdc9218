package job

import (
	"slices"

	"foilside/internal/circuit"
)

// PlacedLead is a lead that the person placed on a photo, for board to find its
// net. Exactly one of At and Joint is set.
type PlacedLead struct {
	Lead  circuit.LeadRef `json:"lead"`
	At    *Pixel          `json:"at,omitempty"`    // on the component-side photo
	Joint *Pixel          `json:"joint,omitempty"` // on the foil-side photo
}

// PlacedLeads lists the leads that are given by a place, in the order of parts.
func (d *Document) PlacedLeads() []PlacedLead {
	var out []PlacedLead
	for _, p := range d.Parts {
		for _, l := range p.AllLeads() {
			if l.Place.At != nil || l.Place.Joint != nil {
				out = append(out, PlacedLead{circuit.LeadRef{Part: p.Ref, Lead: l.Name}, l.Place.At, l.Place.Joint})
			}
		}
	}
	return out
}

// Circuit returns the circuit of the parts whose leads are all on named nets.
// Parts with placed leads are left out; CircuitWith takes their nets.
func Circuit(d Document) (*circuit.Circuit, []circuit.Problem) { return CircuitWith(d, nil) }

// CircuitWith returns the circuit with the placed leads on the nets given.
// Parts that have a lead on no net are left out, and said so by a warning
// where nets were given. Nets that a wire joins have one name: the common's,
// else one that a person gave, else that of the wire's first end.
func CircuitWith(d Document, nets map[circuit.LeadRef]circuit.NetID) (*circuit.Circuit, []circuit.Problem) {
	c := &circuit.Circuit{Unit: d.Unit, Common: d.Common}
	var out []circuit.Problem
	kinds := kindTable{}
	for _, p := range d.Parts {
		q, lost := p.circuitPart(nets, kinds)
		if lost == "" {
			c.Parts = append(c.Parts, q)
		} else if nets != nil {
			out = append(out, circuit.Problem{Part: p.Ref, Warning: true,
				Text: string(p.Ref) + " is left out: its lead " + string(lost) + " is on no net; place it on a joint or name its net"})
		}
	}
	joinWires(c, d)
	c.SortParts()
	c.States = circuitStates(d.States, c)
	return c, append(out, c.Validate()...)
}

// circuitPart is the part on nets, or the first lead that is on none.
func (p Part) circuitPart(nets map[circuit.LeadRef]circuit.NetID, kinds kindTable) (q circuit.Part, lost circuit.LeadName) {
	q = circuit.Part{Ref: p.Ref, Kind: p.Kind, Type: p.Type, Amounts: map[string]circuit.Amount{}, Words: map[string]string{}}
	for _, x := range p.Params {
		switch {
		case x.Amount == nil:
			q.Words[x.Name] = x.Text
		case x.Name != anodeCurrent:
			q.Amounts[x.Name] = *x.Amount
		}
	}
	if at, ok := p.Param(anodeCurrent); ok {
		if gm, ok := q.Amounts["mutual conductance"]; ok && gm.At == nil {
			gm.At = &at
			q.Amounts["mutual conductance"] = gm
		}
	}
	for _, w := range p.Windings {
		q.Windings = append(q.Windings, w.circuitWinding())
	}
	for _, l := range p.orderedLeads(kinds) {
		net := l.Place.Net
		if net == "" {
			net = nets[circuit.LeadRef{Part: p.Ref, Lead: l.Name}]
		}
		if net == "" {
			return q, l.Name
		}
		q.Leads = append(q.Leads, circuit.Lead{Name: l.Name, Net: net})
	}
	return q, ""
}

func (w Winding) circuitWinding() circuit.Winding {
	out := circuit.Winding{Name: w.Name, Turns: w.Turns}
	if w.Resistance != nil {
		v := w.Resistance.Amount.Value
		out.Resistance = &v
	}
	if w.Inductance != nil {
		v := w.Inductance.Amount.Value
		out.Inductance = &v
	}
	return out
}

// orderedLeads are the leads in the order of the kind's table.
func (p Part) orderedLeads(kinds kindTable) []Lead {
	leads := p.AllLeads()
	info, _ := kinds.lookup(p.Kind)
	if want := leadNames(info, &p); want != nil && len(p.Windings) == 0 {
		slices.SortStableFunc(leads, func(a, b Lead) int { return slices.Index(want, a.Name) - slices.Index(want, b.Name) })
	}
	return leads
}

// circuitStates are the states, without settings of parts that were left out.
func circuitStates(states []State, c *circuit.Circuit) []circuit.State {
	var out []circuit.State
	for _, s := range states {
		t := circuit.State{Name: s.Name, Settings: map[circuit.PartRef]circuit.Setting{}}
		for _, set := range s.Settings {
			if _, ok := c.Part(set.Part); ok {
				t.Settings[set.Part] = set.Setting
			}
		}
		out = append(out, t)
	}
	return out
}

// joinWires gives nets that wires join one name: the common's before one that a
// person gave, that before a number.
func joinWires(c *circuit.Circuit, d Document) {
	name := map[circuit.NetID]circuit.NetID{}
	find := func(n circuit.NetID) circuit.NetID {
		for name[n] != "" {
			n = name[n]
		}
		return n
	}
	byPerson := d.netNames()
	rank := func(n circuit.NetID) int {
		switch {
		case n == d.Common:
			return 2
		case slices.Contains(byPerson, string(n)):
			return 1
		}
		return 0
	}
	for _, w := range d.Wires {
		keep, drop := find(w.From.Net), find(w.To.Net)
		if keep == "" || drop == "" || keep == drop {
			continue
		}
		if rank(drop) > rank(keep) {
			keep, drop = drop, keep
		}
		name[drop] = keep
	}
	for i := range c.Parts {
		for j, l := range c.Parts[i].Leads {
			c.Parts[i].Leads[j].Net = find(l.Net)
		}
	}
}

// netNames lists the nets that leads are on by name, in the order written.
func (d *Document) netNames() []string {
	var out []string
	seen := map[circuit.NetID]bool{"": true}
	add := func(n circuit.NetID) {
		if !seen[n] {
			seen[n] = true
			out = append(out, string(n))
		}
	}
	for _, p := range d.Parts {
		for _, l := range p.AllLeads() {
			add(l.Place.Net)
		}
	}
	for _, n := range d.Nets {
		add(n.Name)
	}
	return out
}

// leadNames lists the leads by their names within the job: "R1.2".
func (d *Document) leadNames() []string {
	var out []string
	for _, p := range d.Parts {
		for _, l := range p.AllLeads() {
			out = append(out, string(p.Ref)+"."+string(l.Name))
		}
	}
	return out
}

// LeadNamed finds a lead by its name within the job: "R1.2", "T1.primary.1".
func (d *Document) LeadNamed(name string) (circuit.LeadRef, bool) {
	for _, p := range d.Parts {
		for _, l := range p.AllLeads() {
			if name == string(p.Ref)+"."+string(l.Name) {
				return circuit.LeadRef{Part: p.Ref, Lead: l.Name}, true
			}
		}
	}
	return circuit.LeadRef{}, false
}
