package httpapi

import (
	"context"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/marking"
	"foilside/internal/quantity"
)

// Kinds lists every kind of part with what may be said of it.
func (l *live) Kinds(context.Context) ([]KindInfo, error) {
	var out []KindInfo
	for _, k := range circuit.Kinds() {
		info, _ := circuit.Lookup(k)
		out = append(out, KindInfo{Kind: string(k), Letter: info.Letter, Noun: info.Noun, Windings: k == circuit.Transformer,
			Leads: each(info.Leads, func(n circuit.LeadName) string { return string(n) }), Params: each(info.Params, paramInfo)})
	}
	return out, nil
}

func paramInfo(p circuit.Param) ParamInfo {
	out := ParamInfo{Name: p.Name, Doc: p.Doc, Words: p.Words}
	if len(p.Units) > 0 {
		out.Unit, out.Sample = p.Units[0].String(), p.Units[0].Sample()
	}
	if p.Default != nil {
		out.Default = p.Default.Word
		if len(p.Units) > 0 {
			out.Default = quantity.Format(p.Default.Value, p.Units[0], 3)
		}
	}
	return out
}

// Marking reads the marking on a part; of several meanings the likeliest is
// given and the others noted.
func (l *live) Marking(_ context.Context, text, kind string) (Marking, error) {
	all, err := marking.Decode(text, circuit.Kind(kind))
	if err != nil {
		all, err = marking.Decode(text, "")
	}
	if err != nil {
		return Marking{}, fault(err)
	}
	out := markingWire(all[0])
	for _, other := range all[1:] {
		out.Notes = append(out.Notes, "or "+other.Text+", "+other.Source)
	}
	if all[0].Doubtful {
		out.Notes = append(out.Notes, "a lawful marking, but an unlikely one: look again")
	}
	return out, nil
}

func markingWire(r marking.Reading) Marking {
	out := Marking{Kind: string(r.Kind), Type: r.Type, Source: r.Source, Text: r.Text}
	if r.Value != nil {
		out.Value = quantity.Format(*r.Value, unitOf(r.Unit), 4)
	}
	if r.Tolerance != nil {
		out.Tolerance = quantity.Format(*r.Tolerance, quantity.Percent, 3)
	}
	return out
}

// unitOf is the unit with the symbol.
func unitOf(symbol string) quantity.Unit {
	for _, u := range []quantity.Unit{quantity.Ohm, quantity.Farad, quantity.Henry, quantity.Volt, quantity.Ampere, quantity.Watt, quantity.Hertz, quantity.Percent} {
		if u.String() == symbol {
			return u
		}
	}
	return quantity.None
}

// Quantity reads a typed quantity.
func (l *live) Quantity(_ context.Context, text, unit string) (Quantity, error) {
	u := unitOf(unit)
	v, err := quantity.Parse(strings.TrimSpace(text), u)
	if err != nil {
		return Quantity{}, fault(err)
	}
	return Quantity{Value: v, Text: quantity.Format(v, u, 5)}, nil
}
