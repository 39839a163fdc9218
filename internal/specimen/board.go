package specimen

import "foilside/internal/num/geom"

// Laminate is the base material of a board.
type Laminate string

// The laminates.
const (
	Phenolic Laminate = "phenolic" // brown paper and phenolic resin
	Cream    Laminate = "cream"    // pale paper or composite
	Epoxy    Laminate = "epoxy"    // glass cloth and epoxy, pale green, translucent
)

// Finish is what covers the copper.
type Finish string

// The finishes.
const (
	Bare      Finish = "bare"      // copper as etched
	Tinned    Finish = "tinned"    // all copper under a skin of solder
	Oxidised  Finish = "oxidised"  // copper gone brown
	Lacquered Finish = "lacquered" // copper under clear, slightly green lacquer
)

// Mask is the solder mask over laminate and copper, with openings at the pads.
type Mask string

// The masks.
const (
	NoMask    Mask = ""
	GreenMask Mask = "green"
	BlueMask  Mask = "blue"
	BrownMask Mask = "brown"
)

// Board describes one board as made, soldered and aged. It has copper on the
// foil side and, with Upper, on the component side.
// Lengths are millimetres.
type Board struct {
	Name       string        `yaml:"name" json:"name"`
	Size       geom.Point    `yaml:"size" json:"size"`                         // width and height of the rectangular board
	Corner     float64       `yaml:"corner,omitempty" json:"corner,omitempty"` // radius of its corners
	Laminate   Laminate      `yaml:"laminate" json:"laminate"`
	Finish     Finish        `yaml:"finish" json:"finish"`
	Mask       Mask          `yaml:"mask,omitempty" json:"mask,omitempty"`
	Legend     bool          `yaml:"legend,omitempty" json:"legend,omitempty"`         // references and outlines printed on the component side
	FoilLegend bool          `yaml:"foilLegend,omitempty" json:"foilLegend,omitempty"` // references printed on the foil side
	Etched     []Etching     `yaml:"etched,omitempty" json:"etched,omitempty"`         // lettering in copper
	Tracks     []Track       `yaml:"tracks" json:"tracks"`
	Areas      []Area        `yaml:"areas,omitempty" json:"areas,omitempty"`
	Pads       []Pad         `yaml:"pads" json:"pads"`
	Drops      []Drop        `yaml:"drops,omitempty" json:"drops,omitempty"`
	Mounts     []Mount       `yaml:"mounts,omitempty" json:"mounts,omitempty"`
	Parts      []Part        `yaml:"parts" json:"parts"`
	Jumpers    []Jumper      `yaml:"jumpers,omitempty" json:"jumpers,omitempty"`
	Wear       Wear          `yaml:"wear,omitempty" json:"wear,omitempty"`
	Circuit    []CircuitPart `yaml:"circuit,omitempty" json:"circuit,omitempty"`
	Upper      *Upper        `yaml:"upper,omitempty" json:"upper,omitempty"` // copper on the component side; nil: none
	Look       *Look         `yaml:"look,omitempty" json:"look,omitempty"`   // of the foil side, in place of the named materials
}

// Track is copper of one width along a path with round ends and corners.
// A Taper other than 0 is the width at the path's end (a teardrop).
type Track struct {
	Net   string       `yaml:"net" json:"net"`
	Width float64      `yaml:"width" json:"width"`
	Taper float64      `yaml:"taper,omitempty" json:"taper,omitempty"`
	Path  []geom.Point `yaml:"path" json:"path"`
}

// Area is copper inside a simple polygon, less the polygons of its holes.
type Area struct {
	Net     string         `yaml:"net" json:"net"`
	Outline []geom.Point   `yaml:"outline" json:"outline"`
	Holes   [][]geom.Point `yaml:"holes,omitempty" json:"holes,omitempty"`
}

// contours are the outline and the holes.
func (a Area) contours() [][]geom.Point { return append([][]geom.Point{a.Outline}, a.Holes...) }

// Pad is the copper around one hole. Length above Diameter makes it oblong
// along Angle (radians).
type Pad struct {
	Net      string     `yaml:"net" json:"net"`
	At       geom.Point `yaml:"at" json:"at"`
	Diameter float64    `yaml:"diameter" json:"diameter"`
	Length   float64    `yaml:"length,omitempty" json:"length,omitempty"`
	Angle    float64    `yaml:"angle,omitempty" json:"angle,omitempty"`
	Hole     float64    `yaml:"hole" json:"hole"` // diameter
	Solder   Solder     `yaml:"solder" json:"solder"`
	Upper    float64    `yaml:"upper,omitempty" json:"upper,omitempty"` // diameter of the pad's copper on the component side; 0: none
	Top      Solder     `yaml:"top,omitempty" json:"top,omitempty"`     // the joint on the component side
	Wire     bool       `yaml:"wire,omitempty" json:"wire,omitempty"`   // no part's lead but a piece of wire, or nothing, leads through the hole
}

// Solder is the shape of one soldered joint. The zero value is an empty hole.
type Solder struct {
	Spread float64 `yaml:"spread,omitempty" json:"spread,omitempty"` // radius over which solder wets the copper; 0: not soldered
	Height float64 `yaml:"height,omitempty" json:"height,omitempty"`
	Convex float64 `yaml:"convex,omitempty" json:"convex,omitempty"` // 0: hollow cone, 1: round blob
	Dull   float64 `yaml:"dull,omitempty" json:"dull,omitempty"`     // 0: shiny, 1: grey and grainy
	Tail   float64 `yaml:"tail,omitempty" json:"tail,omitempty"`     // how far solder ran along the track
	Lead   float64 `yaml:"lead,omitempty" json:"lead,omitempty"`     // length of lead lying over the joint; 0: cut off short
	Toward float64 `yaml:"toward,omitempty" json:"toward,omitempty"` // direction of the tail and the lead, radians
}

// Drop is solder that fell on a track.
type Drop struct {
	Net    string     `yaml:"net" json:"net"`
	At     geom.Point `yaml:"at" json:"at"`
	Solder Solder     `yaml:"solder" json:"solder"`
}

// Etching is lettering left standing in copper, readable from the foil side.
type Etching struct {
	Text   string     `yaml:"text" json:"text"`
	At     geom.Point `yaml:"at" json:"at"`         // its middle
	Height float64    `yaml:"height" json:"height"` // of capital letters
}

// Mount is a hole without a joint: for a screw, a spacer, a tool.
type Mount struct {
	At   geom.Point `yaml:"at" json:"at"`
	Hole float64    `yaml:"hole" json:"hole"` // diameter
}

// Jumper is an insulated wire on the foil side, soldered to two pads of Net.
type Jumper struct {
	Net    string       `yaml:"net" json:"net"`
	Path   []geom.Point `yaml:"path" json:"path"` // first and last are pads
	Width  float64      `yaml:"width" json:"width"`
	Colour string       `yaml:"colour" json:"colour"`
}

// Wear is what use and hands left on a board. Amounts run from 0 to 1.
type Wear struct {
	Flux      float64 `yaml:"flux,omitempty" json:"flux,omitempty"`           // stains around joints
	Dirt      float64 `yaml:"dirt,omitempty" json:"dirt,omitempty"`           // specks and smears
	Scratches int     `yaml:"scratches,omitempty" json:"scratches,omitempty"` // number of scratches on the foil side
	Burns     int     `yaml:"burns,omitempty" json:"burns,omitempty"`         // brown marks of heat
	Drills    int     `yaml:"drills,omitempty" json:"drills,omitempty"`       // pits where a drill or punch slipped, on the foil side
	Ragged    float64 `yaml:"ragged,omitempty" json:"ragged,omitempty"`       // unevenness of etched edges, mm
	Seed      uint64  `yaml:"seed,omitempty" json:"seed,omitempty"`           // places the marks
}

// Part is one part on the board with its body.
type Part struct {
	Ref     string   `yaml:"ref" json:"ref"`
	Body    Body     `yaml:"body" json:"body"`
	Size    float64  `yaml:"size,omitempty" json:"size,omitempty"`   // body size, mm: its diameter or width; 0: the body's usual one
	Bands   []string `yaml:"bands,omitempty" json:"bands,omitempty"` // colours, first band first, from the first lead on
	Text    string   `yaml:"text,omitempty" json:"text,omitempty"`   // printed on the body
	Colour  string   `yaml:"colour,omitempty" json:"colour,omitempty"`
	Missing bool     `yaml:"missing,omitempty" json:"missing,omitempty"` // taken out: no body, empty holes
	Leads   []Lead   `yaml:"leads" json:"leads"`
}

// Lead is one lead of a part in its hole.
type Lead struct {
	Name string     `yaml:"name" json:"name"` // as in CONTRACT §2: 1, 2, c, b, e, a, k, +, -, primary.1
	Net  string     `yaml:"net" json:"net"`
	At   geom.Point `yaml:"at" json:"at"`
}

// CircuitPart is one part of the circuit as job text has it (CONTRACT §2).
type CircuitPart struct {
	Ref    string            `yaml:"ref" json:"ref"`
	Kind   string            `yaml:"kind" json:"kind"`
	Params map[string]string `yaml:"params,omitempty" json:"params,omitempty"` // value, type, voltage, … as written
	Leads  map[string]string `yaml:"leads" json:"leads"`                       // lead name → net
}
