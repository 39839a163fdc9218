package specimen

import (
	"image"

	"foilside/internal/num/geom"
)

// Holes says how the holes of a board with copper on both faces are made.
type Holes string

// The kinds of holes.
const (
	NoUpper     Holes = ""       // no copper on the component side
	PlainHoles  Holes = "plain"  // drilled: leads and wires soldered on both faces join them
	PlatedHoles Holes = "plated" // every hole joins both faces
)

// Upper is the copper of the component side. Its pads are those of the board
// whose Pad.Upper is above 0.
type Upper struct {
	Holes  Holes   `yaml:"holes" json:"holes"`
	Tracks []Track `yaml:"tracks" json:"tracks"`
	Areas  []Area  `yaml:"areas,omitempty" json:"areas,omitempty"`
}

// Through says what joins the coppers of the two faces at a joint.
type Through string

// What may join two coppers.
const (
	NotThrough    Through = ""
	ThroughPlated Through = "plated" // the hole itself
	ThroughLead   Through = "lead"   // a part's lead soldered on both faces
	ThroughWire   Through = "wire"   // a piece of wire soldered on both faces
)

// through says what joins the faces at pad i; held tells whether a lead
// stands in it.
func (b *Board) through(i int, held bool) Through {
	p := b.Pads[i]
	switch {
	case b.Upper == nil || p.Upper <= 0:
		return NotThrough
	case b.Upper.Holes == PlatedHoles:
		return ThroughPlated
	case p.Solder.Spread <= 0 || p.Top.Spread <= 0:
		return NotThrough
	case p.Wire:
		return ThroughWire
	case held:
		return ThroughLead
	}
	return NotThrough
}

// upperBoard is the component side's copper as a board of its own, and the
// number of each of its pads on b.
func (b *Board) upperBoard() (Board, []int) {
	u := Board{Name: b.Name, Size: b.Size, Corner: b.Corner, Laminate: b.Laminate, Finish: b.Finish, Mask: b.Mask,
		Tracks: b.Upper.Tracks, Areas: b.Upper.Areas, Mounts: b.Mounts,
		Wear: Wear{Ragged: b.Wear.Ragged, Seed: b.Wear.Seed + 1}}
	if l := b.Look; l != nil {
		u.Look = &Look{Base: l.Base, Coat: l.Coat, Copper: l.Copper, Pads: l.Pads, Solder: l.Solder, Flux: l.Flux, Wave: l.Wave, Warp: l.Warp, Bulge: l.Bulge}
	}
	var from []int
	for i, p := range b.Pads {
		if p.Upper > 0 {
			u.Pads = append(u.Pads, Pad{Net: p.Net, At: p.At, Diameter: p.Upper, Hole: p.Hole, Solder: p.Top})
			from = append(from, i)
		}
	}
	return u, from
}

// upperWork is the component side's copper with its islands.
type upperWork struct {
	wired   Board
	islands []island
	labels  map[string]uint16
	from    []int // pad → its number on the board
}

// newUpperWork is nil for a board without copper on the component side.
func newUpperWork(b *Board) *upperWork {
	if b.Upper == nil {
		return nil
	}
	u, from := b.upperBoard()
	wired, islands, labels := wireUp(&u)
	return &upperWork{wired, islands, labels, from}
}

// paint lays board and copper of the component side, without its parts.
func (u *upperWork) paint(g grid) *foilFace {
	b := &u.wired
	p := newFoilPainter(g, b, u.labels)
	p.ragged()
	p.openMask()
	p.joints()
	p.holes()
	p.base()
	p.metal()
	p.domes()
	p.grain()
	if b.Look != nil {
		p.waves()
	}
	p.face.incline(p.bump)
	return p.face
}

// Side is the truth about the copper of the component side in its photograph.
type Side struct {
	Coppers []Copper
	// Class is what each pixel shows, as Class; parts and wires in front of the
	// board are WireClass.
	Class *image.Gray
	// Copper is the number (Copper.ID) of the copper at each pixel, also where a
	// part hides it.
	Copper *image.Gray16
}

// addUpper adds what is so about the component side's copper.
func (t *Truth) addUpper(u *upperWork, m masks) {
	if u == nil {
		return
	}
	t.Upper = &Side{Coppers: measure(u.islands, m, t.Component, t.Board.Size), Class: m.class, Copper: m.copper}
	for k, i := range u.from {
		t.Joints[i].Upper = int(u.labels[u.wired.Pads[k].Net])
	}
	held := map[geom.Point]bool{}
	for _, p := range t.Board.Parts {
		for _, l := range p.Leads {
			held[l.At] = held[l.At] || !p.Missing
		}
	}
	for i := range t.Joints {
		t.Joints[i].Through = t.Board.through(i, held[t.Joints[i].At])
	}
}

// WireKind says what sort of wire a PlacedWire is.
type WireKind string

// The sorts of wires.
const (
	LinkWire   WireKind = "link"      // bare, on the component side
	JumperWire WireKind = "jumper"    // insulated, on the foil side
	OffBoard   WireKind = "off-board" // one end in a joint, the other away from the board
)

// PlacedWire is a wire that is no copper of the board, with the joints in
// which it ends.
type PlacedWire struct {
	Kind WireKind
	Part string // the part whose wire it is, empty for a jumper
	Net  string
	Ends []WireEnd // two, or one of a wire that leaves the board
}

// WireEnd is one end of a wire in its joint.
type WireEnd struct {
	At        geom.Point // mm
	Component geom.Point // pixel
	Foil      geom.Point // pixel
	Copper    int        // of the foil side; 0: none
}

// addWires lists the wires of the board.
func (t *Truth) addWires(wired *Board, labels map[string]uint16) {
	copper := map[geom.Point]int{}
	for _, p := range wired.Pads {
		copper[p.At] = int(labels[p.Net])
	}
	end := func(p geom.Point) WireEnd {
		return WireEnd{p, t.Component.ToPixel(p), t.Foil.ToPixel(p), copper[p]}
	}
	for _, p := range t.Board.Parts {
		switch {
		case p.Missing:
		case p.Body == LinkBody:
			t.Wires = append(t.Wires, PlacedWire{LinkWire, p.Ref, p.Leads[0].Net, []WireEnd{end(p.Leads[0].At), end(p.Leads[1].At)}})
		case p.Body == WiresBody:
			for _, l := range p.Leads {
				t.Wires = append(t.Wires, PlacedWire{OffBoard, p.Ref, l.Net, []WireEnd{end(l.At)}})
			}
		}
	}
	for _, j := range t.Board.Jumpers {
		t.Wires = append(t.Wires, PlacedWire{JumperWire, "", j.Net, []WireEnd{end(j.Path[0]), end(j.Path[len(j.Path)-1])}})
	}
}

// Conductors numbers for every joint, from 0, the conductor that it is part
// of: copper of either face joined through plated holes and through leads and
// wires soldered on both faces; and, where wires is set, by links and jumpers.
func (t Truth) Conductors(wires bool) []int {
	g := make(groups, 2*65536) // coppers of the foil side, then of the component side
	for i := range g {
		g[i] = i
	}
	for _, j := range t.Joints {
		if j.Through != NotThrough {
			g.unite(j.Copper, 65536+j.Upper)
		}
	}
	for _, w := range t.Wires {
		if wires && len(w.Ends) == 2 {
			g.unite(w.Ends[0].Copper, w.Ends[1].Copper)
		}
	}
	number := map[int]int{}
	out := make([]int, len(t.Joints))
	for i, j := range t.Joints {
		root := g.find(j.Copper)
		if _, ok := number[root]; !ok {
			number[root] = len(number)
		}
		out[i] = number[root]
	}
	return out
}
