package board

import (
	"fmt"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/copper"
)

// lowWay is a way through a part that a continuity function may take for a
// joint.
type lowWay struct {
	from, to circuit.LeadName
	ohms     float64
	what     string
	first    string // what keeps it from conducting, where something does: "open S1"
}

// few is how many times the meter's limit a part may have and still matter,
// side by side with others.
const few = 4.0

// throughParts lists the ways of few ohms through the parts and wires of a
// circuit, between the pieces where their leads stand.
func throughParts(w *web, in CheckInput) []through {
	stands := leadPieces(w, in.Landed)
	var out []through
	add := func(ref circuit.PartRef, way lowWay, a, b int) {
		if a < 0 || b < 0 || a == b || way.ohms >= few*in.BeepBelow {
			return
		}
		what := string(ref)
		if way.what != "" {
			what = fmt.Sprintf("%s of %s (%.3g Ω)", way.what, ref, way.ohms)
		}
		first := way.first
		if first != "" {
			first = fmt.Sprintf(first, ref)
		}
		out = append(out, through{a, b, way.ohms, what, first})
	}
	for _, ref := range wires(in.Landed) {
		add(ref, lowWay{}, stands.lead(circuit.LeadRef{Part: ref, Lead: "from"}, ""), stands.lead(circuit.LeadRef{Part: ref, Lead: "to"}, ""))
	}
	if in.Circuit == nil {
		return out
	}
	for _, p := range in.Circuit.Parts {
		for _, way := range lowWays(p, in.BeepBelow) {
			a := stands.lead(circuit.LeadRef{Part: p.Ref, Lead: way.from}, p.Net(way.from))
			b := stands.lead(circuit.LeadRef{Part: p.Ref, Lead: way.to}, p.Net(way.to))
			add(p.Ref, way, a, b)
		}
	}
	return append(out, elsewhere(w, in.Circuit, stands, out)...)
}

// elsewhere lists what joins two coppers of the foil side into one net of the
// circuit without a wire that landed: copper of the other face, a wire between
// names.
func elsewhere(w *web, c *circuit.Circuit, stands standing, known []through) []through {
	type coppers [2]copper.NetID
	pair := func(a, b int) coppers {
		x, y := w.pieces[a].net, w.pieces[b].net
		return coppers{min(x, y), max(x, y)}
	}
	told := map[coppers]bool{}
	for _, t := range known {
		if t.ohms == 0 {
			told[pair(t.a, t.b)] = true
		}
	}
	first := map[circuit.NetID]int{}
	var out []through
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			at, ok := stands.leads[circuit.LeadRef{Part: p.Ref, Lead: l.Name}]
			if !ok || at < 0 {
				continue
			}
			home, seen := first[l.Net]
			if !seen {
				first[l.Net] = at
				continue
			}
			if k := pair(home, at); k[0] != k[1] && !told[k] {
				told[k] = true
				out = append(out, through{a: home, b: at, what: "a wire or the copper of the other face"})
			}
		}
	}
	return out
}

// wires lists the wires that landed, which bench places like parts.
func wires(l Landed) []circuit.PartRef {
	var out []circuit.PartRef
	for _, p := range l.Placed {
		if strings.HasPrefix(string(p.Lead.Part), "wire ") && !slices.Contains(out, p.Lead.Part) {
			out = append(out, p.Lead.Part)
		}
	}
	return out
}

// standing is where leads stand.
type standing struct {
	leads map[circuit.LeadRef]int
	nets  map[circuit.NetID]int
}

func leadPieces(w *web, l Landed) standing {
	s := standing{map[circuit.LeadRef]int{}, map[circuit.NetID]int{}}
	for _, p := range l.Placed {
		s.leads[p.Lead] = w.pieceAt(p.At)
	}
	for i := len(w.pieces) - 1; i >= 0; i-- {
		if name, ok := l.Names[w.pieces[i].net]; ok {
			s.nets[name] = i
		}
	}
	return s
}

// lead is the piece of a lead: where it stands, or any of the net that it is
// on by name. -1 where neither is known.
func (s standing) lead(ref circuit.LeadRef, net circuit.NetID) int {
	if p, ok := s.leads[ref]; ok {
		return p
	}
	if p, ok := s.nets[net]; ok {
		return p
	}
	return -1
}

// lowWays lists the ways through a part whose resistance is known to be small
// or may be. The meter beeps below limit, in ohms.
func lowWays(p circuit.Part, limit float64) []lowWay {
	ends := func(what, param string) []lowWay {
		if ohms, ok := ohmsOf(p, param); ok && len(p.Leads) > 1 {
			return []lowWay{{from: p.Leads[0].Name, to: p.Leads[1].Name, ohms: ohms, what: what}}
		}
		return nil
	}
	switch p.Kind {
	case circuit.Resistor, circuit.Thermistor, circuit.Photocell:
		return ends("the resistance", "value")
	case circuit.Potentiometer:
		return trackWays(p, limit)
	case circuit.Inductor, circuit.Speaker, circuit.Earphone, circuit.Buzzer, circuit.Motor, circuit.MeterMovement:
		return ends("the winding", "resistance")
	case circuit.Lamp, circuit.Heater, circuit.Fuse:
		return filamentWay(p)
	case circuit.Switch:
		return []lowWay{{from: "1", to: "2", ohms: closedContact, what: "the contact", first: "open %s first"}}
	case circuit.Changeover:
		const throw = "throw %s to the other side first"
		return []lowWay{{from: "c", to: "nc", ohms: closedContact, what: "the contact", first: throw},
			{from: "c", to: "no", ohms: closedContact, what: "the contact", first: throw}}
	case circuit.Relay:
		ways := []lowWay{{from: "c", to: "nc", ohms: closedContact, what: "the contact at rest"}}
		if ohms, ok := ohmsOf(p, "coil resistance"); ok {
			ways = append(ways, lowWay{from: "coil1", to: "coil2", ohms: ohms, what: "the coil"})
		}
		return ways
	case circuit.Transformer:
		return windingWays(p)
	}
	return nil
}

// closedContact is a contact's resistance in ohms, as in the table of kinds.
const closedContact = 0.05

func ohmsOf(p circuit.Part, param string) (float64, bool) {
	if ohms, ok := p.Amount(param); ok {
		return ohms, true
	}
	info, _ := circuit.Lookup(p.Kind)
	return info.Default(param)
}

// trackWays are the two ends of a control's track to its wiper, which may be
// turned to either, and the track itself. A control at its middle keeps most
// from beeping.
func trackWays(p circuit.Part, limit float64) []lowWay {
	ohms, known := ohmsOf(p, "value")
	first := ""
	if known && ohms/2 >= limit {
		first = "turn %s to its middle first"
	}
	out := []lowWay{{from: "1", to: "w", what: "the track", first: first}, {from: "w", to: "2", what: "the track", first: first}}
	if known {
		out = append(out, lowWay{from: "1", to: "2", ohms: ohms, what: "the track"})
	}
	return out
}

// coldFilament is the resistance of a cold tungsten filament as a share of the
// hot one. (common practice: a tenth and more)
const coldFilament = 0.1

// unknownFilament and unknownWinding stand for a resistance that nobody gave,
// in ohms: few enough to beep.
const unknownFilament, unknownWinding = 1.0, 1.0

func filamentWay(p circuit.Part) []lowWay {
	ohms := unknownFilament
	if r, ok := p.Amount("resistance"); ok {
		ohms = r
	} else if v, ok := p.Amount("voltage"); ok && p.Kind != circuit.Fuse {
		if i, ok := p.Amount("current"); ok && i > 0 {
			ohms = v / i
		}
	}
	what := "the fuse wire"
	switch p.Kind {
	case circuit.Lamp:
		ohms, what = ohms*coldFilament, "the cold filament"
	case circuit.Heater:
		what = "the heating wire"
	}
	if len(p.Leads) < 2 {
		return nil
	}
	return []lowWay{{from: p.Leads[0].Name, to: p.Leads[1].Name, ohms: ohms, what: what}}
}

func windingWays(p circuit.Part) []lowWay {
	var out []lowWay
	for _, w := range p.Windings {
		ohms := unknownWinding
		if w.Resistance != nil {
			ohms = *w.Resistance
		}
		out = append(out, lowWay{from: w.First(), to: w.Second(), ohms: ohms, what: "the winding " + w.Name})
	}
	return slices.Clip(out)
}
