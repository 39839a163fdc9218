package circuit

import (
	"cmp"
	"slices"
	"strings"

	"foilside/internal/quantity"
)

// PartRef is a reference designation: "R1".
type PartRef string

// NetID is the name of a net: "supply", "N12".
type NetID string

// LeadName is the name of a lead within its part: "1", "c", "primary.1".
type LeadName string

// Lead is one lead of a part and the net that it is on.
type Lead struct {
	Name LeadName `json:"name"`
	Net  NetID    `json:"net"`
}

// Amount is a parameter's value in SI base units, with the condition at which
// it holds where the person gave one: a forward drop of 0.72 V at 5 mA.
type Amount struct {
	Value float64       `json:"value"`
	Unit  quantity.Unit `json:"unit"`
	At    *float64      `json:"at,omitempty"` // in the unit of the parameter's condition
}

// Winding is one winding of a transformer. Its leads are NAME.1 (the dotted
// end) and NAME.2.
type Winding struct {
	Name       string   `json:"name"`
	Turns      float64  `json:"turns"`
	Resistance *float64 `json:"resistance,omitempty"` // ohms
	Inductance *float64 `json:"inductance,omitempty"` // henries, the others open
}

// First is the name of the winding's dotted lead.
func (w Winding) First() LeadName { return LeadName(w.Name + ".1") }

// Second is the name of the winding's other lead.
func (w Winding) Second() LeadName { return LeadName(w.Name + ".2") }

// Part is one part with what the person said of it. What was not said is not
// here: defaults come from the kind's table and the parts shelf.
type Part struct {
	Ref      PartRef           `json:"ref"`
	Kind     Kind              `json:"kind"`
	Type     string            `json:"type,omitempty"`    // type number on the body
	Amounts  map[string]Amount `json:"amounts,omitempty"` // by parameter name
	Words    map[string]string `json:"words,omitempty"`   // parameters that are words: taper, material
	Windings []Winding         `json:"windings,omitempty"`
	Leads    []Lead            `json:"leads"` // in the order of the kind's table
}

// Net returns the net of the named lead, or "" if the part has no such lead.
func (p Part) Net(name LeadName) NetID {
	for _, l := range p.Leads {
		if l.Name == name {
			return l.Net
		}
	}
	return ""
}

// Amount returns the parameter as given by the person.
func (p Part) Amount(name string) (float64, bool) {
	a, ok := p.Amounts[name]
	return a.Value, ok
}

// Setting is how a state sets one part. Exactly one of the forms holds.
type Setting struct {
	Form     SettingForm `json:"form"`
	Position float64     `json:"position,omitempty"` // for Control, 0…1
	Contact  LeadName    `json:"contact,omitempty"`  // for Thrown: the contact that c touches
}

// SettingForm tells the forms of a Setting apart.
type SettingForm string

// The forms of a setting.
const (
	On      SettingForm = "on"      // a source gives its voltage
	Off     SettingForm = "off"     // a source is taken out of the circuit
	Open    SettingForm = "open"    // a switch
	Closed  SettingForm = "closed"  // a switch
	Control SettingForm = "control" // a potentiometer at Position of its track
	Thrown  SettingForm = "thrown"  // a changeover on Contact
)

// State is one way the unit is set. A part that it does not name stands as
// DefaultSetting says.
type State struct {
	Name     string              `json:"name"`
	Settings map[PartRef]Setting `json:"settings"`
}

// Circuit is parts on nets.
type Circuit struct {
	Unit   string  `json:"unit,omitempty"`
	Common NetID   `json:"common,omitempty"` // readings refer to it where no black lead is named
	Parts  []Part  `json:"parts"`            // by natural order of reference
	States []State `json:"states,omitempty"` // in the order of the job text
}

// Part returns the part with the reference.
func (c *Circuit) Part(ref PartRef) (Part, bool) {
	for _, p := range c.Parts {
		if p.Ref == ref {
			return p, true
		}
	}
	return Part{}, false
}

// State returns the named state. The name "" is the unit as it stands with
// every part at its default.
func (c *Circuit) State(name string) (State, bool) {
	if name == "" {
		return State{}, true
	}
	for _, s := range c.States {
		if s.Name == name {
			return s, true
		}
	}
	return State{}, false
}

// Setting returns how the state sets the part, its default included.
func (s State) Setting(p Part) Setting {
	if set, ok := s.Settings[p.Ref]; ok {
		return set
	}
	return DefaultSetting(p.Kind)
}

// DefaultSetting is how a part stands where a state says nothing: a source
// on, a switch open, a changeover on nc, a control at half its track.
func DefaultSetting(k Kind) Setting {
	switch k {
	case Battery, Supply, Signal:
		return Setting{Form: On}
	case Switch:
		return Setting{Form: Open}
	case Changeover:
		return Setting{Form: Thrown, Contact: "nc"}
	case Potentiometer:
		return Setting{Form: Control, Position: 0.5}
	}
	return Setting{}
}

// Nets lists the nets in natural order, each with the leads on it.
func (c *Circuit) Nets() []Net {
	at := map[NetID]int{}
	var nets []Net
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			i, ok := at[l.Net]
			if !ok {
				i = len(nets)
				at[l.Net] = i
				nets = append(nets, Net{ID: l.Net})
			}
			nets[i].Leads = append(nets[i].Leads, LeadRef{p.Ref, l.Name})
		}
	}
	slices.SortFunc(nets, func(a, b Net) int { return NaturalCompare(string(a.ID), string(b.ID)) })
	return nets
}

// LeadRef names a lead within the circuit.
type LeadRef struct {
	Part PartRef  `json:"part"`
	Lead LeadName `json:"lead"`
}

// Net is one conductor and the leads that it joins.
type Net struct {
	ID    NetID     `json:"id"`
	Leads []LeadRef `json:"leads"`
}

// Clone returns a deep copy, so that a fault can be put into it.
func (c *Circuit) Clone() *Circuit {
	d := *c
	d.Parts = make([]Part, len(c.Parts))
	for i, p := range c.Parts {
		d.Parts[i] = p.Clone()
	}
	d.States = slices.Clone(c.States)
	return &d
}

// Clone returns a deep copy of the part.
func (p Part) Clone() Part {
	q := p
	q.Leads = slices.Clone(p.Leads)
	q.Windings = slices.Clone(p.Windings)
	q.Amounts = make(map[string]Amount, len(p.Amounts))
	for k, v := range p.Amounts {
		q.Amounts[k] = v
	}
	q.Words = make(map[string]string, len(p.Words))
	for k, v := range p.Words {
		q.Words[k] = v
	}
	return q
}

// SortParts puts the parts in natural order of reference: R2 before R10.
func (c *Circuit) SortParts() {
	slices.SortStableFunc(c.Parts, func(a, b Part) int { return NaturalCompare(string(a.Ref), string(b.Ref)) })
}

// NaturalCompare orders text with its numbers by size: R2 before R10.
func NaturalCompare(a, b string) int {
	for a != "" && b != "" {
		an, ar := leadingRun(a)
		bn, br := leadingRun(b)
		if isDigit(an[0]) && isDigit(bn[0]) {
			x, y := strings.TrimLeft(an, "0"), strings.TrimLeft(bn, "0")
			if d := cmp.Compare(len(x), len(y)); d != 0 {
				return d
			}
			if d := strings.Compare(x, y); d != 0 {
				return d
			}
		} else if d := strings.Compare(an, bn); d != 0 {
			return d
		}
		a, b = ar, br
	}
	return cmp.Compare(len(a), len(b))
}

// leadingRun cuts off the leading digits, or all before the next digit.
func leadingRun(s string) (run, rest string) {
	digit := isDigit(s[0])
	for i := range len(s) {
		if isDigit(s[i]) != digit {
			return s[:i], s[i:]
		}
	}
	return s, ""
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
