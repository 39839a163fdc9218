package job

import (
	"fmt"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// kindTable remembers the rows of circuit's table, which are built afresh at
// each look-up, for the length of one reading.
type kindTable map[circuit.Kind]circuit.Info

func (t kindTable) lookup(k circuit.Kind) (circuit.Info, bool) {
	if info, ok := t[k]; ok {
		return info, info.Kind != ""
	}
	info, ok := circuit.Lookup(k)
	t[k] = info
	return info, ok
}

func (r *reader) parts(c cursor) {
	r.each(c, "parts", func(ref string, at cursor) { r.part(circuit.PartRef(ref), at) })
}

// part reads one part. It is kept even where it has problems, so that what
// refers to it is not called unknown.
func (r *reader) part(ref circuit.PartRef, c cursor) {
	p := Part{Ref: ref}
	defer func() { r.doc.Parts = append(r.doc.Parts, p) }()
	if c.kind != mapNode {
		r.fail(c, "found %s where part %s is expected, like {kind: resistor, value: 4k7, leads: {1: a, 2: b}}", c.describe(), ref)
		return
	}
	info, ok := r.partKind(ref, c)
	if !ok {
		return
	}
	p.Kind = info.Kind
	fields := []field{
		{"kind", true, func(cursor) {}},
		{"type", false, r.text(&p.Type, "a type number")},
		{"marking", false, r.text(&p.Marking, "a marking")},
	}
	for _, spec := range partParams(info) {
		fields = append(fields, field{spec.Name, false, r.param(spec, limitsOf(info.Kind, spec.Name), &p.Params)})
	}
	if info.Kind == circuit.Transformer {
		fields = append(fields, field{"windings", true, func(at cursor) { r.windings(at, &p) }},
			field{"inductance", false, func(cursor) {}})
	} else {
		fields = append(fields, field{"leads", true, func(cursor) {}})
	}
	fields = append(fields, field{"note", false, r.text(&p.Note, "a note")})
	r.record(c, fmt.Sprintf("part %s, %s,", ref, article(info.Noun)), fields...)
	r.partLeads(c, info, &p)
}

// partLeads reads what depends on the rest of the part: inductances need the
// windings, leads the number of poles.
func (r *reader) partLeads(c cursor, info circuit.Info, p *Part) {
	if info.Kind == circuit.Transformer {
		if n := c.get("inductance"); n != nil {
			r.inductance(c.under("inductance", n), p)
		}
		r.checkTurns(c, p)
		return
	}
	if n := c.get("leads"); n != nil {
		r.leads(c.under("leads", n), info, p)
	}
}

func (r *reader) partKind(ref circuit.PartRef, c cursor) (circuit.Info, bool) {
	n := c.get("kind")
	if n == nil {
		r.fail(c, "part %s has no kind; write one like kind: resistor", ref)
		return circuit.Info{}, false
	}
	at := c.under("kind", n)
	k, ok := r.scalar(at, "a kind of part")
	if !ok {
		return circuit.Info{}, false
	}
	info, ok := r.kinds.lookup(circuit.Kind(k))
	if !ok {
		var all []string
		for _, k := range circuit.Kinds() {
			all = append(all, string(k))
		}
		hint := didYouMean(k, all)
		if hint == "" {
			hint = "; expected " + orList(all)
		}
		r.fail(at, "%q is no kind of part%s", shorten(k), hint)
	}
	return info, ok
}

// partParams are the table's parameters, and a valve's anode current.
func partParams(info circuit.Info) []circuit.Param {
	if spec, ok := paramSpec(info, anodeCurrent); ok && spec.Name == anodeCurrent {
		return append(slices.Clone(info.Params), spec)
	}
	return info.Params
}

func (r *reader) param(spec circuit.Param, lim limits, into *[]Param) func(cursor) {
	return func(c cursor) {
		what := "a " + spec.Name
		if len(spec.Units) > 0 {
			what = spec.Units[0].Word()
		}
		s, ok := r.scalar(c, what)
		if !ok {
			return
		}
		p, err := parseParam(spec, s, lim)
		if err != nil {
			r.fail(c, "%s: %v", spec.Name, err)
			return
		}
		*into = append(*into, p)
	}
}

func (r *reader) leads(c cursor, info circuit.Info, p *Part) {
	want := leadNames(info, p)
	given := map[circuit.LeadName]bool{}
	r.each(c, "leads", func(key string, at cursor) {
		name := circuit.LeadName(key)
		if want != nil && !slices.Contains(want, name) {
			r.fail(at, "%s has no lead %q; it has %s%s", article(info.Noun), shorten(key), joinLeads(want), didYouMean(key, leadTexts(want)))
			return
		}
		given[name] = true
		if place, ok := r.place(at); ok {
			p.Leads = append(p.Leads, Lead{name, place})
		}
	})
	if c.kind != mapNode {
		if c.kind == nullNode {
			r.fail(c, "part %s has no leads; %s has %s", p.Ref, article(info.Noun), joinLeads(want))
		}
		return
	}
	r.missingLeads(c, info, p.Ref, want, given)
}

func (r *reader) missingLeads(c cursor, info circuit.Info, ref circuit.PartRef, want []circuit.LeadName, given map[circuit.LeadName]bool) {
	var missing []circuit.LeadName
	for _, l := range want {
		if !given[l] {
			missing = append(missing, l)
		}
	}
	switch {
	case len(missing) == 1:
		r.fail(c, "lead %s of %s is missing; %s has leads %s", missing[0], ref, article(info.Noun), joinLeads(want))
	case len(missing) > 1:
		r.fail(c, "leads %s of %s are missing; %s has leads %s", joinLeads(missing), ref, article(info.Noun), joinLeads(want))
	case want == nil && len(given) == 0:
		r.fail(c, "part %s has no leads; %s needs at least one", ref, article(info.Noun))
	}
}

func leadNames(info circuit.Info, p *Part) []circuit.LeadName {
	poles := 1
	if n, ok := p.Param("poles"); ok {
		poles = int(n)
	}
	if poles == 1 && !info.AnyLead {
		return info.Leads
	}
	return circuit.LeadNames(info.Kind, nil, poles)
}

func leadTexts(names []circuit.LeadName) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = string(n)
	}
	return out
}

func joinLeads(names []circuit.LeadName) string { return strings.Join(leadTexts(names), " ") }

func (r *reader) windings(c cursor, p *Part) {
	r.each(c, "windings", func(key string, at cursor) {
		w := Winding{Name: key}
		r.record(at, fmt.Sprintf("winding %s", key),
			field{"leads", true, func(at cursor) { r.windingLeads(at, &w) }},
			field{"turns", false, func(at cursor) { w.Turns, _ = r.number(at, "a number of turns", 1e-6, 1e9) }},
			field{"resistance", false, r.quantity(&w.Resistance, quantity.Ohm)})
		p.Windings = append(p.Windings, w)
	})
	if c.empty() {
		r.fail(c, "transformer %s has no windings", p.Ref)
	}
}

func (r *reader) windingLeads(c cursor, w *Winding) {
	if c.kind != listNode || len(c.node.items) != 2 {
		r.fail(c, "found %s where the two leads of winding %s are expected, the dotted end first, like [p1, p2]", c.describe(), w.Name)
		return
	}
	for i := range w.Leads {
		w.Leads[i], _ = r.place(cursor{c.node.items[i], c.path})
	}
}

func (r *reader) quantity(into **Quantity, u quantity.Unit) func(cursor) {
	return func(c cursor) {
		s, ok := r.scalar(c, u.Word())
		if !ok {
			return
		}
		v, err := quantity.Parse(s, u)
		switch {
		case err != nil:
			r.fail(c, "%v", err)
		case v < 0:
			r.fail(c, "%q can't be below zero", shorten(s))
		default:
			*into = &Quantity{Text: s, Amount: circuit.Amount{Value: v, Unit: u}}
		}
	}
}

// inductance reads a map from winding to inductance.
func (r *reader) inductance(c cursor, p *Part) {
	r.each(c, "windings' inductances", func(key string, at cursor) {
		i := slices.IndexFunc(p.Windings, func(w Winding) bool { return w.Name == key })
		if i < 0 {
			var names []string
			for _, w := range p.Windings {
				names = append(names, w.Name)
			}
			r.fail(at, "%s has no winding %q; it has %s%s", p.Ref, shorten(key), orList(names), didYouMean(key, names))
			return
		}
		r.quantity(&p.Windings[i].Inductance, quantity.Henry)(at)
		if q := p.Windings[i].Inductance; q != nil && q.Amount.Value == 0 {
			r.fail(at, "an inductance can't be zero")
		}
	})
}

// checkTurns asks for what sets the ratio between windings.
func (r *reader) checkTurns(c cursor, p *Part) {
	for _, w := range p.Windings {
		if w.Turns == 0 && w.Inductance == nil {
			r.fail(c, "winding %s of %s needs turns, or an inductance (the ratio of turns is enough: 1 and 75)", w.Name, p.Ref)
		}
	}
}
