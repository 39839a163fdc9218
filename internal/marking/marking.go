package marking

import (
	"fmt"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Reading is one meaning of a marking. Numbers are in SI base units; nil
// means that the marking does not say.
type Reading struct {
	Kind      circuit.Kind       `json:"kind"`
	Value     *float64           `json:"value"`
	Unit      string             `json:"unit,omitempty"`
	Tolerance *float64           `json:"tolerance"`          // either way, as a ratio
	Limits    *[2]float64        `json:"limits,omitempty"`   // where it is not the same either way
	Voltage   *float64           `json:"voltage,omitempty"`  // rated
	TempCoeff *float64           `json:"tempco,omitempty"`   // per kelvin
	Type      string             `json:"type,omitempty"`     // type number, spelled out
	Material  string             `json:"material,omitempty"` // germanium, silicon
	Amounts   map[string]float64 `json:"amounts,omitempty"`  // further parameters from the shelf
	Text      string             `json:"text"`               // in words: "47 kΩ ±5 %"
	Source    string             `json:"source"`             // the standard or list it is read by
	Doubtful  bool               `json:"doubtful,omitempty"` // legal, but unlikely
}

// Error says why a marking could not be read.
type Error struct {
	Text   string
	Reason string
}

// Error names the text and what was tried.
func (e *Error) Error() string { return fmt.Sprintf("marking %q: %s", e.Text, e.Reason) }

// Decode lists the readings of a marking, the likeliest first. A kind other
// than "" keeps only readings of that kind.
//
// Errors: *Error where no reading is left.
func Decode(text string, kind circuit.Kind) ([]Reading, error) {
	t := strings.TrimSpace(text)
	if t == "" {
		return nil, &Error{text, "nothing is written; give the colours from the end band inward, or the characters on the body"}
	}
	all, err := decodeAll(t)
	if err != nil {
		return nil, err
	}
	var out []Reading
	for _, r := range all {
		if kind == "" || r.Kind == kind || r.Kind == circuit.Capacitor && kind == circuit.Electrolytic {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		return nil, &Error{text, "no code that it fits is known" + forKind(kind)}
	}
	return out, nil
}

func forKind(k circuit.Kind) string {
	if k == "" {
		return "; colours are written as words, codes as they stand: 4K7J, 104K, 2A104J, BC547B"
	}
	return " for a " + string(k)
}

// decodeAll asks every reader in turn. Colours are told by their words and
// then nothing else is tried.
func decodeAll(t string) ([]Reading, error) {
	if colours, ok, err := splitColours(t); ok || err != nil {
		if err != nil {
			return nil, &Error{t, err.Error()}
		}
		return bands(t, colours)
	}
	var all []Reading
	all = append(all, typeNumber(t)...)
	letters, codes := letterCodes(t), figureCodes(t)
	if powerFigure(t) {
		all = append(append(all, codes...), letters...)
	} else {
		all = append(append(all, letters...), codes...)
	}
	all = append(all, plain(t)...)
	return distinct(all), nil
}

// powerFigure tells three figures that end in no nought: 104K is likelier a
// capacitor's code than 104 kΩ, while 470K is likelier 470 kΩ than 47 pF.
func powerFigure(t string) bool {
	m := figures.FindStringSubmatch(t)
	return m != nil && len(m[2]) == 3 && m[2][2] != '0'
}

// distinct drops a reading that an earlier one already gave.
func distinct(all []Reading) []Reading {
	seen := map[string]bool{}
	var out []Reading
	for _, r := range all {
		key := string(r.Kind) + "|" + r.Text + "|" + r.Type
		if !seen[key] {
			seen[key] = true
			out = append(out, r)
		}
	}
	return out
}

// plain reads a value written out: "10 µF 25 V", "4.7 kΩ 5%".
func plain(t string) []Reading {
	value, rest := t, ""
	if i := voltageStart(t); i > 0 {
		value, rest = strings.TrimSpace(t[:i]), strings.TrimSpace(t[i:])
	}
	for _, c := range []struct {
		kind circuit.Kind
		unit quantity.Unit
	}{{circuit.Capacitor, quantity.Farad}, {circuit.Inductor, quantity.Henry}, {circuit.Resistor, quantity.Ohm}} {
		if c.unit == quantity.Henry && !strings.Contains(value, "H") {
			continue // 104K is no inductance
		}
		if c.unit == quantity.Ohm && !strings.ContainsAny(value, "RkKMΩ\u2126") && !strings.Contains(strings.ToLower(value), "ohm") {
			continue // a bare figure is a code, not a value
		}
		v, err := quantity.Parse(value, c.unit)
		if err != nil {
			continue
		}
		r := valueReading(c.kind, c.unit, v, "value written out")
		if volts, err := quantity.Parse(rest, quantity.Volt); err == nil && rest != "" {
			r.Voltage = &volts
			r.Text += ", " + quantity.Format(volts, quantity.Volt, 3)
		}
		return []Reading{r}
	}
	return nil
}

// voltageStart finds where a rated voltage begins: the last run of figures
// before a closing V.
func voltageStart(t string) int {
	if !strings.HasSuffix(t, "V") && !strings.HasSuffix(t, "v") {
		return -1
	}
	i := len(t) - 1
	for i > 0 && strings.ContainsRune("0123456789. ", rune(t[i-1])) {
		i--
	}
	return i
}

func valueReading(k circuit.Kind, u quantity.Unit, v float64, source string) Reading {
	return Reading{Kind: k, Value: &v, Unit: u.String(), Text: quantity.Format(v, u, 4), Source: source}
}

// withTolerance adds a symmetric tolerance.
func (r Reading) withTolerance(tol float64) Reading {
	r.Tolerance = &tol
	r.Text += " ±" + quantity.Format(tol, quantity.Percent, 3)
	return r
}

// withLimits adds limits that differ either way.
func (r Reading) withLimits(low, high float64) Reading {
	r.Limits = &[2]float64{low, high}
	r.Text += fmt.Sprintf(" −%.0f/+%.0f %%", -100*low, 100*high)
	return r
}
