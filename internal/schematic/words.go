package schematic

import (
	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// valueWords is what is printed under a part's reference: its value, and its
// type number on a line of its own.
func valueWords(p circuit.Part, style ValueStyle) []string {
	var out []string
	if v := valueOf(p, style); v != "" {
		out = append(out, v)
	}
	if p.Type != "" {
		out = append(out, p.Type)
	}
	return out
}

// shownParams are the parameters that a drawing prints, by kind.
func shownParams(k circuit.Kind) []string {
	switch k {
	case circuit.Electrolytic:
		return []string{"value", "voltage"}
	case circuit.Zener:
		return []string{"zener voltage"}
	case circuit.Battery, circuit.Supply, circuit.Heater:
		return []string{"voltage"}
	case circuit.Lamp:
		return []string{"voltage", "current"}
	case circuit.Signal:
		return []string{"voltage", "frequency"}
	case circuit.Fuse:
		return []string{"current"}
	case circuit.Speaker, circuit.Earphone, circuit.Buzzer, circuit.Motor:
		return []string{"resistance"}
	case circuit.MeterMovement:
		return []string{"full scale"}
	case circuit.Crystal:
		return []string{"frequency"}
	case circuit.Regulator:
		return []string{"output voltage"}
	case circuit.Neon, circuit.GasTube:
		return []string{"striking voltage"}
	case circuit.Relay:
		return []string{"coil resistance"}
	}
	return []string{"value"}
}

func valueOf(p circuit.Part, style ValueStyle) string {
	text := ""
	for _, name := range shownParams(p.Kind) {
		a, ok := p.Amounts[name]
		if !ok {
			continue
		}
		if text != "" {
			text += " "
		}
		if style == Code && name == "value" {
			text += quantity.Code(a.Value, a.Unit)
		} else {
			text += quantity.Format(a.Value, a.Unit, 4)
		}
	}
	return text
}
