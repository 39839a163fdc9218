package httpapi

// The shapes of the document on the wire. They follow the job text (CONTRACT
// section 2): quantities stay as the person wrote them, places are pixels of
// the photo as shown. Maps of the job text are lists here, so that their order
// is the page's order.

// Point is a pixel of a photo: x right, y down, (0, 0) the centre of the first.
type Point [2]float64

// Side names a face of the board and its photo.
type Side string

// The two faces.
const (
	ComponentSide Side = "component"
	FoilSide      Side = "foil"
)

// Job is the document as the page mirrors it.
type Job struct {
	Revision int            `json:"revision" doc:"goes up by one with every change"`
	File     string         `json:"file" doc:"name of the job file"`
	Unit     string         `json:"unit"`
	Common   string         `json:"common" doc:"the net that readings refer to"`
	Demo     string         `json:"demo,omitempty" doc:"name of the demonstration, whose unit can be measured by the program"`
	Story    string         `json:"story,omitempty" doc:"what the owner of the demonstration's unit says"`
	Found    string         `json:"found,omitempty" doc:"what turned out to be wrong with it; for after the search"`
	Photos   []Photo        `json:"photos"`
	Further  []FurtherPhoto `json:"further" doc:"more photographs of the foil side"`
	Scale    *Scale         `json:"scale,omitempty"`
	Pairs    []Pair         `json:"pairs" doc:"the same place marked on both photos"`
	Samples  []Sample       `json:"samples"`
	Brushed  []Brushed      `json:"brushed" doc:"brush strokes, a later one over an earlier one"`
	Cuts     []Stroke       `json:"cuts"`
	Joins    []Stroke       `json:"joins"`
	Nets     []NetName      `json:"nets" doc:"names given to copper"`
	Wires    []Wire         `json:"wires" doc:"links that are not copper"`
	Parts    []Part         `json:"parts"`
	States   []State        `json:"states"`
	Meters   []Meter        `json:"meters"`
	Symptoms []Symptom      `json:"symptoms"`
	Readings []Reading      `json:"readings"`
	Work     []Work         `json:"work" doc:"pieces of work done on the unit"`
	MadeSafe string         `json:"made_safe,omitempty" doc:"when the unit was made safe, RFC 3339; absent where it was not, or has had power since"`
	Undo     string         `json:"undo" doc:"what undo would take back; empty: nothing"`
	Redo     string         `json:"redo" doc:"what redo would bring back; empty: nothing"`
	Problems []Trouble      `json:"problems"`
}

// Photo is one of the two photographs.
type Photo struct {
	Side   Side   `json:"side" enum:"component,foil"`
	Name   string `json:"name"`
	Width  int    `json:"width" doc:"of the upright photo"`
	Height int    `json:"height"`
	Hash   string `json:"hash"`
}

// FurtherPhoto is one more photograph of the foil side.
type FurtherPhoto struct {
	Name    string `json:"name"`
	Backlit bool   `json:"backlit" doc:"with light from behind the board"`
}

// Scale is a known distance on a photo.
type Scale struct {
	From Point   `json:"from"`
	To   Point   `json:"to"`
	MM   float64 `json:"mm"`
	On   Side    `json:"on" enum:"component,foil"`
}

// Pair is one place on both photos.
type Pair struct {
	Component Point `json:"component"`
	Foil      Point `json:"foil"`
}

// Sample is a pixel of the foil photo that a person called copper or bare.
type Sample struct {
	At     Point `json:"at"`
	Copper bool  `json:"copper"`
}

// Stroke is a correction on the foil photo: a cut across copper or a join.
type Stroke struct {
	From Point `json:"from"`
	To   Point `json:"to"`
}

// Brushed is a brush stroke over the foil photo.
type Brushed struct {
	Copper bool    `json:"copper" doc:"what is there; false: bare board"`
	Width  float64 `json:"width" doc:"of the brush, foil pixels" exclusiveMinimum:"0"`
	Path   []Point `json:"path" minItems:"1"`
}

// Answer says how a doubtful place of the copper is, as a person sees it. It
// becomes a join between the two places of the pieces, or a cut across.
type Answer struct {
	At     Point `json:"at" doc:"of the doubtful place"`
	Joined bool  `json:"joined"`
}

// NetName gives the copper at a place of the foil photo a name.
type NetName struct {
	Name string `json:"name"`
	At   Point  `json:"at"`
}

// Wire joins two places that copper does not join.
type Wire struct {
	From Place `json:"from"`
	To   Place `json:"to"`
}

// Place is where a lead or a wire goes: exactly one of its fields holds.
type Place struct {
	Net   string `json:"net,omitempty" doc:"a net by name, or a lead: R1.2"`
	At    *Point `json:"at,omitempty" doc:"on the component-side photo"`
	Joint *Point `json:"joint,omitempty" doc:"on the foil-side photo"`
}

// Part is one part as the person described it.
type Part struct {
	Ref      string    `json:"ref"`
	Kind     string    `json:"kind"`
	Type     string    `json:"type,omitempty" doc:"type number on the body"`
	Marking  string    `json:"marking,omitempty" doc:"what else stands on the body"`
	Note     string    `json:"note,omitempty"`
	Params   []Param   `json:"params" doc:"as written: value 4k7, voltage 25 V"`
	Windings []Winding `json:"windings,omitempty"`
	Leads    []Lead    `json:"leads"`
}

// Param is one parameter as the person wrote it.
type Param struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Winding is one winding of a transformer; its leads are NAME.1 and NAME.2.
type Winding struct {
	Name       string `json:"name"`
	Turns      string `json:"turns"`
	Resistance string `json:"resistance,omitempty"`
	Inductance string `json:"inductance,omitempty"`
}

// Lead is one lead and where it goes.
type Lead struct {
	Name  string `json:"name"`
	Place Place  `json:"place"`
}

// State is one way the unit is set.
type State struct {
	Name     string    `json:"name"`
	Settings []Setting `json:"settings"`
}

// Setting is how a state sets one part: on, off, open, closed, 0.8, no, nc.
type Setting struct {
	Part string `json:"part"`
	Text string `json:"text"`
}

// Meter is a meter of the person's own.
type Meter struct {
	Name   string  `json:"name"`
	Params []Param `json:"params"`
}

// Symptom is what a person sees or hears without a meter.
type Symptom struct {
	Part  string `json:"part"`
	Seen  string `json:"seen"`
	State string `json:"state,omitempty"`
}

// Reading is one reading taken.
type Reading struct {
	Mode  string `json:"mode" enum:"volts-dc,volts-ac,ohms,continuity,junction,amps-dc"`
	Red   string `json:"red"`
	Black string `json:"black,omitempty" doc:"empty: the common"`
	State string `json:"state,omitempty"`
	Meter string `json:"meter,omitempty"`
	Value string `json:"value" doc:"as typed: 4.31 V, overrange, joined, separate"`
	Note  string `json:"note,omitempty" doc:"of a check with a lead lifted: lifted"`
}

// Work is a piece of work done on the unit.
type Work struct {
	Part string `json:"part" doc:"empty: the unit as a whole"`
	Did  string `json:"did"`
	Time string `json:"time,omitempty" doc:"RFC 3339; set when it is recorded"`
}

// Trouble is something about the job that wants attention.
type Trouble struct {
	Text string `json:"text"`
	Part string `json:"part,omitempty"`
}

// Command is one change of the document. Each has one field that its Do needs.
type Command struct {
	Do      string   `json:"do" enum:"unit,common,scale,pair,sample,brush,cut,join,answer,further,net,wire,part,state,meter,reading,symptom,safe,work,hand" doc:"what is set, added, replaced or taken away"`
	Remove  bool     `json:"remove,omitempty" doc:"take it away"`
	Index   *int     `json:"index,omitempty" doc:"of the list's item to replace or take away; absent: add"`
	Was     string   `json:"was,omitempty" doc:"the reference or name that is replaced or taken away"`
	Text    string   `json:"text,omitempty" doc:"for unit and common; for safe, what the meter showed at last"`
	Scale   *Scale   `json:"scale,omitempty"`
	Pair    *Pair    `json:"pair,omitempty"`
	Sample  *Sample  `json:"sample,omitempty"`
	Brushed *Brushed `json:"brushed,omitempty" doc:"for brush"`
	Stroke  *Stroke  `json:"stroke,omitempty" doc:"for cut and join"`
	Answer  *Answer  `json:"answer,omitempty"`
	Net     *NetName `json:"net,omitempty"`
	Wire    *Wire    `json:"wire,omitempty"`
	Part    *Part    `json:"part,omitempty"`
	State   *State   `json:"state,omitempty"`
	Meter   *Meter   `json:"meter,omitempty"`
	Reading *Reading `json:"reading,omitempty"`
	Symptom *Symptom `json:"symptom,omitempty"`
	Work    *Work    `json:"work,omitempty"`
	Hand    *Hand    `json:"hand,omitempty"`
}

// Hand is a move of parts on the drawing.
type Hand struct {
	Move     string   `json:"move" enum:"move,turn,mirror,pin,free,anew" doc:"anew: all parts are placed from nothing, nothing is pinned"`
	Parts    []string `json:"parts" doc:"references; a group is moved as one"`
	Right    int      `json:"right,omitempty" doc:"of a move, in grid steps of 2.5 mm"`
	Down     int      `json:"down,omitempty"`
	Standard string   `json:"standard,omitempty" enum:"iec,ieee" doc:"of the drawing that is worked on"`
}

// LogEntry is one line of the work log.
type LogEntry struct {
	Time string `json:"time" doc:"RFC 3339, UTC"`
	Text string `json:"text"`
}
