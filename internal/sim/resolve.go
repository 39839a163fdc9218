package sim

import (
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Sources of defaults that stand in this package.
const (
	given  = "given"
	trade  = "common practice"
	memory = "from memory, typical of makers' data sheets"
)

// resolver finds the parameters of one part: what the person gave, then the
// parts shelf by type number, then the table of kinds, then the model's own.
type resolver struct {
	part     circuit.Part
	info     circuit.Info // of its kind
	opt      Options
	uses     []Use
	spreads  []Spread
	problems []circuit.Problem
}

// found is a parameter with where it came from.
type found struct {
	circuit.Amount
	source string
}

// bench is the largest amount of a unit that anything on a bench has.
func bench(u quantity.Unit) float64 {
	switch u {
	case quantity.Volt, quantity.Ampere, quantity.Watt:
		return 1e6
	case quantity.Ohm:
		return 1e15
	case quantity.Percent:
		return 10
	case quantity.None:
		return 1e12
	}
	return math.MaxFloat64
}

// leastCurrent is the smallest current at which a drop can be said to hold.
const leastCurrent = 1e-12

// sane refuses amounts that no part has; the numbers made of them would not
// be numbers any more.
func (r *resolver) sane(name string, a circuit.Amount) bool {
	param, _ := r.info.Param(name)
	unit := a.Unit
	if unit == quantity.None && len(param.Units) > 0 {
		unit = param.Units[0]
	}
	if math.Abs(a.Value) > bench(unit) {
		r.complain("%s: a %s of %s is beyond anything on a bench", r.part.Ref, name, quantity.Format(a.Value, unit, 3))
		return false
	}
	if a.At != nil && (*a.At < leastCurrent || *a.At > bench(param.AtUnit)) {
		r.complain("%s: its %s cannot hold at %s", r.part.Ref, name, quantity.Format(*a.At, param.AtUnit, 3))
		return false
	}
	return true
}

// complain adds a problem of the part, once.
func (r *resolver) complain(format string, args ...any) {
	p := problem(r.part.Ref, format, args...)
	if !slices.Contains(r.problems, p) {
		r.problems = append(r.problems, p)
	}
}

// lookup finds a parameter by person, shelf and table, in this order.
func (r *resolver) lookup(name string) (found, bool) {
	if a, ok := r.part.Amounts[name]; ok && r.sane(name, a) {
		return found{a, given}, true
	}
	if r.opt.Shelf != nil && r.part.Type != "" {
		if a, source, ok := r.opt.Shelf.Amount(r.part.Kind, r.part.Type, name); ok {
			return found{a, source}, true
		}
	}
	if p, ok := r.info.Param(name); ok && p.Default != nil {
		return found{circuit.Amount{Value: p.Default.Value, Unit: p.Units[0]}, p.Default.Source}, true
	}
	return found{}, false
}

// note records a parameter as used.
func (r *resolver) note(name string, v float64, u quantity.Unit, source string) {
	r.uses = append(r.uses, Use{r.part.Ref, name, v, u, source})
}

// amount returns a parameter, or the model's own default.
func (r *resolver) amount(name string, def float64, u quantity.Unit, source string) float64 {
	if f, ok := r.lookup(name); ok && !math.IsNaN(f.Value) {
		r.note(name, f.Value, f.Unit, f.source)
		return f.Value
	}
	r.note(name, def, u, source)
	return def
}

// known returns a parameter that has no default of the model.
func (r *resolver) known(name string) (found, bool) {
	f, ok := r.lookup(name)
	if ok {
		r.note(name, f.Value, f.Unit, f.source)
	}
	return f, ok
}

// positive is amount for something that can't be zero or less.
func (r *resolver) positive(name string, def float64, u quantity.Unit, source string) float64 {
	v := r.amount(name, def, u, source)
	if v > 0 {
		return v
	}
	r.complain("%s: its %s cannot be %s; give a positive one", r.part.Ref, name, quantity.Format(v, u, 3))
	return def
}

// required is a parameter that nothing can stand in for.
func (r *resolver) required(name string, example string) float64 {
	f, ok := r.known(name)
	if !ok {
		r.complain("%s: its %s is not known; give it (%s: %s) or leave the part out", r.part.Ref, name, name, example)
	}
	if f.Value < 0 {
		r.complain("%s: its %s is negative", r.part.Ref, name)
		return 0
	}
	return f.Value
}

// least is the smallest drop that a junction or a breakdown can have.
const least = 0.01

// drop is a junction's voltage and the current that it holds at: found by
// name, or as the class has it.
func (r *resolver) drop(name string, volts, current float64, source string) (v, i float64) {
	f, ok := r.lookup(name)
	if !ok {
		r.note(name, volts, quantity.Volt, source)
		return volts, current
	}
	r.note(name, f.Value, quantity.Volt, f.source)
	if f.Value < least {
		r.complain("%s: its %s cannot be %s", r.part.Ref, name, quantity.Format(f.Value, quantity.Volt, 3))
		return volts, current
	}
	if f.At != nil {
		current = *f.At
	}
	return f.Value, current
}

// word returns a parameter that is a word.
func (r *resolver) word(name string) string {
	if w, ok := r.part.Words[name]; ok {
		return w
	}
	if r.opt.Shelf != nil && r.part.Type != "" {
		if w, _, ok := r.opt.Shelf.Word(r.part.Kind, r.part.Type, name); ok {
			return w
		}
	}
	if p, ok := r.info.Param(name); ok && p.Default != nil {
		return p.Default.Word
	}
	return ""
}

// spread adds an uncertainty; a width of zero adds none.
func (r *resolver) spread(k Knob, width float64, source string) {
	if width > 0 {
		r.spreads = append(r.spreads, Spread{r.part.Ref, k, width, source})
	}
}

// tolerance spreads the main value by the part's tolerance.
func (r *resolver) tolerance() {
	f, ok := r.lookup("tolerance")
	if !ok {
		return
	}
	// A value can't vary by more than itself: 95 % keeps it positive.
	r.spread(KnobValue, min(math.Abs(f.Value), 0.95), f.source)
}
