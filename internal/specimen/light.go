package specimen

import (
	"math"
	"math/rand/v2"

	"foilside/internal/num/geom"
)

// Light is what falls on one face.
type Light struct {
	Azimuth   float64    `json:"azimuth"`          // direction from which the lamp shines, radians in the board's plane
	Elevation float64    `json:"elevation"`        // of the lamp over the board, radians
	Lamp      float64    `json:"lamp"`             // its strength against the room's light of 1
	Slope     geom.Point `json:"slope"`            // how the light falls off across the board, share per board diagonal
	Shadow    float64    `json:"shadow"`           // depth of a soft shadow cast over a part of the board, 0..1
	ShadowAt  geom.Point `json:"shadowAt"`         // a point on the shadow's edge, mm
	ShadowDir float64    `json:"shadowDir"`        // direction into the shadow, radians
	Glare     float64    `json:"glare"`            // strength of the mirrored lamp on metal
	Behind    float64    `json:"behind,omitempty"` // light from behind the board against 1 in front: 2 is a strong backlight
}

// shadow is where the shadow of a point 1 mm high falls.
func (l Light) shadow() geom.Point {
	k := 1 / math.Tan(math.Max(0.5, l.Elevation))
	s, c := math.Sincos(l.Azimuth)
	return geom.Point{X: -c * k, Y: -s * k}
}

const lookup = 129 // entries along one side of the tables over normals

// lookups say what a place of given inclination shows, for a camera straight
// above: a table over (nx, ny) from -1 to 1.
type lookups struct {
	matt, dull, sharp response
	behind            float32 // light that comes through
}

// newLookups tabulates the light. r places the things that shiny metal mirrors.
func newLookups(l Light, scene *Scene, r *rand.Rand) lookups {
	n := lookup * lookup
	t := lookups{make(response, n), make(response, n), make(response, n), float32(l.Behind)}
	lamp := direction(l.Azimuth, l.Elevation)
	room := newEnvironment(lamp, l.Glare, r)
	more := scene.lamps()
	room.lights = append(room.lights, scene.patches()...)
	for j := range lookup {
		for i := range lookup {
			nx, ny := float64(i)*2/(lookup-1)-1, float64(j)*2/(lookup-1)-1
			nz := math.Sqrt(math.Max(0.02, 1-nx*nx-ny*ny))
			k := j*lookup + i
			dot := math.Max(0, nx*lamp[0]+ny*lamp[1]+nz*lamp[2])
			sum, flat := 0.62*(0.45+0.55*nz)+l.Lamp*dot, 0.62+l.Lamp*lamp[2]
			for _, m := range more {
				sum += m.strength * math.Max(0, nx*m.to[0]+ny*m.to[1]+nz*m.to[2])
				flat += m.strength * m.to[2]
			}
			t.matt[k] = float32(sum / flat)
			t.sharp[k] = float32(room.seen([3]float64{2 * nz * nx, 2 * nz * ny, 2*nz*nz - 1}))
		}
	}
	copy(t.dull, t.sharp)
	smear(t.dull, grid{w: lookup, h: lookup}, 9)
	return t
}

func direction(azimuth, elevation float64) [3]float64 {
	s, c := math.Sincos(azimuth)
	e, f := math.Sincos(elevation)
	return [3]float64{c * f, s * f, e}
}

// environment is what a mirror on the bench shows in each direction: a room
// that grows lighter upward, some bright windows and lamps, and the dark of
// the camera and the hands that hold it.
type environment struct {
	floor, ceiling float64
	turn           float64
	lights         []patch
}

// patch is a round of light or, with negative strength, of dark.
type patch struct {
	to       [3]float64
	cosine   float64 // of its half angle
	soft     float64 // width of its edge in that cosine
	strength float64
}

func newEnvironment(lamp [3]float64, glare float64, r *rand.Rand) environment {
	e := environment{floor: between(r, 0.06, 0.16), ceiling: between(r, 0.15, 0.75), turn: between(r, 0, 6)}
	e.lights = append(e.lights, patch{lamp, math.Cos(between(r, 0.12, 0.3)), 0.02, 3.5 * glare})
	for range 3 {
		half := between(r, 0.3, 0.6)
		e.lights = append(e.lights, patch{direction(r.Float64()*7, between(r, 0.15, 1.0)), math.Cos(half), between(r, 0.01, 0.1), between(r, 0.5, 1.5)})
	}
	e.lights = append(e.lights, patch{direction(r.Float64()*7, between(r, 1.3, 1.55)), math.Cos(between(r, 0.15, 0.4)), 0.03, -between(r, 0.1, 0.5)})
	return e
}

// seen is the light from a direction.
func (e environment) seen(d [3]float64) float64 {
	v := e.floor + e.ceiling*smooth(d[2]*0.8+0.2)*(0.8+0.2*math.Sin(4*d[0]+3*d[1]+e.turn))
	for _, p := range e.lights {
		dot := d[0]*p.to[0] + d[1]*p.to[1] + d[2]*p.to[2]
		v += p.strength * smooth((dot-p.cosine)/p.soft+0.5)
	}
	return math.Max(0.03, v)
}

func smooth(t float64) float64 {
	t = max(0, min(1, t))
	return t * t * (3 - 2*t)
}

// lit turns a painted face into what a camera at v's place would see of it:
// linear light, three numbers a pixel.
func (s *surface) lit(v View, t lookups) []float32 {
	out := make([]float32, 3*s.w*s.h)
	step := 1 / s.scale
	for y := range s.h {
		// Half the tilt of the line of sight acts like a tilt of the mirror.
		vy := float32((s.origin.Y + float64(y)*step - v.Foot.Y) / v.Above / 2)
		for x := range s.w {
			i := y*s.w + x
			if s.alpha[i] == 0 {
				continue
			}
			vx := float32((s.origin.X + float64(x)*step - v.Foot.X) / v.Above / 2)
			c := s.answer(i, vx, vy, t)
			out[3*i], out[3*i+1], out[3*i+2] = c[0], c[1], c[2]
		}
	}
	return out
}

func (s *surface) answer(i int, vx, vy float32, t lookups) rgb {
	m := &s.mat[i]
	c := m.colour.scale((1-m.metal)*t.matt.at(s.nx[i], s.ny[i])*s.shade[i] + m.glow*t.behind)
	if m.metal > 0.01 || m.coat > 0 {
		nx, ny := s.nx[i]+vx, s.ny[i]+vy
		mirror := t.dull.at(nx, ny)
		if m.rough < 0.95 {
			mirror += (t.sharp.at(nx, ny) - mirror) * (1 - m.rough)
		}
		mirror *= 0.5 + 0.5*s.shade[i]
		c[0] += (m.colour[0]*m.metal + m.coat) * mirror
		c[1] += (m.colour[1]*m.metal + m.coat) * mirror
		c[2] += (m.colour[2]*m.metal + m.coat) * mirror
	}
	return c
}

// response is a table over normals.
type response []float32

// at reads the table between its entries.
func (r response) at(nx, ny float32) float32 {
	const half, top = (lookup - 1) / 2, lookup - 1.001
	x := max(0, min(top, (nx+1)*half))
	y := max(0, min(top, (ny+1)*half))
	i, j := int(x), int(y)
	u, v := x-float32(i), y-float32(j)
	k := j*lookup + i
	a, b, c, d := r[k], r[k+1], r[k+lookup], r[k+lookup+1]
	return (a+(b-a)*u)*(1-v) + (c+(d-c)*u)*v
}
