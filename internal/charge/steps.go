package charge

import (
	"fmt"
	"math"

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
	Part     circuit.PartRef `json:"part,omitempty"`
	Red      circuit.NetID   `json:"red,omitempty"`
	Black    circuit.NetID   `json:"black,omitempty"`
	Resistor *Bleeder        `json:"resistor,omitempty"`
	Seconds  float64         `json:"seconds,omitempty"`
	Below    float64         `json:"below,omitempty"` // volts that the check must read
	Text     string          `json:"text"`
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
	var charged []Store
	for _, s := range stores {
		if s.Caution {
			charged = append(charged, s)
		}
	}
	add(Step{Do: PowerOff, Text: "Switch off, pull the plug and take the batteries out."})
	if len(charged) == 0 {
		add(Step{Do: Check, Below: CheckBelow, Text: "No capacitor should hold more than 30 V. Check the largest ones with volts-dc all the same before you touch the foil."})
		return out
	}
	for _, s := range charged {
		red, black := sides(c, s)
		volts := quantity.Format(s.Voltage, quantity.Volt, 2)
		add(Step{Do: Measure, Part: s.Part, Red: red, Black: black,
			Text: fmt.Sprintf("Measure %s with volts-dc, black clipped to %s first, then red on %s; up to %s may be there, so the meter and leads must be rated for it. Keep one hand away.", s.Part, black, red, volts)})
		b := ChooseBleeder(s.Voltage, s.Farads)
		add(Step{Do: Discharge, Part: s.Part, Red: red, Black: black, Resistor: &b, Seconds: b.Seconds,
			Text: fmt.Sprintf("Discharge %s through %s in an insulated probe: clip one end to %s first, then touch %s for %.0f s.", s.Part, b, black, red, b.Seconds)})
		add(Step{Do: Check, Part: s.Part, Red: red, Black: black, Below: CheckBelow,
			Text: fmt.Sprintf("Measure %s again: it must read below %.0f V. If not, discharge it once more; if it rises again, a source is still connected.", s.Part, CheckBelow)})
	}
	if len(charged) > 1 {
		add(Step{Do: Check, Below: CheckBelow, Text: fmt.Sprintf("Measure all %d once more: one may have recharged another. Each must read below %.0f V.", len(charged), CheckBelow)})
	}
	return out
}

// sides puts the black lead on the common net where the store touches it.
func sides(c *circuit.Circuit, s Store) (red, black circuit.NetID) {
	if s.Plus == c.Common {
		return s.Minus, s.Plus
	}
	return s.Plus, s.Minus
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

// refusal says why no guidance is given, or nothing.
//
// Source: common practice; energy classes after G34.
func refusal(c *circuit.Circuit, stores []Store) string {
	for _, p := range c.Parts {
		v, _ := p.Amount("voltage")
		f, known := p.Amount("frequency")
		if p.Kind == circuit.Signal && math.Abs(v) >= mainsVolts && known && f <= mainsHertz {
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
