package job_test

import (
	"fmt"
	"time"

	"pgregory.net/rapid"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/quantity"
)

// names are what people and mean programs call parts, nets and states.
func names() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[A-Z]{1,2}[0-9]{1,3}`),
		rapid.SampledFrom([]string{"null", "~", "on", "no", "true", "1e3", "010", "-", "+", "a: b", "a #b", "{x", "- a", "'", `"`, "*a", "&a", "!t", "%d", "@", "`", "|", ">", "?", "? a", "...", "---", "<<", "=", "x:", "a,b", "[a]", "Ω µ", "0x1F", ".inf", ".nan", "12:30", "2026-11-25", "a/b", "a.b", "é", "ｆ", "😀", "a\\b"}),
		rapid.StringMatching(`[!-~]([ -~]{0,6}[!-~])?`),
	)
}

// texts are free texts of any kind.
func texts() *rapid.Generator[string] {
	return rapid.OneOf(names(), rapid.String(), rapid.SampledFrom([]string{"two\nlines", "tab\there", " spaced ", "\u2028", "\x7f", "\x00", "trailing \n", "\r\n", "\ufeff"}))
}

func maybe[T any](t *rapid.T, g *rapid.Generator[T]) (v T) {
	if rapid.Bool().Draw(t, "given") {
		v = g.Draw(t, "value")
	}
	return v
}

func genPixel(t *rapid.T) job.Pixel {
	coord := rapid.OneOf(rapid.Float64Range(-10, 9000), rapid.Map(rapid.IntRange(0, 9000), func(i int) float64 { return float64(i) }))
	return job.Pixel{0 + coord.Draw(t, "x"), 0 + coord.Draw(t, "y")}
}

func genPixels(t *rapid.T, most int) []job.Pixel {
	var out []job.Pixel
	for range rapid.IntRange(0, most).Draw(t, "pixels") {
		out = append(out, genPixel(t))
	}
	return out
}

func genPlace(t *rapid.T) job.Place {
	p := genPixel(t)
	switch rapid.IntRange(0, 3).Draw(t, "place") {
	case 0:
		return job.Place{At: &p}
	case 1:
		return job.Place{Joint: &p}
	}
	return job.Place{Net: circuit.NetID(names().Draw(t, "net"))}
}

// genText writes some amount of a unit.
func genText(t *rapid.T, u quantity.Unit) string {
	v := rapid.Float64Range(0.01, 0.99).Draw(t, "amount")
	if rapid.Bool().Draw(t, "as a code") {
		return quantity.Code(v, u)
	}
	return quantity.Format(v, u, 3)
}

func genParams(t *rapid.T, kind circuit.Kind) []job.Param {
	info, _ := circuit.Lookup(kind)
	var out []job.Param
	for _, spec := range info.Params {
		if spec.Name == "poles" || rapid.Bool().Draw(t, "left out") {
			continue
		}
		text := ""
		if len(spec.Units) == 0 {
			text = rapid.SampledFrom(spec.Words).Draw(t, spec.Name)
		} else {
			text = genText(t, rapid.SampledFrom(spec.Units).Draw(t, "unit"))
			if spec.AtUnit != quantity.None && rapid.Bool().Draw(t, "conditioned") {
				text += " at " + genText(t, spec.AtUnit)
			}
		}
		p, err := job.NewParam(kind, spec.Name, text)
		if err != nil {
			t.Fatalf("%s of a %s: %v", spec.Name, kind, err)
		}
		out = append(out, p)
	}
	return out
}

func genPart(t *rapid.T, ref string) job.Part {
	kind := rapid.SampledFrom(circuit.Kinds()).Draw(t, "kind")
	p := job.Part{
		Ref: circuit.PartRef(ref), Kind: kind, Params: genParams(t, kind),
		Type: maybe(t, texts()), Marking: maybe(t, texts()), Note: maybe(t, texts()),
	}
	leads := circuit.LeadNames(kind, nil, 1)
	switch kind {
	case circuit.Transformer:
		for _, name := range rapid.SliceOfNDistinct(names(), 1, 3, rapid.ID[string]).Draw(t, "windings") {
			p.Windings = append(p.Windings, genWinding(t, name))
		}
	case circuit.Connector, circuit.TestPoint:
		for _, name := range rapid.SliceOfNDistinct(names(), 1, 4, rapid.ID[string]).Draw(t, "leads") {
			leads = append(leads, circuit.LeadName(name))
		}
	}
	for _, name := range leads {
		p.Leads = append(p.Leads, job.Lead{Name: name, Place: genPlace(t)})
	}
	return p
}

func genWinding(t *rapid.T, name string) job.Winding {
	w := job.Winding{Name: name, Leads: [2]job.Place{genPlace(t), genPlace(t)}, Turns: rapid.Float64Range(0.5, 5000).Draw(t, "turns")}
	if rapid.Bool().Draw(t, "with inductance") {
		v := rapid.Float64Range(1e-6, 1).Draw(t, "inductance")
		text := quantity.Format(v, quantity.Henry, 3)
		exact, err := quantity.Parse(text, quantity.Henry)
		if err != nil {
			t.Fatal(err)
		}
		w.Inductance = &job.Quantity{Text: text, Amount: circuit.Amount{Value: exact, Unit: quantity.Henry}}
	}
	return w
}

func genState(t *rapid.T, name string, parts []job.Part) job.State {
	s := job.State{Name: name}
	for _, p := range parts {
		set := circuit.DefaultSetting(p.Kind)
		if set.Form == "" || rapid.Bool().Draw(t, "not set") {
			continue
		}
		if set.Form == circuit.Control {
			set.Position = rapid.Float64Range(0, 1).Draw(t, "position")
		}
		s.Settings = append(s.Settings, job.Setting{Part: p.Ref, Setting: set})
	}
	return s
}

func genTime(t *rapid.T) time.Time {
	return time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "second"), rapid.Int64Range(0, 999).Draw(t, "ms")*1e6).UTC()
}

func genReading(t *rapid.T, d *job.Document) job.Reading {
	m := job.Mode(rapid.SampledFrom(job.Modes()).Draw(t, "mode"))
	text := rapid.SampledFrom([]string{"joined", "separate"}).Draw(t, "heard")
	if m != job.Continuity {
		text = rapid.SampledFrom([]string{"overrange", genText(t, m.Unit())}).Draw(t, "shown")
	}
	v, err := job.ParseValue(m, text)
	if err != nil {
		t.Fatal(err)
	}
	black := genPlace(t)
	r := job.Reading{Mode: m, Red: genPlace(t), Black: &black, Value: v, Note: maybe(t, texts())}
	if rapid.Bool().Draw(t, "timed") {
		r.Time = genTime(t)
	}
	if len(d.States) > 0 && rapid.Bool().Draw(t, "in a state") {
		r.State = rapid.SampledFrom(d.States).Draw(t, "state").Name
	}
	if len(d.Meters) > 0 && rapid.Bool().Draw(t, "with a meter") {
		r.Meter = rapid.SampledFrom(d.Meters).Draw(t, "meter").Name
	}
	return r
}

// genDocument draws a whole job, names and texts as mean as they come.
func genDocument(t *rapid.T) job.Document {
	d := job.Document{Unit: maybe(t, texts()), Common: circuit.NetID(maybe(t, names()))}
	if rapid.Bool().Draw(t, "photos") {
		d.Photos.Component = &job.Photo{File: rapid.SampledFrom([]string{"top.jpg", "a b/Öffnung (1).png"}).Draw(t, "file")}
		d.Photos.Foil = &job.Photo{File: "x.jpg", SHA256: fmt.Sprintf("%064x", rapid.Uint64().Draw(t, "sha"))}
		for i := range rapid.IntRange(0, 2).Draw(t, "further") {
			p := job.FurtherPhoto{Photo: job.Photo{File: fmt.Sprintf("near %d.jpg", i)}, Backlit: rapid.Bool().Draw(t, "backlit")}
			if rapid.Bool().Draw(t, "with a hash") {
				p.SHA256 = d.Photos.Foil.SHA256
			}
			d.Photos.Further = append(d.Photos.Further, p)
		}
	}
	if rapid.Bool().Draw(t, "scale") {
		d.Scale = &job.Scale{From: job.Pixel{-20, -20}, To: genPixel(t), MM: rapid.Float64Range(1, 500).Draw(t, "mm"), On: rapid.SampledFrom([]job.Face{job.ComponentSide, job.FoilSide}).Draw(t, "face")}
	}
	for range rapid.IntRange(0, 3).Draw(t, "pairs") {
		d.Align = append(d.Align, job.PointPair{Component: genPixel(t), Foil: genPixel(t)})
	}
	d.Copper.Samples = job.Samples{Copper: genPixels(t, 3), Bare: genPixels(t, 3)}
	for range rapid.IntRange(0, 2).Draw(t, "corrections") {
		d.Copper.Cuts = append(d.Copper.Cuts, job.Segment{From: genPixel(t), To: genPixel(t)})
		d.Copper.Joins = append(d.Copper.Joins, job.Segment{From: genPixel(t), To: genPixel(t)})
		d.Copper.Strokes = append(d.Copper.Strokes, job.Stroke{Bare: rapid.Bool().Draw(t, "bare"), Width: 3.5, Path: append(genPixels(t, 2), genPixel(t))})
		d.Wires = append(d.Wires, job.Wire{From: genPlace(t), To: genPlace(t)})
	}
	if rapid.Bool().Draw(t, "copper on both faces") {
		d.Copper.Upper = rapid.SampledFrom([]job.Holes{job.PlatedHoles, job.PlainHoles}).Draw(t, "holes")
	}
	distinct := rapid.SliceOfNDistinct(names(), 0, 4, rapid.ID[string])
	for _, n := range distinct.Draw(t, "nets") {
		d.Nets = append(d.Nets, job.NamedNet{Name: circuit.NetID(n), Joint: genPixel(t)})
	}
	for _, ref := range distinct.Draw(t, "refs") {
		d.Parts = append(d.Parts, genPart(t, ref))
	}
	for _, p := range d.Parts {
		if rapid.Bool().Draw(t, "stands") {
			d.Layout = append(d.Layout, job.Standing{Part: p.Ref, X: rapid.IntRange(-9, 99).Draw(t, "x"), Y: rapid.IntRange(0, 99).Draw(t, "y"),
				Turn: 90 * rapid.IntRange(0, 3).Draw(t, "turn"), Mirror: rapid.Bool().Draw(t, "mirror"), Caption: rapid.IntRange(0, 3).Draw(t, "caption"), Sheet: rapid.IntRange(0, 2).Draw(t, "sheet"), Pinned: rapid.Bool().Draw(t, "pinned")})
		}
	}
	for _, n := range distinct.Draw(t, "states") {
		d.States = append(d.States, genState(t, n, d.Parts))
	}
	for _, n := range distinct.Draw(t, "meters") {
		d.Meters = append(d.Meters, job.Meter{Name: n, Class: rapid.SampledFrom(job.MeterClasses()).Draw(t, "class")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "evidence") {
		d.Readings = append(d.Readings, genReading(t, &d))
		s := job.Symptom{Seen: names().Draw(t, "seen"), Note: maybe(t, texts())}
		if len(d.Parts) > 0 {
			s.Part = rapid.SampledFrom(d.Parts).Draw(t, "at").Ref
		}
		d.Symptoms = append(d.Symptoms, s)
		d.Work = append(d.Work, job.Work{Time: genTime(t), Did: names().Draw(t, "did"), Note: maybe(t, texts())})
	}
	return d
}
