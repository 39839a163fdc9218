package job

import (
	"time"

	"foilside/internal/circuit"
)

// tree turns the document into the tree that is written. With full, sections
// without entries stand there too, so that a command finds the place where a
// first entry goes.
func (d *Document) tree(full bool) *node {
	n := mapping().putText("unit", d.Unit).putText("common", string(d.Common)).putText("demonstration", d.Demonstration)
	section := func(key string, v *node) {
		if full || !v.empty() || key == "parts" {
			n.put(key, v)
		}
	}
	section("photos", d.Photos.node(full))
	n.put("scale", d.Scale.node())
	section("align", nodes(d.Align, PointPair.node))
	section("copper", d.Copper.node(full))
	section("nets", named(d.Nets, func(x NamedNet) (string, *node) { return string(x.Name), x.Joint.node() }))
	section("wires", nodes(d.Wires, Wire.node))
	section("parts", named(d.Parts, func(p Part) (string, *node) { return string(p.Ref), p.node() }))
	section("layout", named(d.Layout, func(s Standing) (string, *node) { return string(s.Part), s.node() }))
	section("states", named(d.States, func(s State) (string, *node) { return s.Name, s.node() }))
	section("meters", named(d.Meters, func(m Meter) (string, *node) { return m.Name, m.node() }))
	section("symptoms", nodes(d.Symptoms, Symptom.node))
	section("readings", nodes(d.Readings, Reading.node))
	section("work", nodes(d.Work, Work.node))
	return n
}

func nodes[T any](all []T, write func(T) *node) *node {
	n := list()
	for _, x := range all {
		n.items = append(n.items, write(x))
	}
	return n
}

func named[T any](all []T, write func(T) (string, *node)) *node {
	n := mapping()
	for _, x := range all {
		key, value := write(x)
		n.put(key, value)
	}
	return n
}

func (p Pixel) node() *node { return list(number(p[0]), number(p[1])) }

func (p Photos) node(full bool) *node {
	n := mapping().put("component", p.Component.node()).put("foil", p.Foil.node())
	if full || len(p.Further) > 0 {
		n.put("further", nodes(p.Further, FurtherPhoto.node))
	}
	return n
}

func (f FurtherPhoto) node() *node {
	if !f.Backlit {
		return f.Photo.node()
	}
	n := mapping().putText("file", f.File).putText("sha256", f.SHA256)
	return n.putText("backlit", yes)
}

func (p *Photo) node() *node {
	switch {
	case p == nil:
		return nil
	case p.SHA256 == "":
		return scalar(p.File)
	}
	return mapping().putText("file", p.File).putText("sha256", p.SHA256)
}

func (s *Scale) node() *node {
	if s == nil {
		return nil
	}
	return mapping().put("from", s.From.node()).put("to", s.To.node()).put("mm", number(s.MM)).putText("on", string(s.On))
}

func (p PointPair) node() *node {
	return mapping().put("component", p.Component.node()).put("foil", p.Foil.node())
}

func (c Copper) node(full bool) *node {
	samples, n := mapping(), mapping()
	some := func(to *node, key string, v *node) {
		if full || !v.empty() {
			to.put(key, v)
		}
	}
	some(samples, "copper", nodes(c.Samples.Copper, Pixel.node))
	some(samples, "bare", nodes(c.Samples.Bare, Pixel.node))
	some(n, "samples", samples)
	some(n, "strokes", nodes(c.Strokes, Stroke.node))
	some(n, "cuts", nodes(c.Cuts, Segment.node))
	some(n, "joins", nodes(c.Joins, Segment.node))
	return n.putText("upper", string(c.Upper))
}

func (s Stroke) node() *node {
	mark := "copper"
	if s.Bare {
		mark = "bare"
	}
	return mapping().putText("mark", mark).put("width", number(s.Width)).put("path", nodes(s.Path, Pixel.node))
}

func (s Segment) node() *node {
	return mapping().put("from", s.From.node()).put("to", s.To.node())
}

func (w Wire) node() *node {
	return mapping().put("from", w.From.node()).put("to", w.To.node())
}

func (p Place) node() *node {
	switch {
	case p.At != nil:
		return mapping().put("at", p.At.node())
	case p.Joint != nil:
		return mapping().put("joint", p.Joint.node())
	}
	return scalar(string(p.Net))
}

func (p Part) node() *node {
	n := mapping().putText("kind", string(p.Kind)).putText("type", p.Type).putText("marking", p.Marking)
	putParams(n, p.Params)
	if p.Kind == circuit.Transformer {
		n.put("windings", named(p.Windings, func(w Winding) (string, *node) { return w.Name, w.node() }))
		inductance := mapping()
		for _, w := range p.Windings {
			if w.Inductance != nil {
				inductance.putText(w.Name, w.Inductance.Text)
			}
		}
		if !inductance.empty() {
			n.put("inductance", inductance)
		}
	} else {
		n.put("leads", named(p.Leads, func(l Lead) (string, *node) { return string(l.Name), l.Place.node() }))
	}
	return n.putText("note", p.Note)
}

func putParams(n *node, params []Param) {
	for _, x := range params {
		n.putText(x.Name, x.Text)
	}
}

func (w Winding) node() *node {
	n := mapping().put("leads", list(w.Leads[0].node(), w.Leads[1].node()))
	if w.Turns != 0 {
		n.put("turns", number(w.Turns))
	}
	if w.Resistance != nil {
		n.putText("resistance", w.Resistance.Text)
	}
	return n
}

func (s State) node() *node {
	return named(s.Settings, func(x Setting) (string, *node) { return string(x.Part), settingNode(x.Setting) })
}

func settingNode(s circuit.Setting) *node {
	switch s.Form {
	case circuit.Control:
		return number(s.Position)
	case circuit.Thrown:
		return scalar(string(s.Contact))
	}
	return scalar(string(s.Form))
}

func (m Meter) node() *node {
	n := mapping().putText("class", m.Class)
	putParams(n, m.Params)
	return n
}

func (s Symptom) node() *node {
	return mapping().putText("part", string(s.Part)).putText("seen", s.Seen).putText("state", s.State).
		putText("time", timeText(s.Time)).putText("note", s.Note)
}

func (r Reading) node() *node {
	n := mapping().putText("mode", string(r.Mode)).put("red", r.Red.node())
	if r.Black != nil {
		n.put("black", r.Black.node())
	}
	return n.putText("state", r.State).putText("meter", r.Meter).putText("value", r.Value.Text).
		putText("time", timeText(r.Time)).putText("note", r.Note)
}

func (w Work) node() *node {
	return mapping().putText("time", timeText(w.Time)).putText("part", string(w.Part)).
		putText("did", w.Did).putText("note", w.Note)
}

func timeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}
