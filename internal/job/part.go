package job

import (
	"errors"
	"fmt"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Part is one part as the person described it.
type Part struct {
	Ref      circuit.PartRef
	Kind     circuit.Kind
	Type     string // type number on the body
	Marking  string // what else stands on the body: colour bands, a code
	Note     string
	Params   []Param   // in the order written
	Windings []Winding // of a transformer
	Leads    []Lead    // in the order written; empty for a transformer
}

// Param is a parameter by its name in the circuit's table: as written, and
// either parsed to an amount or, where the table has words, as the word.
type Param struct {
	Name   string
	Text   string          // as the person wrote it: "4k7"
	Amount *circuit.Amount // nil: the text is one of the parameter's words
}

// Lead is one lead of a part and where it goes.
type Lead struct {
	Name  circuit.LeadName
	Place Place
}

// Place is where a lead or a meter lead goes. Exactly one of its fields holds.
type Place struct {
	Net   circuit.NetID // a net by name; in readings also a lead: "R1.2"
	At    *Pixel        // on the component-side photo
	Joint *Pixel        // on the foil-side photo
}

// Winding is one winding of a transformer; its first lead is the dotted end.
type Winding struct {
	Name       string
	Leads      [2]Place
	Turns      float64 // 0: not known
	Resistance *Quantity
	Inductance *Quantity // with the other windings open
}

// Quantity is a value as written, and in SI base units.
type Quantity struct {
	Text   string
	Amount circuit.Amount
}

// Param returns the part's parameter of that name as an amount.
func (p Part) Param(name string) (float64, bool) { return amountOf(p.Params, name) }

// AllLeads lists the leads of the part, those of its windings too.
func (p Part) AllLeads() []Lead {
	out := append([]Lead(nil), p.Leads...)
	for _, w := range p.Windings {
		cw := circuit.Winding{Name: w.Name}
		out = append(out, Lead{cw.First(), w.Leads[0]}, Lead{cw.Second(), w.Leads[1]})
	}
	return out
}

func amountOf(params []Param, name string) (float64, bool) {
	for _, p := range params {
		if p.Name == name && p.Amount != nil {
			return p.Amount.Value, true
		}
	}
	return 0, false
}

// NewParam reads the text of one parameter of a kind.
//
// Errors: no such kind or parameter, or a text without meaning for it.
func NewParam(kind circuit.Kind, name, text string) (Param, error) {
	info, ok := circuit.Lookup(kind)
	if !ok {
		return Param{}, fmt.Errorf("there is no kind %q", kind)
	}
	spec, ok := paramSpec(info, name)
	if !ok {
		return Param{}, fmt.Errorf("%s has no %q", article(info.Noun), name)
	}
	return parseParam(spec, text, limitsOf(kind, name))
}

// anodeCurrent is the one parameter that stands beside its condition: a valve
// may give the current at which its mutual conductance holds as `at`.
const anodeCurrent = "at"

func paramSpec(info circuit.Info, name string) (circuit.Param, bool) {
	if name == anodeCurrent {
		if _, ok := info.Param("mutual conductance"); ok {
			return circuit.Param{Name: anodeCurrent, Units: []quantity.Unit{quantity.Ampere}}, true
		}
	}
	return info.Param(name)
}

// parseParam reads a parameter's text by its row of the table.
func parseParam(spec circuit.Param, text string, lim limits) (Param, error) {
	out := Param{Name: spec.Name, Text: text}
	if len(spec.Units) == 0 {
		for _, w := range spec.Words {
			if w == text {
				return out, nil
			}
		}
		return out, fmt.Errorf("%q is no %s; expected %s%s", text, spec.Name, orList(spec.Words), didYouMean(text, spec.Words))
	}
	a, err := parseAmount(text, spec.Units, spec.AtUnit)
	if err != nil {
		return out, err
	}
	out.Amount = &a
	return out, lim.check(spec.Name, text, a.Value)
}

// parseAmount reads a quantity in one of the units, with a condition after
// " at " where the parameter takes one.
func parseAmount(text string, units []quantity.Unit, atUnit quantity.Unit) (circuit.Amount, error) {
	value, condition, conditioned := strings.Cut(text, " at ")
	if atUnit == quantity.None {
		value, conditioned = text, false
	}
	a, err := parseQuantity(value, units)
	if err != nil {
		return a, err
	}
	if conditioned {
		at, err := quantity.Parse(condition, atUnit)
		if err != nil {
			return a, err
		}
		if at <= 0 {
			return a, fmt.Errorf("%q: the condition after at must be above zero", text)
		}
		a.At = &at
	}
	return a, nil
}

// parseQuantity takes the first of the units that fits the text.
func parseQuantity(text string, units []quantity.Unit) (circuit.Amount, error) {
	var first error
	for _, u := range units {
		v, err := quantity.Parse(text, u)
		if err == nil {
			return circuit.Amount{Value: v, Unit: u}, nil
		}
		if first == nil {
			first = err
		}
	}
	if first == nil {
		first = errors.New("no amount is taken here")
	}
	return circuit.Amount{}, first
}

// limits are the bounds outside which an amount has no meaning.
type limits struct {
	signed  bool    // may be below zero
	nonzero bool    // zero has no meaning
	max     float64 // 0: none
	whole   bool
}

func limitsOf(k circuit.Kind, name string) limits {
	switch name {
	case "threshold", "output voltage":
		return limits{signed: true, nonzero: true}
	case "voltage":
		if k == circuit.Battery || k == circuit.Supply || k == circuit.Signal {
			return limits{signed: true}
		}
	case "value":
		return limits{nonzero: k != circuit.Resistor}
	case "coupling", "intrinsic ratio", "tolerance":
		return limits{max: 1}
	case "poles":
		return limits{nonzero: true, max: 12, whole: true}
	case "frequency", "gain", "zener voltage", anodeCurrent:
		return limits{nonzero: true}
	}
	return limits{}
}

func (l limits) check(name, text string, v float64) error {
	switch {
	case v < 0 && !l.signed:
		return fmt.Errorf("%q: %s can't be below zero", text, name)
	case v == 0 && l.nonzero:
		return fmt.Errorf("%q: %s can't be zero", text, name)
	case l.max > 0 && v > l.max && name == "tolerance":
		return fmt.Errorf("%q: tolerance can't be above 100 %%", text)
	case l.max > 0 && v > l.max:
		return fmt.Errorf("%q: %s can't be above %g", text, name, l.max)
	case l.whole && v != float64(int(v)):
		return fmt.Errorf("%q: %s must be a whole number", text, name)
	}
	return nil
}
