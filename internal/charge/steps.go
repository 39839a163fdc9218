package charge

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Do is what one step of making safe asks for.
type Do string

// The kinds of step.
const (
	PowerOff  Do = "power-off"
	Measure   Do = "measure"
	Discharge Do = "discharge"
	Check     Do = "check"
)

// CheckBelow is the voltage at which a discharge counts as done.
const CheckBelow = 10.0

// Step is one step of making a unit safe, in order.
type Step struct {
	Order    int             `json:"order"`
	Do       Do              `json:"do"`
	Part     circuit.PartRef `json:"part,omitempty"` // of the first place
	Red      circuit.NetID   `json:"red,omitempty"`
	Black    circuit.NetID   `json:"black,omitempty"`
	Places   []Touch         `json:"places,omitempty"` // one after the other
	Resistor *Bleeder        `json:"resistor,omitempty"`
	Seconds  float64         `json:"seconds,omitempty"`
	Below    float64         `json:"below,omitempty"` // volts that the check must read
	Text     string          `json:"text"`
}

// Touch is where probe and clip go at one capacitor.
type Touch struct {
	Part  circuit.PartRef `json:"part"`
	Red   circuit.NetID   `json:"red"`
	Black circuit.NetID   `json:"black"`
}

// at gives a step its places.
func (s Step) at(places ...Touch) Step {
	s.Places = places
	s.Part, s.Red, s.Black = places[0].Part, places[0].Red, places[0].Black
	return s
}

// steps lists how to make the unit safe: the store with the most energy
// first, each by itself, and all of them looked at again at the end, since
// one may have recharged another.
//
// Source: ground clip first, each capacitor separately: NEETS module 16 (G43);
// one hand away: Lessons in Electric Circuits, DC, ch. 3 (G08).
func steps(c *circuit.Circuit, stores []Store) []Step {
	var out []Step
	add := func(s Step) {
		s.Order = len(out) + 1
		out = append(out, s)
	}
	charged, small := sorted(stores)
	add(Step{Do: PowerOff, Text: "Switch off, pull the plug and take the batteries out."})
	if len(charged) == 0 && len(small) == 0 {
		add(Step{Do: Check, Below: CheckBelow, Text: "No capacitor should hold more than 10 V. Check the largest ones with volts-dc all the same before you touch the foil."})
		return out
	}
	for _, s := range charged {
		place := sides(c, s)
		red, black := place.Red, place.Black
		volts := quantity.Format(s.Voltage, quantity.Volt, 2)
		add(Step{Do: Measure,
			Text: fmt.Sprintf("Measure %s with volts-dc, black clipped to %s first, then red on %s; up to %s may be there, so the meter and leads must be rated for it. Keep one hand away.", s.Part, black, red, volts)}.at(place))
		b := ChooseBleeder(s.Voltage, s.Farads)
		add(Step{Do: Discharge, Resistor: &b, Seconds: b.Seconds,
			Text: fmt.Sprintf("Discharge %s through %s in an insulated probe: clip one end to %s first, then touch %s for %.0f s.", s.Part, b, black, red, b.Seconds)}.at(place))
		add(Step{Do: Check, Below: CheckBelow,
			Text: fmt.Sprintf("Measure %s again: it must read below %.0f V. If not, discharge it once more; if it rises again, a source is still connected.", s.Part, CheckBelow)}.at(place))
	}
	if len(small) > 0 {
		add(smallStep(c, small))
	}
	if n := len(charged) + len(small); n > 1 {
		add(Step{Do: Check, Below: CheckBelow, Text: fmt.Sprintf("Measure all %d once more: one may have recharged another. Each must read below %.0f V; discharge again what does not.", n, CheckBelow)})
	}
	return out
}

// sorted parts the stores that need care from those that only need emptying
// before the meter is put on ohms. Where one has to be emptied all are that may
// keep half the voltage of a check: two in series would add up to it.
func sorted(stores []Store) (charged, small []Store) {
	needed := slices.ContainsFunc(stores, func(s Store) bool { return s.Voltage > CheckBelow })
	for _, s := range stores {
		switch {
		case s.Caution:
			charged = append(charged, s)
		case needed && s.Voltage > CheckBelow/2:
			small = append(small, s)
		}
	}
	return charged, small
}

// smallStep empties the stores that are no danger, all with one resistor.
func smallStep(c *circuit.Circuit, small []Store) Step {
	var volts, farads float64
	var places []Touch
	var names []string
	for _, s := range small {
		volts, farads = math.Max(volts, s.Voltage), math.Max(farads, s.Farads)
		places = append(places, sides(c, s))
		names = append(names, string(s.Part))
	}
	b := ChooseBleeder(volts, farads)
	return Step{Do: Discharge, Resistor: &b, Seconds: b.Seconds,
		Text: fmt.Sprintf("Empty the small stores, at most %s each: touch the two leads of %s with %s, one after the other, %.0f s each.",
			quantity.Format(volts, quantity.Volt, 2), strings.Join(names, ", "), b, b.Seconds)}.at(places...)
}

// sides puts the black lead on the common net where the store touches it.
func sides(c *circuit.Circuit, s Store) Touch {
	if s.Plus == c.Common {
		return Touch{s.Part, s.Minus, s.Plus}
	}
	return Touch{s.Part, s.Plus, s.Minus}
}

// Classes of danger for which no guidance is given.
const (
	tubeVolts   = 10e3  // picture tubes: more than 10 kV
	tubeJoules  = 0.1   //
	ovenVolts   = 1.5e3 // microwave ovens: a store of joules at 2 kV
	ovenJoules  = 1.0
	largeJoules = 50.0 // beyond what a resistor in the hand should take
	mainsVolts  = 50.0 // alternating, from the mains
	mainsHertz  = 400.0
)

// namedDanger refuses units by what they are called.
func namedDanger(unit string) string {
	for _, d := range []struct{ word, why string }{
		{"microwave oven", "the capacitor holds a joule and more at 2 kV, also long after the plug is pulled: one touch kills"},
		{"television", "the picture tube holds 10 to 30 kV for weeks, and its glass can implode"},
		{"picture tube", "the tube holds 10 to 30 kV for weeks, and its glass can implode"},
		{"cathode-ray tube", "the tube holds kilovolts for weeks, and its glass can implode"},
	} {
		if strings.Contains(strings.ToLower(unit), d.word) {
			return fmt.Sprintf("No guidance: the unit is called %q, and in one (%s) %s. Leave this unit to someone trained for it.", unit, d.word, d.why)
		}
	}
	return ""
}

// refusal says why no guidance is given, or nothing.
//
// A source of that voltage whose frequency nobody gave is taken for the mains.
// What the person calls the unit counts as well: of a microwave oven or a set
// with a picture tube the dangerous part may not be drawn in yet.
//
// Source: common practice; energy classes after G34.
func refusal(c *circuit.Circuit, stores []Store) string {
	if text := namedDanger(c.Unit); text != "" {
		return text
	}
	for _, p := range c.Parts {
		v, _ := p.Amount("voltage")
		f, known := p.Amount("frequency")
		if p.Kind == circuit.Signal && math.Abs(v) >= mainsVolts && (!known || f <= mainsHertz) {
			return fmt.Sprintf("No guidance: %s stands for the mains. Parts joined to the mains can kill at any moment that it is plugged in; leave this unit to someone trained for it.", p.Ref)
		}
	}
	for _, s := range stores {
		volts, joules := quantity.Format(s.Voltage, quantity.Volt, 2), quantity.Format(s.Energy, quantity.Joule, 2)
		switch {
		case s.Voltage >= tubeVolts && s.Energy >= tubeJoules:
			return fmt.Sprintf("No guidance: %s may hold %s at %s, as a picture tube does. Leave this unit to someone trained for it.", s.Part, joules, volts)
		case s.Voltage >= ovenVolts && s.Energy >= ovenJoules:
			return fmt.Sprintf("No guidance: %s may hold %s at %s, as in a microwave oven: one touch kills. Leave this unit to someone trained for it.", s.Part, joules, volts)
		case s.Voltage > LiveVolts && s.Energy >= largeJoules:
			return fmt.Sprintf("No guidance: %s may hold %s at %s, more than a discharge by hand should carry. Leave this unit to someone trained for it.", s.Part, joules, volts)
		}
	}
	return ""
}
