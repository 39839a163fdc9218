package job

import (
	"fmt"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

func (r *reader) states(c cursor) {
	r.each(c, "states", func(key string, at cursor) {
		s := State{Name: key}
		r.each(at, "settings of parts", func(ref string, at cursor) {
			if set, ok := r.setting(circuit.PartRef(ref), at); ok {
				s.Settings = append(s.Settings, set)
			}
		})
		r.doc.States = append(r.doc.States, s)
	})
}

func (r *reader) setting(ref circuit.PartRef, c cursor) (Setting, bool) {
	set := Setting{Part: ref}
	p, ok := r.doc.Part(ref)
	if !ok {
		return set, r.absentSetting(&set, c)
	}
	if p.Kind == "" {
		return set, false // its own problem says enough
	}
	if p.Kind == circuit.Potentiometer {
		v, ok := r.number(c, "a control's place on its track, from lead 1 to the wiper,", 0, 1)
		set.Setting = circuit.Setting{Form: circuit.Control, Position: v}
		return set, ok
	}
	words := settingsOf(p.Kind)
	if words == nil {
		r.fail(c, "%s is %s, which no state can set; sources, switches and potentiometers can be set", ref, article(string(p.Kind)))
		return set, false
	}
	w, ok := r.word(c, fmt.Sprintf("setting of %s, %s", ref, article(string(p.Kind))), words)
	set.Setting = settingOf(w)
	return set, ok
}

// absentSetting reads the setting of a part that is not there. Close to the
// name of one that can be set it is a slip, and dangerous: the supply would
// be thought off. Else it is kept until the part is there.
func (r *reader) absentSetting(set *Setting, c cursor) bool {
	var refs []string
	for _, p := range r.doc.Parts {
		if circuit.DefaultSetting(p.Kind).Form != "" {
			refs = append(refs, string(p.Ref))
		}
	}
	if near := nearest(string(set.Part), refs); near != "" {
		r.fail(c, "there is no part %q; did you mean %s?", shorten(string(set.Part)), near)
		return false
	}
	r.warn(c, "there is no part %q yet; the setting is kept and does nothing", shorten(string(set.Part)))
	if s, isText := c.text(); isText && plainNumber.MatchString(s) && s != "" {
		v, ok := r.number(c, "a control's place on its track", 0, 1)
		set.Setting = circuit.Setting{Form: circuit.Control, Position: v}
		return ok
	}
	w, ok := r.word(c, "setting", []string{"on", "off", "open", "closed", "no", "nc"})
	set.Setting = settingOf(w)
	return ok
}

// text is the cursor's scalar.
func (c cursor) text() (string, bool) { return c.node.text, c.isScalar() }

// settingOf gives a word of a state its form.
func settingOf(word string) circuit.Setting {
	if word == "no" || word == "nc" {
		return circuit.Setting{Form: circuit.Thrown, Contact: circuit.LeadName(word)}
	}
	return circuit.Setting{Form: circuit.SettingForm(word)}
}

// stateName reads the name of a state that is there.
func (r *reader) stateName(into *string) func(cursor) {
	return func(c cursor) {
		var names []string
		for _, s := range r.doc.States {
			names = append(names, s.Name)
		}
		*into = r.reference(c, "state", names)
	}
}

func (r *reader) meterName(into *string) func(cursor) {
	return func(c cursor) {
		var names []string
		for _, m := range r.doc.Meters {
			names = append(names, m.Name)
		}
		*into = r.reference(c, "meter", names)
	}
}

// reference reads a name that must be one of those there.
func (r *reader) reference(c cursor, what string, names []string) string {
	s, ok := r.name(c, "a "+what+"'s name")
	if ok && !slices.Contains(names, s) {
		r.fail(c, "no %s %q is described%s; describe it under %ss, or leave the key away", what, shorten(s), didYouMean(s, names), what)
		return ""
	}
	return s
}

func (r *reader) meters(c cursor) {
	r.each(c, "meters", func(key string, at cursor) {
		m := Meter{Name: key, Class: "digital"}
		fields := []field{{"class", false, func(at cursor) {
			if w, ok := r.word(at, "class of meter", MeterClasses()); ok {
				m.Class = w
			}
		}}}
		for _, spec := range MeterParams() {
			fields = append(fields, field{spec.Name, false, r.param(spec, limits{nonzero: meterNonzero(spec.Name)}, &m.Params)})
		}
		r.record(at, "meter "+key, fields...)
		r.doc.Meters = append(r.doc.Meters, m)
	})
}

// meterNonzero tells what a meter can't have none of.
func meterNonzero(name string) bool {
	switch name {
	case "input", "sensitivity", "range", "rated", "open circuit", "test current", "junction current", "highest ohms":
		return true
	}
	return false
}

func (r *reader) symptoms(c cursor) {
	r.items(c, "symptoms", func(at cursor) {
		var s Symptom
		r.record(at, "a symptom",
			field{"part", false, func(at cursor) { s.Part = r.seenAt(at) }},
			field{"seen", true, func(at cursor) { s.Seen, _ = r.name(at, "what was seen or heard"); r.seen(s.Seen, at) }},
			field{"state", false, r.stateName(&s.State)},
			field{"time", false, r.time(&s.Time)},
			field{"note", false, r.text(&s.Note, "a note")})
		r.doc.Symptoms = append(r.doc.Symptoms, s)
	})
}

// seenAt reads the part that a symptom is seen at, and warns where it is not
// there.
func (r *reader) seenAt(c cursor) circuit.PartRef {
	ref, ok := r.name(c, "a part's reference")
	if !ok {
		return ""
	}
	if _, ok := r.doc.Part(circuit.PartRef(ref)); !ok {
		refs := make([]string, len(r.doc.Parts))
		for i, p := range r.doc.Parts {
			refs[i] = string(p.Ref)
		}
		r.warn(c, "there is no part %q yet, so the symptom carries no weight%s", shorten(ref), didYouMean(ref, refs))
	}
	return circuit.PartRef(ref)
}

func (r *reader) seen(word string, c cursor) {
	if words := SeenWords(); word != "" && !slices.Contains(words, word) {
		r.warn(c, "%q is kept and shown but carries no weight%s", shorten(word), didYouMean(word, words))
	}
}

func (r *reader) readings(c cursor) {
	r.items(c, "readings", func(at cursor) {
		var x Reading
		mode := func(at cursor) {
			w, _ := r.word(at, "mode", Modes())
			x.Mode = Mode(w)
		}
		r.record(at, "a reading",
			field{"mode", true, mode},
			field{"red", true, func(at cursor) { x.Red = r.probe(at) }},
			field{"black", false, func(at cursor) { p := r.probe(at); x.Black = &p }},
			field{"state", false, r.stateName(&x.State)},
			field{"meter", false, r.meterName(&x.Meter)},
			field{"value", true, func(cursor) {}},
			field{"time", false, r.time(&x.Time)},
			field{"note", false, r.text(&x.Note, "a note")})
		if at.kind == mapNode && x.Black == nil && at.get("black") == nil && r.doc.Common == "" {
			r.fail(at, "black is missing, and the job names no common to take for it; add black, or common at the top")
		}
		if n := at.get("value"); n != nil && x.Mode != "" {
			x.Value = r.readingValue(at.under("value", n), x.Mode)
		}
		r.doc.Readings = append(r.doc.Readings, x)
	})
}

// probe reads where a meter lead was held, and warns where nothing is.
func (r *reader) probe(c cursor) Place {
	p, ok := r.place(c)
	if ok && p.Net != "" && !r.knowsNet(p.Net) {
		r.warn(c, "no lead is on net %q%s", shorten(string(p.Net)), didYouMean(string(p.Net), r.doc.netNames()))
	}
	return p
}

// knowsNet reports whether a lead is on the net, its copper has the name, or
// the name is that of a lead: R1.2. It is asked once parts and nets are read.
func (r *reader) knowsNet(n circuit.NetID) bool {
	if r.probed == nil {
		r.probed = map[circuit.NetID]bool{}
		for _, s := range append(r.doc.netNames(), r.doc.leadNames()...) {
			r.probed[circuit.NetID(s)] = true
		}
	}
	return r.probed[n]
}

func (r *reader) readingValue(c cursor, m Mode) Value {
	s, ok := r.scalar(c, "a reading's value")
	if !ok {
		return Value{}
	}
	v, err := ParseValue(m, s)
	if err != nil {
		r.fail(c, "value: %v", err)
	}
	return v
}

// ParseValue reads what a meter showed in a mode: an amount, overrange, or for
// continuity joined or separate.
func ParseValue(m Mode, text string) (Value, error) {
	v := Value{Text: text}
	if m == Continuity {
		yes := text == joined
		v.Joined = &yes
		if !yes && text != separate {
			return v, fmt.Errorf("%q is no continuity reading; expected joined or separate%s", text, didYouMean(text, []string{joined, separate}))
		}
		return v, nil
	}
	if text == overrange {
		v.Overrange = true
		return v, nil
	}
	a, err := quantity.Parse(text, m.Unit())
	if err != nil {
		if near := nearest(text, []string{overrange}); near != "" {
			return v, fmt.Errorf("%w; did you mean %s?", err, near)
		}
		return v, err
	}
	if a < 0 && m == Ohms {
		return v, fmt.Errorf("%q: a resistance can't be below zero", text)
	}
	v.Amount = circuit.Amount{Value: a, Unit: m.Unit()}
	return v, nil
}
