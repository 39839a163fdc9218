package job

import (
	"math"
	"path"
	"regexp"
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// document reads the whole tree. Parts come first wherever they stand, since
// states, symptoms and readings refer to them.
func (r *reader) document(root *node) {
	c := cursor{root, ""}
	d := &r.doc
	later := map[string]cursor{}
	put := func(key string) func(cursor) { return func(at cursor) { later[key] = at } }
	r.record(c, "a job",
		field{"unit", false, r.text(&d.Unit, "the unit's name")},
		field{"demonstration", false, r.text(&d.Demonstration, "the name of a demonstration")},
		field{"common", false, func(at cursor) { r.netName(at, &d.Common) }},
		field{"photos", false, r.photos},
		field{"scale", false, r.scale},
		field{"align", false, r.align},
		field{"copper", false, r.copper},
		field{"nets", false, r.nets},
		field{"wires", false, r.wires},
		field{"parts", false, r.parts},
		field{"layout", false, put("layout")},
		field{"states", false, put("states")},
		field{"meters", false, r.meters},
		field{"symptoms", false, put("symptoms")},
		field{"readings", false, put("readings")},
		field{"work", false, r.works},
	)
	if root.kind == mapNode && root.get("parts") == nil {
		r.warn(c, "the key parts is missing: until there are parts, only the photographs can be worked on")
	}
	for _, s := range []struct {
		key  string
		read func(cursor)
	}{{"layout", r.layout}, {"states", r.states}, {"symptoms", r.symptoms}, {"readings", r.readings}} {
		if at, ok := later[s.key]; ok {
			s.read(at)
		}
	}
}

func (r *reader) netName(c cursor, into *circuit.NetID) {
	if s, ok := r.name(c, "a net's name"); ok {
		*into = circuit.NetID(s)
	}
}

func (r *reader) photos(c cursor) {
	if c.empty() {
		return
	}
	r.record(c, "photos",
		field{"component", false, func(at cursor) { r.doc.Photos.Component = r.photo(at) }},
		field{"foil", false, func(at cursor) { r.doc.Photos.Foil = r.photo(at) }},
		field{"further", false, func(at cursor) { r.items(at, "photos", r.furtherPhoto) }},
	)
	if a, b := r.doc.Photos.Component, r.doc.Photos.Foil; a != nil && b != nil && strings.EqualFold(a.File, b.File) {
		r.fail(c, "both photos are %q; the two sides are two files", shorten(a.File))
	}
	files := map[string]bool{}
	for i, p := range r.doc.Photos.All() {
		if name := strings.ToLower(p.File); i > 1 && files[name] {
			r.fail(c, "%q stands twice among the photos; each is a file of its own", shorten(p.File))
		} else {
			files[name] = true
		}
	}
}

// furtherPhoto is one more photo of the foil side: a file name, or a map when
// there is more to say.
func (r *reader) furtherPhoto(c cursor) {
	f := FurtherPhoto{}
	var p *Photo
	if c.isScalar() {
		p = r.photo(c)
	} else {
		fields := append(r.photoFields(&f.Photo), field{"backlit", false, r.yesNo(&f.Backlit)})
		r.record(c, "a photo", fields...)
		p = &f.Photo
	}
	if p != nil && p.File != "" {
		r.doc.Photos.Further = append(r.doc.Photos.Further, FurtherPhoto{*p, f.Backlit})
	}
}

// hexDigest is a SHA-256 in lower-case hex.
var hexDigest = regexp.MustCompile(`^[0-9a-f]{64}$`)

func (r *reader) photo(c cursor) *Photo {
	p := &Photo{}
	fields := r.photoFields(p)
	if c.isScalar() {
		fields[0].read(c)
	} else {
		r.record(c, "a photo", fields...)
	}
	if p.File == "" {
		return nil
	}
	return p
}

// photoFields are what is written of a photo, its file first.
func (r *reader) photoFields(p *Photo) []field {
	file := func(at cursor) {
		s, ok := r.name(at, "a photo's file name")
		if !ok {
			return
		}
		if why := UnsafeFileName(s); why != "" {
			r.fail(at, "%q can't be a photo's file name: %s", shorten(s), why)
			return
		}
		p.File = s
	}
	return []field{{"file", true, file}, {"sha256", false, func(at cursor) {
		if s, ok := r.scalar(at, "a SHA-256"); ok && !hexDigest.MatchString(s) {
			r.fail(at, "%q is no SHA-256: 64 digits 0-9 and a-f are expected", shorten(s))
		} else {
			p.SHA256 = s
		}
	}}}
}

// UnsafeFileName says why a photo's name in a text would reach outside the
// folder of the text, or would not be a file on some system; empty: it is
// safe. Folders below the text's own are allowed.
func UnsafeFileName(s string) string {
	switch {
	case s == "" || s == ".":
		return "it is empty"
	case strings.ContainsAny(s, "\\:*?\"<>|") || !sound(s):
		return `it holds a character that a file name can't have on every system`
	case path.IsAbs(s):
		return "it must lie beside the job's text; leave the / at the front away"
	case path.Clean(s) != s || s == ".." || strings.HasPrefix(s, "../"):
		return "it must lie in the folder of the job's text, written without . and .. parts"
	case strings.Contains(s, ".history/") || slices.Contains([]string{".yaml", ".yml", ".json", ".lock", ".foilside", ".new"}, strings.ToLower(path.Ext(s))):
		return "such names are kept for the job itself; name a picture like bottom.jpg"
	case strings.HasSuffix(s, ".") || strings.Contains(s, "./") || strings.Contains(s, " /"):
		return "a name that ends in a point or a space is no file on every system"
	}
	return ""
}

func (r *reader) scale(c cursor) {
	s := Scale{On: FoilSide}
	before := len(r.problems)
	r.record(c, "a scale",
		field{"from", true, r.into(&s.From)}, field{"to", true, r.into(&s.To)},
		field{"mm", true, func(at cursor) { s.MM, _ = r.number(at, "a distance in mm", 1e-3, 1e5) }},
		field{"on", false, func(at cursor) {
			if w, ok := r.word(at, "face", []string{string(ComponentSide), string(FoilSide)}); ok {
				s.On = Face(w)
			}
		}})
	if len(r.problems) > before {
		return
	}
	if s.From == s.To {
		r.fail(c, "from and to are the same pixel; point at two places a known distance apart")
		return
	}
	r.doc.Scale = &s
}

func (r *reader) align(c cursor) {
	r.items(c, "point pairs", func(at cursor) {
		var p PointPair
		r.record(at, "a point pair", field{"component", true, r.into(&p.Component)}, field{"foil", true, r.into(&p.Foil)})
		r.doc.Align = append(r.doc.Align, p)
	})
}

func (r *reader) copper(c cursor) {
	k := &r.doc.Copper
	if c.empty() {
		return
	}
	r.record(c, "copper",
		field{"samples", false, func(at cursor) {
			if at.empty() {
				return
			}
			r.record(at, "samples",
				field{"copper", false, r.pixels(&k.Samples.Copper)}, field{"bare", false, r.pixels(&k.Samples.Bare)})
		}},
		field{"strokes", false, func(at cursor) { r.items(at, "strokes", r.stroke) }},
		field{"cuts", false, func(at cursor) { r.items(at, "cuts", r.segment("a cut", &k.Cuts)) }},
		field{"joins", false, func(at cursor) { r.items(at, "joins", r.segment("a join", &k.Joins)) }},
		field{"upper", false, func(at cursor) {
			w, _ := r.word(at, "kind of holes", []string{string(PlatedHoles), string(PlainHoles)})
			k.Upper = Holes(w)
		}},
	)
}

func (r *reader) pixels(into *[]Pixel) func(cursor) {
	return func(c cursor) {
		r.items(c, "pixels", func(at cursor) {
			if p, ok := r.pixel(at); ok {
				*into = append(*into, p)
			}
		})
	}
}

func (r *reader) stroke(c cursor) {
	var s Stroke
	r.record(c, "a stroke",
		field{"mark", true, func(at cursor) {
			w, _ := r.word(at, "mark", []string{"copper", "bare"})
			s.Bare = w == "bare"
		}},
		field{"width", true, func(at cursor) { s.Width, _ = r.number(at, "a width in pixels", math.SmallestNonzeroFloat64, 1e5) }},
		field{"path", true, r.pixels(&s.Path)})
	if len(s.Path) == 0 {
		r.fail(c, "a stroke needs at least one pixel in its path")
		return
	}
	r.doc.Copper.Strokes = append(r.doc.Copper.Strokes, s)
}

func (r *reader) segment(name string, into *[]Segment) func(cursor) {
	return func(c cursor) {
		var s Segment
		r.record(c, name, field{"from", true, r.into(&s.From)}, field{"to", true, r.into(&s.To)})
		*into = append(*into, s)
	}
}

func (r *reader) nets(c cursor) {
	r.each(c, "nets", func(key string, at cursor) {
		if p, ok := r.pixel(at); ok {
			r.doc.Nets = append(r.doc.Nets, NamedNet{circuit.NetID(key), p})
		}
	})
}

func (r *reader) wires(c cursor) {
	r.items(c, "wires", func(at cursor) {
		var w Wire
		r.record(at, "a wire",
			field{"from", true, func(at cursor) { w.From, _ = r.place(at) }},
			field{"to", true, func(at cursor) { w.To, _ = r.place(at) }})
		r.doc.Wires = append(r.doc.Wires, w)
	})
}

// place reads a net's name, {at: [x, y]} or {joint: [x, y]}.
func (r *reader) place(c cursor) (p Place, ok bool) {
	before := len(r.problems)
	if c.isScalar() {
		r.netName(c, &p.Net)
		if at, ok := JointWord(string(p.Net)); ok {
			p = Place{Joint: &at}
		}
		return p, len(r.problems) == before
	}
	if c.kind != mapNode || len(c.pairs) != 1 {
		r.fail(c, "found %s where a net's name is expected, or a place: {at: [x, y]} on the component-side photo, {joint: [x, y]} on the foil-side photo", c.describe())
		return p, false
	}
	var at Pixel
	r.record(c, "a place", field{"at", false, r.into(&at)}, field{"joint", false, r.into(&at)})
	if c.pairs[0].key == "at" {
		p.At = &at
	} else {
		p.Joint = &at
	}
	return p, len(r.problems) == before
}

func (r *reader) works(c cursor) {
	r.items(c, "work done", func(at cursor) {
		var w Work
		var part string
		r.record(at, "a piece of work",
			field{"time", true, r.time(&w.Time)},
			field{"part", false, r.text(&part, "a part's reference")},
			field{"did", true, func(at cursor) { w.Did, _ = r.name(at, "what was done") }},
			field{"note", false, r.text(&w.Note, "a note")})
		w.Part = circuit.PartRef(part)
		r.doc.Work = append(r.doc.Work, w)
	})
}
