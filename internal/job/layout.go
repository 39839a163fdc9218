package job

import (
	"math"
	"slices"

	"foilside/internal/circuit"
)

// Standing is where a part stands on the drawing, as a person put it or as it
// was kept.
type Standing struct {
	Part    circuit.PartRef
	X, Y    int  // grid steps of 2.5 mm, x right, y down
	Turn    int  // clockwise: 0, 90, 180 or 270 degrees
	Mirror  bool // left to right, before it is turned
	Figure  int  // which of the part's figures, 0 the customary one
	Caption int  // which place for its texts, 0 the customary one
	Sheet   int  // of a larger circuit, from 1; 0 where there is one
	Pinned  bool // nothing moves it
}

// StandingOf returns where a part stands on the drawing, if that was kept.
func (d *Document) StandingOf(ref circuit.PartRef) (Standing, bool) {
	for _, s := range d.Layout {
		if s.Part == ref {
			return s, true
		}
	}
	return Standing{}, false
}

// SetStanding keeps where a part stands on the drawing.
func (d *Document) SetStanding(s Standing) {
	for i := range d.Layout {
		if d.Layout[i].Part == s.Part {
			d.Layout[i] = s
			return
		}
	}
	d.Layout = append(d.Layout, s)
}

// yes is how a text says that something is so.
const yes = "yes"

func (s Standing) node() *node {
	n := mapping().put("at", list(number(float64(s.X)), number(float64(s.Y))))
	for _, f := range []struct {
		key string
		v   int
	}{{"turn", s.Turn}, {"figure", s.Figure}, {"caption", s.Caption}, {"sheet", s.Sheet}} {
		if f.v != 0 {
			n.put(f.key, number(float64(f.v)))
		}
	}
	if s.Mirror {
		n.putText("mirror", yes)
	}
	if s.Pinned {
		n.putText("pinned", yes)
	}
	return n
}

// layout reads where parts stand on the drawing. Parts that are gone are
// warned of and left out of the drawing.
func (r *reader) layout(c cursor) {
	r.each(c, "layout", func(key string, at cursor) {
		s := Standing{Part: circuit.PartRef(key)}
		r.record(at, "a part's place on the drawing",
			field{"at", true, func(at cursor) { r.gridPlace(at, &s) }},
			field{"turn", false, func(at cursor) {
				if s.Turn = r.whole(at, "a turn", 270); s.Turn%90 != 0 {
					r.fail(at, "a turn of %d degrees can't be drawn; expected 0, 90, 180 or 270", s.Turn)
				}
			}},
			field{"figure", false, func(at cursor) { s.Figure = r.whole(at, "a figure's number", 1000) }},
			field{"caption", false, func(at cursor) { s.Caption = r.whole(at, "a caption's number", 1000) }},
			field{"sheet", false, func(at cursor) { s.Sheet = r.whole(at, "a sheet's number", 1000) }},
			field{"mirror", false, r.yesNo(&s.Mirror)},
			field{"pinned", false, r.yesNo(&s.Pinned)})
		if _, ok := r.doc.Part(s.Part); !ok {
			r.warn(at, "there is no part %s to stand here", shorten(key))
		}
		r.doc.Layout = append(r.doc.Layout, s)
	})
}

func (r *reader) gridPlace(c cursor, s *Standing) {
	if c.kind != listNode || len(c.node.items) != 2 {
		r.fail(c, "found %s where a place on the drawing's grid is expected, like [12, 30]", c.describe())
		return
	}
	const far = 1e4
	for i, into := range []*int{&s.X, &s.Y} {
		if v, ok := r.number(cursor{c.node.items[i], c.path}, "a grid step", -far, far); ok {
			*into = int(math.Round(v))
		}
	}
}

// whole reads a whole number from 0 to high.
func (r *reader) whole(c cursor, what string, high float64) int {
	v, ok := r.number(c, what, 0, high)
	if ok && v != math.Trunc(v) {
		r.fail(c, "%s must be a whole number", what)
	}
	return int(v)
}

func (r *reader) yesNo(into *bool) func(cursor) {
	return func(c cursor) {
		if w, ok := r.word(c, "answer", []string{yes, "no"}); ok {
			*into = w == yes
		}
	}
}

// dropStanding forgets where a part stood.
func (d *Document) dropStanding(ref circuit.PartRef) {
	d.Layout = slices.DeleteFunc(d.Layout, func(s Standing) bool { return s.Part == ref })
}
