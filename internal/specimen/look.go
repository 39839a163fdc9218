package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// Ink is a colour in linear light: red, green, blue, 1 a white sheet.
type Ink [3]float32

// Look says how a board's foil side looks where the named materials don't
// suffice, and what lies, sticks or is printed on it. Lengths are millimetres.
// Only the foil side is drawn by it.
type Look struct {
	Base   Sheet   // the laminate
	Coat   *Film   `yaml:",omitempty" json:",omitempty"` // solder mask; nil where Board.Mask is none
	Copper Metal   // tracks, and pads without a mask
	Pads   Metal   // copper in the mask's openings
	Solder Metal   // A shiny, B dull
	Flux   Ink     // tint of the stains around joints
	Wave   float64 // height of the waves in tinned copper
	Warp   float64 // how far the board is out of flat: inclination of its surface
	Bulge  float64 // how far solder hangs over the edge of its copper

	Runs    []Run    `yaml:",omitempty" json:",omitempty"`
	Prints  []Print  `yaml:",omitempty" json:",omitempty"`
	Wires   []Wire   `yaml:",omitempty" json:",omitempty"`
	Covers  []Cover  `yaml:",omitempty" json:",omitempty"`
	Fingers []Finger `yaml:",omitempty" json:",omitempty"`
	Pools   []Pool   `yaml:",omitempty" json:",omitempty"`
	Fronts  []Thing  `yaml:",omitempty" json:",omitempty"` // parts soldered on the foil side: WireClass
	Nuts    []Nut    `yaml:",omitempty" json:",omitempty"`
	Halos   []Halo   `yaml:",omitempty" json:",omitempty"`
	Cuts    []Cut    `yaml:",omitempty" json:",omitempty"` // of the board's outline
}

// Pool is a thin film on the board, glossy (flux, glue) or chalky.
type Pool struct {
	At     geom.Point
	Radius float64
	Ink    Ink     // passes light; with Chalk, hides what is below
	Chalk  float64 // 0 clear .. 1 hides
	Gloss  float64
	Rim    float64 // how much darker its edge is
}

// Halo is laminate browned by a hot joint.
type Halo struct {
	At     geom.Point
	Radius float64
	Ink    Ink
	Amount float64
}

// Cut is a piece missing from the board: a rectangle of half extents Size
// turned by Angle, or round where Size.Y is 0.
type Cut struct {
	At    geom.Point
	Size  geom.Point
	Angle float64
}

// distance is the signed distance to the cut, mm, negative inside.
func (c Cut) distance(p geom.Point) float64 {
	if c.Size.Y == 0 {
		return p.Dist(c.At) - c.Size.X
	}
	u, d := unit(c.Angle), p.Sub(c.At)
	x, y := abs(d.X*u.X+d.Y*u.Y)-c.Size.X, abs(d.Y*u.X-d.X*u.Y)-c.Size.Y
	if x <= 0 || y <= 0 {
		return max(x, y)
	}
	return math.Hypot(x, y)
}

// Nut is a nut or a screw's head over a mounting hole; it hides the board.
type Nut struct {
	At     geom.Point
	Radius float64
	Sides  int // 0: round
	Turn   float64
	Ink    Ink
}

// Sheet is a laminate. Textures are shares of its brightness.
type Sheet struct {
	Colour, Blotch Ink     // the second where it has aged
	Aged           float64 // share of the board with the second colour
	Cloud          float64 // wide unevenness
	Fibre          float64 // along Angle
	Angle          float64
	Cloth, Thread  float64 // a woven pattern and its thread distance
	Speck          float64
	Dots           float64 // bright dots where threads cross
	Gloss, Glow    float64
}

// Film is a solder mask or lacquer: light passes Through it to what lies
// below, and Opacity of it comes back from the film itself in Colour.
type Film struct {
	Colour, Through Ink
	Opacity         float64
	Gloss           float64
}

// Metal runs from A to B from place to place, with spots of a third colour.
type Metal struct {
	A, B         Ink
	Spot         Ink
	Spots        float64 // share of the metal under spots
	Metal, Rough float64
	Gloss        float64
	Patch        float64 // size of the change from A to B, mm
}

// Run is solder along a part of a track, from and to as shares of its path.
type Run struct {
	Track    int
	From, To float64
	Radius   float64
	Lumps    float64 // 0 even, 1 beaded
	Solder   Solder
}

// Print is printed on the foil side: letters at the first point of Path and
// running to Angle, or a line along Path.
type Print struct {
	Text  string       `yaml:",omitempty" json:",omitempty"`
	Path  []geom.Point // mm
	Angle float64      `yaml:",omitempty" json:",omitempty"`
	Size  float64      // height of capital letters, or width of the line
	Ink   Ink
	Worn  float64 // share rubbed off
	Face  int     `yaml:",omitempty" json:",omitempty"` // of the letters: 0 to 5
}

// Wire is a wire on the foil side, insulated or bare, beside those of
// Board.Jumpers. Strip is the length at each end without insulation.
type Wire struct {
	Path   []geom.Point
	Width  float64
	Ink    Ink
	Bare   bool `yaml:",omitempty" json:",omitempty"`
	Strip  [2]float64
	Lift   float64 // over the board
	Gloss  float64
	Stiff  bool    `yaml:",omitempty" json:",omitempty"` // bends at corners
	Milky  float64 `yaml:",omitempty" json:",omitempty"` // share of what lies below that shines through
	Braids int     `yaml:",omitempty" json:",omitempty"` // strands seen where it is stripped
}

// Cover hides the board under a sheet: a sticker or a piece of tape.
type Cover struct {
	At     geom.Point
	Size   geom.Point
	Angle  float64
	Ink    Ink
	Text   []string
	Letter Ink
	Gloss  float64
}

// Finger lies over the board from A to its tip at B.
type Finger struct {
	A, B   geom.Point
	Radius float64
	Ink    Ink
}

// at is the laminate at p without a mask; along is its fibres' direction.
func (s *Sheet) at(p, along geom.Point, coarse, fine *tile) material {
	c := rgb(s.Colour)
	if s.Aged > 0 {
		n := coarse.at(p.X*0.31+17, p.Y*0.31+5) + 0.3*coarse.at(p.X*1.7, p.Y*1.7)
		c = c.mix(rgb(s.Blotch), float32(smooth(float64(n)*1.6+s.Aged*1.6-0.3)))
	}
	u, v := p.X*along.X+p.Y*along.Y, p.Y*along.X-p.X*along.Y
	k := float32(s.Cloud)*coarse.at(p.X*1.3, p.Y*1.3) + float32(s.Speck)*fine.at(p.X*9, p.Y*9)
	if s.Fibre > 0 {
		k += float32(s.Fibre) * coarse.at(u*2, v*17)
	}
	if s.Dots > 0 {
		w := max(0, cloth(geom.Point{X: u, Y: v}, s.Thread))
		k += float32(s.Dots) * w * w
	}
	if s.Cloth > 0 {
		k += float32(s.Cloth) * cloth(geom.Point{X: u, Y: v}, s.Thread)
	}
	return material{colour: c.scale(max(0.2, 1+k)), rough: 0.7, coat: float32(s.Gloss), glow: float32(s.Glow)}
}

// over lays the film over m.
func (f *Film) over(m material) material {
	m.colour = m.colour.times(rgb(f.Through)).mix(rgb(f.Colour), float32(f.Opacity))
	m.metal *= float32(0.5 * (1 - f.Opacity))
	m.glow *= 0.5
	m.rough = 0.9
	m.coat = float32(f.Gloss)
	return m
}

// at is the metal at p; age runs -1..1 from place to place.
func (m *Metal) at(p geom.Point, age float32, coarse *tile) material {
	t := 0.5 + 0.35*age
	if m.Patch > 0 {
		t += 0.6 * coarse.at(p.X*8/m.Patch, p.Y*8/m.Patch)
	}
	c := rgb(m.A).mix(rgb(m.B), max(0, min(1, t)))
	out := material{metal: float32(m.Metal), rough: float32(m.Rough) + 0.1*age, coat: float32(m.Gloss)}
	if m.Spots > 0 {
		n := float64(coarse.at(p.X*2.3+91, p.Y*2.3+7))
		k := float32(smooth(n*2.5 + 2.2*m.Spots - 0.8))
		c = c.mix(rgb(m.Spot), k)
		out.metal *= 1 - 0.7*k
	}
	out.colour = c
	out.rough = max(0, min(1, out.rough))
	return out
}

// solderAt is solder of the given dullness.
func (l *Look) solderAt(dull, age float32) material {
	m := solderMaterial(dull, age)
	m.colour = rgb(l.Solder.A).mix(rgb(l.Solder.B), dull).scale(1 + 0.05*age)
	m.coat = float32(l.Solder.Gloss)
	return m
}

// paintLook lays the bare board with its look.
func (p *foilPainter) paintLook() {
	s, b := p.face.surface, p.b
	l := b.Look
	one, along := geom.Point{X: 1, Y: 1}, unit(l.Base.Angle)
	s.box(one.Scale(-1), b.Size.Add(one), func(i int, q geom.Point) {
		d := b.boardDistance(q)
		cov := s.cover(d)
		if cov <= 0 {
			return
		}
		m := l.Base.at(q, along, p.coarse, p.fine)
		if l.Coat != nil {
			if open := s.cover(float64(p.open.d[i])); open < 1 {
				under := m
				m = l.Coat.over(m)
				m.colour = m.colour.mix(under.colour, open)
			}
		}
		var nx, ny float32
		if d > -0.35 {
			m.colour = m.colour.scale(1.08)
			nx, ny = edgeNormal(b, q, 0.5)
		}
		s.lay(i, cov, m, nx, ny)
		if cov >= 0.5 {
			p.face.class[i] = uint8(BareBoard)
		}
	})
}

// lookCopper is the copper at pixel i.
func (p *foilPainter) lookCopper(i int, at geom.Point, age float32) material {
	l := p.b.Look
	if l.Coat == nil {
		return l.Copper.at(at, age, p.coarse)
	}
	open := p.face.cover(float64(p.open.d[i]))
	if open >= 1 {
		return l.Pads.at(at, age, p.coarse)
	}
	m := l.Coat.over(l.Copper.at(at, 0.3*age, p.coarse))
	if open > 0 {
		m.colour = m.colour.mix(l.Pads.at(at, age, p.coarse).colour, open)
	}
	return m
}

// waves raise tinned copper unevenly, as solder sets, and lean the whole
// board's surface out of flat.
func (p *foilPainter) waves() {
	l := p.b.Look
	g := p.face.grid
	wave, warp := float32(l.Wave), float32(l.Warp)
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			mx, my := float64(x)/g.scale, float64(y)/g.scale
			if wave > 0 && p.cu.d[i] < 0 {
				edge := min(1, -p.cu.d[i]*2)
				p.bump[i] += wave * edge * (p.coarse.at(mx*11, my*11) + 0.5*p.coarse.at(mx*27, my*27))
			}
			if warp > 0 {
				p.bump[i] += warp * 12 * p.coarse.at(mx*0.8, my*0.8)
			}
		}
	}
}
