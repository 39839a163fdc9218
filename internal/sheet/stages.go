package sheet

import "strings"

// stages says how the unit works, one paragraph a stage in the order of the
// signal.
func (d *Document) stages(s Sheet) {
	if len(s.Stages) == 0 {
		return
	}
	d.section("How it works", Paragraph{"Found from the circuit and computed from the values of its parts, not measured: no proof that anything is safe to touch."})
	for _, row := range s.Stages {
		d.add(Paragraph{row.paragraph()})
	}
	if len(s.Apart) > 0 {
		d.add(Paragraph{"What these do was not found: " + strings.Join(s.Apart, ", ") + "."})
	}
}

func (r StageRow) paragraph() string {
	text := r.Name
	if text != "" {
		text = strings.ToUpper(text[:1]) + text[1:]
	}
	text += " (" + r.Parts + ")"
	if len(r.From) > 0 {
		text += ", fed by the " + strings.Join(r.From, " and the ")
	}
	text += ". " + r.Text
	for _, n := range r.Notes {
		text += " Note: " + n + "."
	}
	return text
}
