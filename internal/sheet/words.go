package sheet

import (
	"fmt"
	"math"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// mainAmounts are the parameters that a parts list calls the value, the first
// that is given.
func mainAmounts() []string {
	return []string{"value", "zener voltage", "output voltage", "frequency", "full scale", "voltage", "resistance"}
}

func valueOf(p circuit.Part) string {
	for _, name := range mainAmounts() {
		if a, ok := p.Amounts[name]; ok {
			return quantity.Format(a.Value, a.Unit, 4)
		}
	}
	if p.Kind == circuit.Transformer {
		var turns []string
		for _, w := range p.Windings {
			if w.Turns > 0 {
				turns = append(turns, fmt.Sprintf("%g", w.Turns))
			}
		}
		if len(turns) > 1 {
			return strings.Join(turns, " : ") + " turns"
		}
	}
	return ""
}

// ratingOf gathers what a replacement must stand.
func ratingOf(p circuit.Part) string {
	var out []string
	_, hasValue := p.Amounts["value"]
	for _, name := range []string{"tolerance", "voltage", "reverse voltage", "blocking voltage", "current", "power", "gain"} {
		a, ok := p.Amounts[name]
		if !ok || name == "voltage" && !hasValue {
			continue
		}
		text := quantity.Format(a.Value, a.Unit, 3)
		switch name {
		case "tolerance":
			text = "±" + text
		case "gain":
			text = "gain " + text
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// cautions are the sentences that come before all else.
func (s Sheet) cautions() []string {
	out := []string{
		"Only someone who is trained for the voltages in this unit should open it. The rules that hold where you are, " +
			"and the judgement of a qualified person, come before anything on this sheet.",
	}
	for _, x := range s.Stores {
		out = append(out, x.caution())
	}
	if len(s.Stores) > 0 {
		out = append(out, "These figures are computed from the drawing and from what was measured. They are no proof: "+
			"disconnect the supply, wait, discharge through a resistor that is rated for it, and measure across every one of these parts before touching anything.")
	}
	return append(out, s.Cautions...)
}

func (x Store) caution() string {
	text := fmt.Sprintf("%s can hold %s (%s", x.Part, quantity.Format(x.Voltage, quantity.Volt, 3), quantity.Format(x.Energy, quantity.Joule, 3))
	if x.Charge > 0 {
		text += ", " + quantity.Format(x.Charge, quantity.Coulomb, 3)
	}
	text += ") with the supply off"
	switch {
	case x.SecondsToSafe == nil:
		text += " and does not discharge by itself"
	case x.Through != "":
		text += fmt.Sprintf("; about %s to fall off through %s, and only if that is sound", seconds(*x.SecondsToSafe), x.Through)
	default:
		text += fmt.Sprintf("; about %s to fall off", seconds(*x.SecondsToSafe))
	}
	if x.Hazardous {
		text += ". Treat it as hazardous live"
	}
	return text + "."
}

// seconds writes a time in the unit that one would say.
func seconds(t float64) string {
	switch {
	case t < 1:
		return "1 s"
	case t < 120:
		return fmt.Sprintf("%.0f s", math.Ceil(t))
	case t < 7200:
		return fmt.Sprintf("%.0f min", math.Ceil(t/60))
	case t < 48*3600:
		return fmt.Sprintf("%.0f hours", math.Ceil(t/3600))
	}
	return fmt.Sprintf("%.0f days", math.Ceil(t/86400))
}
