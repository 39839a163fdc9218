package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// rgb is linear light, 1 a white sheet in the middle of the exposure.
type rgb [3]float32

func (c rgb) scale(k float32) rgb { return rgb{c[0] * k, c[1] * k, c[2] * k} }

func (c rgb) times(d rgb) rgb { return rgb{c[0] * d[0], c[1] * d[1], c[2] * d[2]} }

func (c rgb) mix(d rgb, t float32) rgb {
	return rgb{c[0] + (d[0]-c[0])*t, c[1] + (d[1]-c[1])*t, c[2] + (d[2]-c[2])*t}
}

// hex turns an sRGB colour as people write it into linear light.
func hex(v uint32) rgb {
	return rgb{linear(v >> 16 & 255), linear(v >> 8 & 255), linear(v & 255)}
}

// linear undoes the sRGB curve within 0.002, by the cubic that fits it.
func linear(v uint32) float32 {
	c := float32(v) / 255
	return c * (c*(c*0.305306011+0.682171111) + 0.012522878)
}

// material is how a place answers light.
type material struct {
	colour rgb
	metal  float32 // share of the light that is mirrored in the colour's tint
	rough  float32 // 0 mirrors sharply, 1 hardly
	coat   float32 // clear gloss on top
	glow   float32 // share of light from behind that comes through
}

// surface is one face of the board painted flat: what each place is made of
// and how it is inclined, before light.
type surface struct {
	grid
	mat    []material
	nx, ny []float32 // the normal's share in the plane
	shade  []float32 // share of the light that reaches the place
	alpha  []float32 // 0: bench, 1: board or part
	class  []uint8   // where not nil, lay writes now into it
	now    Class
}

func newSurface(g grid) *surface {
	n := g.w * g.h
	s := &surface{grid: g, mat: make([]material, n), nx: make([]float32, n), ny: make([]float32, n), shade: make([]float32, n), alpha: make([]float32, n)}
	for i := range s.shade {
		s.shade[i] = 1
	}
	return s
}

// lay covers share cov of pixel i with m, inclined by (nx, ny).
func (s *surface) lay(i int, cov float32, m material, nx, ny float32) {
	if cov <= 0 {
		return
	}
	if s.class != nil && cov >= 0.5 {
		s.class[i] = uint8(s.now)
	}
	if cov >= 1 {
		s.mat[i], s.nx[i], s.ny[i], s.alpha[i], s.shade[i] = m, nx, ny, 1, 1
		return
	}
	o := &s.mat[i]
	o.colour = o.colour.mix(m.colour, cov)
	o.metal += (m.metal - o.metal) * cov
	o.rough += (m.rough - o.rough) * cov
	o.coat += (m.coat - o.coat) * cov
	o.glow += (m.glow - o.glow) * cov
	s.nx[i] += (nx - s.nx[i]) * cov
	s.ny[i] += (ny - s.ny[i]) * cov
	s.shade[i] += (1 - s.shade[i]) * cov
	s.alpha[i] += (1 - s.alpha[i]) * cov
}

// cover is the share of a pixel that a shape covers whose edge lies d mm
// away (negative inside).
func (g grid) cover(d float64) float32 {
	return float32(max(0, min(1, 0.5-d*g.scale)))
}

// incline sets the normals from a height field in mm.
func (s *surface) incline(height []float32) {
	k := float32(s.scale / 2)
	for y := 1; y < s.h-1; y++ {
		for x := 1; x < s.w-1; x++ {
			i := y*s.w + x
			gx, gy := (height[i+1]-height[i-1])*k, (height[i+s.w]-height[i-s.w])*k
			if gx == 0 && gy == 0 {
				continue
			}
			n := 1 / float32(math.Sqrt(float64(1+gx*gx+gy*gy)))
			s.nx[i], s.ny[i] = -gx*n, -gy*n
		}
	}
}

// boardDistance is the signed distance to the board's outline, mm.
func (b *Board) boardDistance(p geom.Point) float64 {
	d := b.wholeDistance(p)
	if b.Look != nil {
		for _, c := range b.Look.Cuts {
			d = max(d, -c.distance(p))
		}
	}
	return d
}

// wholeDistance is that to the outline before anything was cut out of it.
func (b *Board) wholeDistance(p geom.Point) float64 {
	c := b.Corner
	qx := abs(p.X-b.Size.X/2) - (b.Size.X/2 - c)
	qy := abs(p.Y-b.Size.Y/2) - (b.Size.Y/2 - c)
	if qx <= 0 || qy <= 0 {
		return max(qx, qy) - c
	}
	return math.Sqrt(qx*qx+qy*qy) - c
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
