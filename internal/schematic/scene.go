package schematic

import "foilside/internal/circuit"

// Unit is the size of one grid step in drawing units, and one drawing unit is
// a quarter millimetre: the module of 2.5 mm that IEC 60617 draws on.
const Unit = 10

// Point is a place on the drawing, x right, y down, in drawing units.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Box is an upright rectangle with its corner of smallest x and y.
type Box struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"`
	H float64 `json:"h"`
}

// Stroke is one line of a symbol. Straight: a polyline through Points.
// Curved: a first point, then three points for each cubic arc.
type Stroke struct {
	Points []Point `json:"points"`
	Curved bool    `json:"curved,omitempty"`
	Closed bool    `json:"closed,omitempty"`
	Filled bool    `json:"filled,omitempty"` // painted in the ink, not outlined
	Dashed bool    `json:"dashed,omitempty"`
}

// Drawing is a whole scene. Everything lies within 0…Width and 0…Height.
type Drawing struct {
	Width      float64     `json:"width"`
	Height     float64     `json:"height"`
	Standard   Standard    `json:"standard"`
	Origin     Point       `json:"origin"` // where the corner lies that Options.Places count from
	Parts      []Part      `json:"parts"`
	Wires      []Wire      `json:"wires"`
	Dots       []Dot       `json:"dots"`
	Marks      []Mark      `json:"marks"`
	Texts      []Text      `json:"texts"`
	TestPoints []TestPoint `json:"testPoints,omitempty"`
	Sheets     []Sheet     `json:"sheets,omitempty"` // side by side; none: all on one
	Ruled      []Stroke    `json:"ruled,omitempty"`  // of the title block
	Metrics    Metrics     `json:"metrics"`
}

// Part is a part's symbol where it stands.
type Part struct {
	Ref     circuit.PartRef `json:"ref"`
	Kind    circuit.Kind    `json:"kind"`
	Orient  Orient          `json:"orient"`
	Variant int             `json:"variant,omitempty"` // which of the part's symbols
	Caption int             `json:"caption,omitempty"` // which of the places for its caption
	At      Point           `json:"at"`                // the symbol's own origin
	Pinned  bool            `json:"pinned,omitempty"`
	Sheet   int             `json:"sheet,omitempty"`   // 0: there is only one
	Suspect int             `json:"suspect,omitempty"` // 1 the most likely one; 0: not marked
	Box     Box             `json:"box"`               // of the symbol, without texts
	Strokes []Stroke        `json:"strokes"`
	Leads   []LeadEnd       `json:"leads"`
}

// LeadEnd is the outer end of a lead, where wires begin.
type LeadEnd struct {
	Lead circuit.LeadName `json:"lead"`
	Net  circuit.NetID    `json:"net"`
	At   Point            `json:"at"`
	Out  Side             `json:"out"` // the way that the lead leaves the symbol
}

// Wire is one run of a net: a chain of horizontal and vertical pieces.
type Wire struct {
	Net    circuit.NetID `json:"net"`
	Points []Point       `json:"points"`
}

// Dot is a junction of three wire ends of a net.
type Dot struct {
	Net circuit.NetID `json:"net"`
	At  Point         `json:"at"`
}

// MarkKind says how a net goes on elsewhere.
type MarkKind string

// The kinds of mark.
const (
	SupplyMark MarkKind = "supply" // a bar on top, its name above
	CommonMark MarkKind = "common" // the earth or frame sign, hanging
	OnwardMark MarkKind = "onward" // an arrow with the net's name
)

// Mark is a place where a net goes on elsewhere: all marks of one net are one
// conductor.
type Mark struct {
	Net     circuit.NetID `json:"net"`
	Kind    MarkKind      `json:"kind"`
	At      Point         `json:"at"` // where the wire ends
	Box     Box           `json:"box"`
	Strokes []Stroke      `json:"strokes"`
}

// Role says what a text is for.
type Role string

// The roles of a text.
const (
	RefText     Role = "ref"
	ValueText   Role = "value"
	PinText     Role = "pin"
	NetText     Role = "net"
	VoltageText Role = "voltage"
	NumberText  Role = "number" // in the circle of a test point
	SheetText   Role = "sheet"  // which sheet this is
	TitleText   Role = "title"  // in the title block
)

// Text is one line of lettering. At is the left end of its baseline.
type Text struct {
	Text string          `json:"text"`
	Role Role            `json:"role"`
	Bold bool            `json:"bold,omitempty"`
	Size float64         `json:"size"`
	At   Point           `json:"at"`
	Box  Box             `json:"box"`
	Part circuit.PartRef `json:"part,omitempty"`
	Net  circuit.NetID   `json:"net,omitempty"`
}

// TestPoint is a numbered circle at a wire of its net.
type TestPoint struct {
	Number  int           `json:"number"`
	Net     circuit.NetID `json:"net"`
	At      Point         `json:"at"` // on the wire
	Box     Box           `json:"box"`
	Strokes []Stroke      `json:"strokes"`
	// Wave is the sketch of the voltage over time, within Sketch.
	Wave   []Stroke `json:"wave,omitempty"`
	Sketch Box      `json:"sketch"`
}

// Metrics is how tidy a drawing came out.
type Metrics struct {
	Crossings int     `json:"crossings"` // wires of different nets
	Bends     int     `json:"bends"`
	Overlaps  int     `json:"overlaps"` // always 0; counted, not assumed
	Width     float64 `json:"width"`
	Height    float64 `json:"height"`
}
