package job

import (
	"time"

	"foilside/internal/circuit"
	"foilside/internal/num/geom"
)

// Document is one job: what a person said or supplied about one unit.
type Document struct {
	Unit   string        // free text: what is on the bench
	Common circuit.NetID // readings refer to it where no black lead is named
	// Demonstration names the made-up unit that this job practises on, whose
	// readings the program itself can give; empty for a real unit.
	Demonstration string
	Photos        Photos
	Scale         *Scale
	Align         []PointPair
	Copper        Copper
	Nets          []NamedNet // names given to copper, by a place on it
	Wires         []Wire     // links on either face that are not copper
	Parts         []Part     // in the order written
	Layout        []Standing // where parts stand on the drawing
	States        []State
	Meters        []Meter
	Symptoms      []Symptom
	Readings      []Reading
	Work          []Work
}

// Face is one of the two photographed sides of the board.
type Face string

// The two faces.
const (
	ComponentSide Face = "component"
	FoilSide      Face = "foil"
)

// Pixel is a place on a photo, {x, y}: (0, 0) is the centre of the first
// pixel, x right, y down, the photo as shown.
type Pixel [2]float64

// Point returns the pixel as a plane point.
func (p Pixel) Point() geom.Point { return geom.Point{X: p[0], Y: p[1]} }

// PixelAt returns the pixel at a plane point.
func PixelAt(p geom.Point) Pixel { return Pixel{p.X, p.Y} }

// Photos names the photographs: one of either face, which may be nil, and more
// of the foil side.
type Photos struct {
	Component *Photo
	Foil      *Photo
	Further   []FurtherPhoto
}

// FurtherPhoto is one more photograph of the foil side, used where it is sharper
// than the main one: a close-up, or a part of a board too large for one photo.
// A backlit one, with light from behind the board, shows where copper lets none
// through.
type FurtherPhoto struct {
	Photo
	Backlit bool
}

// All lists the photographs that there are, to be looked at or changed.
func (p *Photos) All() []*Photo {
	var out []*Photo
	for _, q := range []*Photo{p.Component, p.Foil} {
		if q != nil {
			out = append(out, q)
		}
	}
	for i := range p.Further {
		out = append(out, &p.Further[i].Photo)
	}
	return out
}

// Of returns the photo of a face, or nil.
func (p Photos) Of(f Face) *Photo {
	if f == ComponentSide {
		return p.Component
	}
	return p.Foil
}

// Photo is one photograph by its file name. SHA256 (lower-case hex) says which
// bytes it is; it is empty in a text, where the file beside the text is meant.
type Photo struct {
	File   string
	SHA256 string
}

// Scale is two pixels a known distance apart.
type Scale struct {
	From, To Pixel   `jsonschema:"required"`
	MM       float64 `jsonschema:"required"` // > 0
	On       Face
}

// PointPair is one place seen on both photos.
type PointPair struct {
	Component, Foil Pixel `jsonschema:"required"`
}

// Copper is what a person pointed out on the foil-side photo.
type Copper struct {
	Samples Samples
	Strokes []Stroke
	Cuts    []Segment // copper ends between the two places
	Joins   []Segment // copper goes on between the two places
	Upper   Holes     // how holes join the copper of the component side; empty: there is none
}

// Holes says how the holes of a board with copper on both faces are made.
type Holes string

// The kinds of holes.
const (
	PlatedHoles Holes = "plated" // every hole joins both faces
	PlainHoles  Holes = "plain"  // leads and wires soldered on both faces do
)

// Samples are foil-side pixels known to be metal, or known not to be.
type Samples struct {
	Copper, Bare []Pixel
}

// Stroke is a brush stroke along a path of foil-side pixels.
type Stroke struct {
	Bare  bool // false: copper
	Width float64
	Path  []Pixel
}

// Segment joins two foil-side pixels.
type Segment struct {
	From, To Pixel `jsonschema:"required"`
}

// NamedNet gives the copper at a foil-side pixel a name.
type NamedNet struct {
	Name  circuit.NetID
	Joint Pixel
}

// Wire joins two places that copper does not join.
type Wire struct {
	From, To Place `jsonschema:"required"`
}

// State is one way the unit is set.
type State struct {
	Name     string
	Settings []Setting // in the order written
}

// Setting is how a state sets one part.
type Setting struct {
	Part circuit.PartRef
	circuit.Setting
}

// Symptom is what a person sees or hears without a meter.
type Symptom struct {
	Part  circuit.PartRef // empty: the unit as a whole
	Seen  string          `jsonschema:"required"` // one of SeenWords carries weight; others are kept
	State string          // empty: as the unit stands
	Note  string
	Time  time.Time // zero: not said
}

// Reading is one meter function between two places in one state.
type Reading struct {
	Mode  Mode   `jsonschema:"required"`
	Red   Place  `jsonschema:"required"`
	Black *Place // nil: the common
	State string // empty: as the unit stands
	Meter string // empty: the meter taken where none is named
	Value Value  `jsonschema:"required"`
	Note  string
	Time  time.Time // zero: not said
}

// Value is what the meter showed: an amount, overrange, or for continuity
// joined or separate.
type Value struct {
	Text      string         // as the person wrote it
	Amount    circuit.Amount // holds when neither Overrange nor Joined is set
	Overrange bool
	Joined    *bool // for continuity
}

// Work is a piece of work done on the unit.
type Work struct {
	Time time.Time       `jsonschema:"required"`
	Part circuit.PartRef // empty: the unit as a whole
	Did  string          `jsonschema:"required"`
	Note string
}

// Meter is a meter that the person described.
type Meter struct {
	Name   string
	Class  string // digital, valve or analogue
	Params []Param
}

// Param returns the meter's parameter of that name in SI base units.
func (m Meter) Param(name string) (float64, bool) { return amountOf(m.Params, name) }

// Part returns the part with the reference.
func (d *Document) Part(ref circuit.PartRef) (Part, bool) {
	for _, p := range d.Parts {
		if p.Ref == ref {
			return p, true
		}
	}
	return Part{}, false
}

// Meter returns the meter with the name.
func (d *Document) Meter(name string) (Meter, bool) {
	for _, m := range d.Meters {
		if m.Name == name {
			return m, true
		}
	}
	return Meter{}, false
}
