package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// Scene is what a photograph's room and camera add to a plain FaceShot.
type Scene struct {
	Lamps   []Lamp     `json:"lamps,omitempty"`   // beside that of Light
	Tints   [2]Ink     `json:"tints"`             // light at the two ends of the board along Toward
	Toward  geom.Point `json:"toward"`            // of length 1
	Shades  []Shade    `json:"shades,omitempty"`  // cast by things out of the picture
	Ground  *Ground    `json:"ground,omitempty"`  // under the board; nil: FaceShot.Bench
	Clutter []Thing    `json:"clutter,omitempty"` // on the ground
	Camera  Faults     `json:"camera"`
}

// Lamp is one more light over the board.
type Lamp struct {
	Azimuth   float64 `json:"azimuth"`
	Elevation float64 `json:"elevation"`
	Strength  float64 `json:"strength"` // on matt things
	Mirror    float64 `json:"mirror"`   // brightness of its image in shiny things
	Half      float64 `json:"half"`     // half the angle that it takes up, radians
	Soft      float64 `json:"soft"`     // of its edge, as a share of the cosine
}

// Shade is a shadow: a band with straight edges, or a round one.
type Shade struct {
	At    geom.Point `json:"at"`    // mm
	Dir   float64    `json:"dir"`   // across the band, radians
	Half  float64    `json:"half"`  // half the band's width or the radius, mm
	Round bool       `json:"round"` // a round shadow
	Soft  float64    `json:"soft"`  // mm
	Depth float64    `json:"depth"` // 0..1
}

// Ground is the surface under the board.
type Ground struct {
	Kind   string  `json:"kind"` // "plain", "wood", "cloth", "print", "grain", "tiles"
	A      Ink     `json:"a"`
	B      Ink     `json:"b"`
	Scale  float64 `json:"scale"` // mm of its pattern
	Angle  float64 `json:"angle"`
	Strong float64 `json:"strong"` // share of B in the pattern
}

// Thing lies beside the board: a rod from A to B, round at its ends, or a
// block of half extents Size at A.
type Thing struct {
	A      geom.Point `json:"a"`
	B      geom.Point `json:"b"`
	Radius float64    `json:"radius"`
	Size   geom.Point `json:"size"` // not 0: a block turned toward B
	Ink    Ink        `json:"ink"`
	Metal  float64    `json:"metal"`
	Gloss  float64    `json:"gloss"`
}

type lampAt struct {
	to       [3]float64
	strength float64
}

func (s *Scene) lamps() []lampAt {
	if s == nil {
		return nil
	}
	out := make([]lampAt, len(s.Lamps))
	for i, l := range s.Lamps {
		out[i] = lampAt{direction(l.Azimuth, l.Elevation), l.Strength}
	}
	return out
}

func (s *Scene) patches() []patch {
	if s == nil {
		return nil
	}
	out := make([]patch, len(s.Lamps))
	for i, l := range s.Lamps {
		out[i] = patch{direction(l.Azimuth, l.Elevation), math.Cos(l.Half), math.Max(0.002, l.Soft), l.Mirror}
	}
	return out
}

// cast gives the colour of the light at mm, which lies d board widths from the
// camera's foot.
func (s *Scene) cast() func(mm, d geom.Point) rgb {
	across := make([]geom.Point, len(s.Shades))
	for i, h := range s.Shades {
		across[i] = unit(h.Dir)
	}
	return func(mm, d geom.Point) rgb {
		t := float32(smooth(0.5 + 0.5*(d.X*s.Toward.X+d.Y*s.Toward.Y)))
		c := rgb(s.Tints[0]).mix(rgb(s.Tints[1]), t)
		for i := range s.Shades {
			c = c.scale(s.Shades[i].light(mm, across[i]))
		}
		return c
	}
}

// unit is the vector of length 1 in a direction.
func unit(angle float64) geom.Point {
	s, c := math.Sincos(angle)
	return geom.Point{X: c, Y: s}
}

// light is the share of the light left at mm; across lies across the band.
func (h *Shade) light(mm, across geom.Point) float32 {
	e := mm.Sub(h.At)
	d := math.Abs(e.X*across.X+e.Y*across.Y) - h.Half
	if h.Round {
		d = math.Sqrt(e.X*e.X+e.Y*e.Y) - h.Half
	}
	if d > h.Soft+0.05 {
		return 1
	}
	return float32(1 - h.Depth*smooth(0.5-d/math.Max(0.05, h.Soft)))
}

// at is the colour of the ground at p; along is its pattern's direction.
func (g *Ground) at(p, along geom.Point, coarse, fine *tile) rgb {
	u, v := (p.X*along.X+p.Y*along.Y)/g.Scale, (p.Y*along.X-p.X*along.Y)/g.Scale
	a, b := rgb(g.A), rgb(g.B)
	n := coarse.at(u*32, v*32)
	f := fine.at(u*64, v*64)
	k := float32(g.Strong)
	switch g.Kind {
	case "wood":
		return a.mix(b, clamp01(0.5+k*coarse.at(u*3, v*60))).scale(1 + 0.08*f)
	case "cloth":
		w := ripple(u*8) * ripple(v*8)
		return a.mix(b, clamp01(0.5+0.5*k*w)).scale(1 + 0.2*k*f)
	case "print":
		return a.mix(b, printed(u, v, fine)*(0.6+0.4*k))
	case "grain":
		return a.mix(b, clamp01(0.5+k*f)).scale(1 + 0.1*n)
	case "tiles":
		x, y := math.Abs(u-math.Round(u)), math.Abs(v-math.Round(v))
		if math.Min(x, y) < 0.03 {
			return b
		}
		return a.scale(1 + 0.1*k*n)
	default:
		return a.scale(1 + 0.1*k*n + 0.03*k*f)
	}
}

// printed is 1 where lines of small print stand: u and v in columns.
func printed(u, v float64, fine *tile) float32 {
	line := v*14 - math.Floor(v*14)
	col := u - math.Floor(u)
	if line > 0.55 || col > 0.93 {
		return 0
	}
	if fine.at(u*90, math.Floor(v*14)*7.3+line*4) > 0.02 {
		return 1
	}
	return 0
}

func clamp01(v float32) float32 { return max(0, min(1, v)) }

// things lays rods and blocks, and notes their class.
func (p *foilPainter) things(things []Thing, falls geom.Point, class Class) {
	s := p.face.surface
	for _, t := range things {
		m := material{colour: rgb(t.Ink), metal: float32(t.Metal), rough: 0.5, coat: float32(t.Gloss)}
		if t.Size == (geom.Point{}) {
			path := []geom.Point{t.A, t.B}
			castAlong(s, path, t.Radius, falls.Scale(t.Radius))
			p.rods(path, t.Radius, m, class)
			continue
		}
		u := t.B.Sub(t.A)
		u = u.Scale(1 / math.Max(1e-9, u.Norm()))
		p.flatCover(oriented(t.A, u, t.Size.X, t.Size.Y), m, class)
	}
}
