package charge

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/marking"
	"foilside/internal/quantity"
)

const (
	// zenerWithin is how far a substitute's voltage may lie off.
	zenerWithin = 0.03
	// gainDown and gainUp bound a substitute's gain, as shares of the part's:
	// less may not drive what follows, much more may swing or leak. Common
	// practice.
	gainDown, gainUp = 0.7, 3.0
	// thresholdWithin bounds a field-effect transistor's threshold or pinch-off.
	thresholdWithin = 0.3
)

// model is a part as its job and its type number describe it.
type model struct {
	part circuit.Part
	row  marking.Entry
}

func modelOf(p circuit.Part) model {
	row, _ := marking.Find(p.Type)
	if row.Kind != p.Kind {
		row = marking.Entry{}
	}
	return model{p, row}
}

func (m model) amount(name string) (float64, bool) {
	if v, ok := m.part.Amount(name); ok {
		return v, true
	}
	v, ok := m.row.Amount[name]
	return v, ok
}

func (m model) word(name string) string {
	if w := m.part.Words[name]; w != "" {
		return w
	}
	if w := m.row.Word[name]; w != "" {
		return w
	}
	info, _ := circuit.Lookup(m.part.Kind)
	if p, ok := info.Param(name); ok && p.Default != nil {
		return p.Default.Word
	}
	return ""
}

// substitutes are the types of the parts shelf that serve in place of a part:
// of the same kind and material, with every rating that the circuit asks for
// known and sufficient, and alike in what decides how it works. Those whose
// ratings are nearest to what was fitted come first.
func substitutes(p circuit.Part, r Required) []Option {
	m := modelOf(p)
	out := []Option{}
	for _, e := range marking.Shelf() {
		if e.Kind != p.Kind || strings.EqualFold(e.Type, p.Type) || m.word("material") != e.Word["material"] || !stands(e, r) || !m.alike(e) {
			continue
		}
		out = append(out, Option{Type: e.Type, Text: e.Type + ": " + ratingsOf(e) + " (" + e.Source + ")", Effect: m.farFrom(e)})
	}
	slices.SortStableFunc(out, func(a, b Option) int { return cmp.Compare(a.Effect, b.Effect) })
	out = out[:min(len(out), mostOptions)]
	for i := range out {
		out[i].Effect = 0 // the order is all that it served for; no reading was computed
	}
	return out
}

// stands tells whether a type is known to stand what is asked.
func stands(e marking.Entry, r Required) bool {
	for name, need := range map[string]float64{ratedVoltage(e.Kind): r.Volts, "current": r.Amps, "power": r.Watts} {
		if have, ok := e.Amount[name]; need > 0 && (!ok || have < need) {
			return false
		}
	}
	return true
}

// alike tells whether a type works as the part does, as far as both are known.
func (m model) alike(e marking.Entry) bool {
	within := func(name string, low, high float64) bool {
		mine, ok := m.amount(name)
		theirs, known := e.Amount[name]
		if !ok || !known || mine == 0 {
			return true
		}
		share := theirs / mine
		return share >= low && share <= high
	}
	return within("gain", gainDown, gainUp) && within("zener voltage", 1-zenerWithin, 1+zenerWithin) &&
		within("threshold", 1-thresholdWithin, 1+thresholdWithin) && within("output voltage", 0.99, 1.01) &&
		within("intrinsic ratio", 0.9, 1.1)
}

// farFrom is how far a type's ratings and gain are from those of the part, on a
// logarithmic scale: for the order only.
func (m model) farFrom(e marking.Entry) float64 {
	var sum float64
	for name, theirs := range e.Amount {
		if mine, ok := m.amount(name); ok && mine != 0 && theirs/mine > 0 {
			sum += math.Abs(math.Log(theirs / mine))
		}
	}
	return sum
}

// ratingsOf words what a type stands.
func ratingsOf(e marking.Entry) string {
	var words []string
	for _, x := range []struct {
		name string
		unit quantity.Unit
	}{{"zener voltage", quantity.Volt}, {ratedVoltage(e.Kind), quantity.Volt}, {"current", quantity.Ampere}, {"power", quantity.Watt}} {
		if v, ok := e.Amount[x.name]; ok {
			words = append(words, quantity.Format(v, x.unit, 3))
		}
	}
	if g, ok := e.Amount["gain"]; ok {
		words = append(words, fmt.Sprintf("gain about %.0f", g))
	}
	if len(words) == 0 {
		return "ratings not on the shelf"
	}
	return strings.Join(words, ", ")
}
