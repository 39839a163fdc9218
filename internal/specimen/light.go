package specimen

import (
	"math"
	"math/rand/v2"

	"foilside/internal/num/geom"
)

// Light is what falls on one face.
type Light struct {
	Azimuth   float64    `json:"azimuth"`   // direction from which the lamp shines, radians in the board's plane
	Elevation float64    `json:"elevation"` // of the lamp over the board, radians
	Lamp      float64    `json:"lamp"`      // its strength against the room's light of 1
	Slope     geom.Point `json:"slope"`     // how the light falls off across the board, share per board diagonal
	Shadow    float64    `json:"shadow"`    // depth of a soft shadow cast over a part of the board, 0..1
	ShadowAt  geom.Point `json:"shadowAt"`  // a point on the shadow's edge, mm
	ShadowDir float64    `json:"shadowDir"` // direction into the shadow, radians
	Glare     float64    `json:"glare"`     // strength of the mirrored lamp on metal
}

const lookup = 129 // entries along one side of the tables over normals

// lookups say what a place of given inclination shows, for a camera straight
// above: a table over (nx, ny) from -1 to 1.
type lookups struct {
	matt, dull, sharp []float32
}

// newLookups tabulates the light. r places the things that shiny metal mirrors.
func newLookups(l Light, r *rand.Rand) lookups {
	n := lookup * lookup
	t := lookups{make([]float32, n), make([]float32, n), make([]float32, n)}
	lamp := direction(l.Azimuth, l.Elevation)
	window := direction(r.Float64()*7, between(r, 0.5, 1.1))
	room := environment{lamp, window, between(r, 0.5, 0.9), l.Glare, between(r, 0, 6)}
	for j := range lookup {
		for i := range lookup {
			nx, ny := float64(i)*2/(lookup-1)-1, float64(j)*2/(lookup-1)-1
			nz := math.Sqrt(math.Max(0.02, 1-nx*nx-ny*ny))
			k := j*lookup + i
			dot := math.Max(0, nx*lamp[0]+ny*lamp[1]+nz*lamp[2])
			t.matt[k] = float32((0.62*(0.45+0.55*nz) + l.Lamp*dot) / (0.62 + l.Lamp*lamp[2]))
			ref := [3]float64{2 * nz * nx, 2 * nz * ny, 2*nz*nz - 1}
			t.sharp[k] = float32(room.seen(ref, 1))
			t.dull[k] = float32(room.seen(ref, 0.12))
		}
	}
	return t
}

func direction(azimuth, elevation float64) [3]float64 {
	s, c := math.Sincos(azimuth)
	e, f := math.Sincos(elevation)
	return [3]float64{c * f, s * f, e}
}

// environment is what a mirror on the bench shows in each direction.
type environment struct {
	lamp, window [3]float64
	ceiling      float64
	glare        float64
	turn         float64
}

// seen is the light from a direction; sharp 1 keeps edges, less blurs them.
func (e environment) seen(d [3]float64, sharp float64) float64 {
	up := math.Max(0, d[2])
	v := 0.16 + e.ceiling*up*(0.75+0.25*math.Sin(3*d[0]+e.turn)*sharp)
	// The camera and the hands that hold it stand dark overhead.
	v -= 0.18 * smooth((d[2]-0.97)/0.03) * sharp
	v += 0.9 * e.glare * lobe(d, e.lamp, 60*sharp+3) * (0.6 + 2.4*sharp)
	v += 0.7 * lobe(d, e.window, 12*sharp+2)
	return math.Max(0.03, v)
}

func lobe(d, l [3]float64, power float64) float64 {
	dot := d[0]*l[0] + d[1]*l[1] + d[2]*l[2]
	return math.Exp((dot - 1) * power)
}

func smooth(t float64) float64 {
	t = math.Max(0, math.Min(1, t))
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
	k := index(s.nx[i], s.ny[i])
	light := t.matt[k] * s.shade[i]
	c := m.colour.scale((1 - m.metal) * light)
	if m.metal > 0.01 || m.coat > 0 {
		kv := index(s.nx[i]+vx, s.ny[i]+vy)
		mirror := t.sharp[kv] + (t.dull[kv]-t.sharp[kv])*m.rough
		shade := 0.5 + 0.5*s.shade[i]
		gloss := m.metal * mirror * shade
		c[0] += m.colour[0]*gloss + m.coat*mirror*shade
		c[1] += m.colour[1]*gloss + m.coat*mirror*shade
		c[2] += m.colour[2]*gloss + m.coat*mirror*shade
	}
	return c
}

func index(nx, ny float32) int {
	i := int((nx+1)*((lookup-1)/2) + 0.5)
	j := int((ny+1)*((lookup-1)/2) + 0.5)
	i, j = max(0, min(lookup-1, i)), max(0, min(lookup-1, j))
	return j*lookup + i
}
