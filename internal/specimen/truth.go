package specimen

import (
	"image"
	"math"

	"foilside/internal/num/geom"
)

// Truth is what is so about a pair of photographs.
type Truth struct {
	Board     Board // as rendered
	Component View  // board mm ↔ component-side pixels
	Foil      View  // board mm ↔ foil-side pixels
	Joints    []Joint
	Coppers   []Copper
	Parts     []PlacedPart
	Circuit   []CircuitPart
	Wires     []PlacedWire // links, jumpers and wires that leave the board
	Upper     *Side        // copper on the component side, in its photograph; nil: none
	// Class is what each pixel of the foil photograph shows, as Class.
	Class *image.Gray
	// Copper is the number (Copper.ID) of the copper or solder at each pixel of
	// the foil photograph, also where a wire hides it; 0 where there is none.
	Copper *image.Gray16
}

// Joint is one pad with its lead.
type Joint struct {
	At        geom.Point `json:"at"`        // mm
	Component geom.Point `json:"component"` // pixel
	Foil      geom.Point `json:"foil"`      // pixel
	Copper    int        `json:"copper"`    // the copper it stands on
	Net       string     `json:"net"`       // the circuit's net; several coppers may carry one net
	Part      string     `json:"part,omitempty"`
	Lead      string     `json:"lead,omitempty"`
	Soldered  bool       `json:"soldered"`
	Upper     int        `json:"upper,omitempty"`   // the copper of the component side that it stands on; 0: none
	Through   Through    `json:"through,omitempty"` // what joins the two coppers
}

// Copper is one conductor on the foil side: copper and solder in one piece,
// without wires.
type Copper struct {
	ID      int     `json:"id"`
	Net     string  `json:"net"`
	AreaMM2 float64 `json:"areaMM2"`
}

// PlacedPart is a part with its leads' and bands' pixels on the component
// photograph.
type PlacedPart struct {
	Part  Part
	Leads []geom.Point // component pixels, in the order of Part.Leads
	Bands []BandPlace
}

// PointPair is one place on both photographs.
type PointPair struct {
	Component geom.Point `json:"component"`
	Foil      geom.Point `json:"foil"`
}

func newTruth(b, wired *Board, islands []island, labels map[string]uint16, comp, foil View, bands map[string][]BandPlace, m masks) Truth {
	t := Truth{Board: *b, Component: comp, Foil: foil, Circuit: b.Circuit, Class: m.class, Copper: m.copper}
	leads := map[geom.Point][2]string{}
	for _, p := range b.Parts {
		pp := PlacedPart{Part: p, Bands: bands[p.Ref]}
		for _, l := range p.Leads {
			pp.Leads = append(pp.Leads, comp.ToPixel(l.At))
			leads[l.At] = [2]string{p.Ref, l.Name}
		}
		t.Parts = append(t.Parts, pp)
	}
	for i, p := range b.Pads {
		l := leads[p.At]
		t.Joints = append(t.Joints, Joint{
			At: p.At, Component: comp.ToPixel(p.At), Foil: foil.ToPixel(p.At),
			Copper: int(labels[wired.Pads[i].Net]), Net: p.Net,
			Part: l[0], Lead: l[1], Soldered: p.Solder.Spread > 0,
		})
	}
	t.Coppers = measure(islands, m, foil, b.Size)
	return t
}

// measure gives each island's area from the mask.
func measure(islands []island, m masks, v View, size geom.Point) []Copper {
	count := make([]int, len(islands)+1)
	for i := 0; i+1 < len(m.copper.Pix); i += 2 {
		count[int(m.copper.Pix[i])<<8|int(m.copper.Pix[i+1])]++
	}
	k := v.pixelsPerMM(size)
	out := make([]Copper, len(islands))
	for i, s := range islands {
		out[i] = Copper{ID: int(s.label), Net: s.net, AreaMM2: float64(count[s.label]) / (k * k)}
	}
	return out
}

// FoilOf maps a component-side pixel to the foil-side pixel of the same place.
func (t Truth) FoilOf(component geom.Point) geom.Point {
	return t.Foil.ToPixel(t.Component.ToBoard(component))
}

// ComponentOf maps a foil-side pixel to the component-side pixel of the same place.
func (t Truth) ComponentOf(foil geom.Point) geom.Point {
	return t.Component.ToPixel(t.Foil.ToBoard(foil))
}

// Matrix is the plain projective map from undistorted component pixels to
// undistorted foil pixels; each photograph's lens stands in its View.
func (t Truth) Matrix() geom.Projective { return t.Foil.Matrix.Mul(t.Component.inv).Normal() }

// CopperAt is the number of the copper at a foil pixel, 0 where there is none.
func (t Truth) CopperAt(foil geom.Point) int {
	return int(t.Copper.Gray16At(int(math.Round(foil.X)), int(math.Round(foil.Y))).Y)
}

// ClassAt is what a foil pixel shows.
func (t Truth) ClassAt(foil geom.Point) Class {
	return Class(t.Class.GrayAt(int(math.Round(foil.X)), int(math.Round(foil.Y))).Y)
}

// Pairs returns n random places on the board in both photographs, each pixel
// off by Gaussian noise of the given sigma.
func (t Truth) Pairs(n int, sigma float64, seed uint64) []PointPair {
	r := newRand(seed, 71)
	out := make([]PointPair, n)
	for i := range out {
		mm := geom.Point{X: r.Float64() * t.Board.Size.X, Y: r.Float64() * t.Board.Size.Y}
		out[i] = PointPair{t.Component.ToPixel(mm), t.Foil.ToPixel(mm)}
		out[i].Component = out[i].Component.Add(geom.Point{X: r.NormFloat64() * sigma, Y: r.NormFloat64() * sigma})
		out[i].Foil = out[i].Foil.Add(geom.Point{X: r.NormFloat64() * sigma, Y: r.NormFloat64() * sigma})
	}
	return out
}

// JointPairs returns every joint in both photographs.
func (t Truth) JointPairs() []PointPair {
	out := make([]PointPair, len(t.Joints))
	for i, j := range t.Joints {
		out[i] = PointPair{j.Component, j.Foil}
	}
	return out
}

// Samples returns up to n foil pixels well inside copper or solder, and up to
// n well inside bare board, as a person would point at them: every second
// metal sample on solder, so that both looks of the metal are told.
func (t Truth) Samples(n int, seed uint64) (copper, bare []geom.Point) {
	r := newRand(seed, 81)
	want := map[Class]int{BareBoard: n, CopperClass: (n + 1) / 2, SolderClass: n / 2}
	for range 40000 {
		p := geom.Point{X: float64(r.IntN(t.Foil.Width)), Y: float64(r.IntN(t.Foil.Height))}
		c := t.uniform(p, 2)
		if want[c] == 0 {
			continue
		}
		want[c]--
		if c == BareBoard {
			bare = append(bare, p)
		} else {
			copper = append(copper, p)
		}
		if len(bare) == n && len(copper) == n {
			break
		}
	}
	return copper, bare
}

// uniform is the class within r pixels of p, or Background where it changes.
func (t Truth) uniform(p geom.Point, r float64) Class {
	c := t.ClassAt(p)
	for _, d := range []geom.Point{{X: r}, {X: -r}, {Y: r}, {Y: -r}} {
		if t.ClassAt(p.Add(d)) != c {
			return Background
		}
	}
	return c
}
