package specimen

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"

	"foilside/internal/num/geom"
)

// Photograph is one face as a camera gives it.
type Photograph struct {
	JPEG []byte
	View View
}

// Image decodes the photograph.
func (p Photograph) Image() (image.Image, error) { return jpeg.Decode(bytes.NewReader(p.JPEG)) }

// raw is a photograph in linear light, three numbers a pixel.
type raw struct {
	w, h int
	v    []float32
}

const knot = 4 // pixels between exactly mapped points

// eachPixel calls f for every pixel with its place on the board. The map is
// exact at every knot-th pixel and straight between: with the lenses of
// RandomShot the error stays under 0.01 pixel.
func eachPixel(v View, f func(i int, mm geom.Point)) {
	upper, lower := knots(v, 0, nil), []geom.Point(nil)
	for y0 := 0; y0 < v.Height; y0 += knot {
		lower = knots(v, y0+knot, lower)
		for x0 := 0; x0 < v.Width; x0 += knot {
			k := x0 / knot
			eachInCell(v, x0, y0, [4]geom.Point{upper[k], upper[k+1], lower[k], lower[k+1]}, f)
		}
		upper, lower = lower, upper
	}
}

// knots maps every knot-th pixel of row y, reusing the space of to.
func knots(v View, y int, to []geom.Point) []geom.Point {
	to = to[:0]
	for x := 0; x < v.Width+knot; x += knot {
		to = append(to, v.ToBoard(geom.Point{X: float64(x), Y: float64(y)}))
	}
	return to
}

func eachInCell(v View, x0, y0 int, c [4]geom.Point, f func(i int, mm geom.Point)) {
	for dy := 0; dy < knot && y0+dy < v.Height; dy++ {
		t := float64(dy) / knot
		a := c[0].Add(c[2].Sub(c[0]).Scale(t))
		b := c[1].Add(c[3].Sub(c[1]).Scale(t))
		step := b.Sub(a).Scale(1.0 / knot)
		i := (y0+dy)*v.Width + x0
		for dx := 0; dx < knot && x0+dx < v.Width; dx++ {
			f(i+dx, a)
			a = a.Add(step)
		}
	}
}

// expose sees the lit face and the bench through the camera.
func expose(v View, s *surface, lit []float32, l Light, scene *Scene, under bench) raw {
	out := raw{v.Width, v.Height, make([]float32, 3*v.Width*v.Height)}
	fall := falloff(v, l, scene)
	eachPixel(v, func(i int, mm geom.Point) {
		x, y := (mm.X-s.origin.X)*s.scale, (mm.Y-s.origin.Y)*s.scale
		ix, iy := int(math.Floor(x)), int(math.Floor(y))
		light := fall(mm)
		o := out.v[3*i : 3*i+3 : 3*i+3]
		if ix < 0 || iy < 0 || ix >= s.w-1 || iy >= s.h-1 {
			c := under.at(mm)
			o[0], o[1], o[2] = c[0]*light[0], c[1]*light[1], c[2]*light[2]
			return
		}
		k := iy*s.w + ix
		c, a, shade := s.sample(lit, k, float32(x-float64(ix)), float32(y-float64(iy)))
		if a < 1 {
			b := under.at(mm)
			for n := range 3 {
				c[n] += b[n] * shade * (1 - a)
			}
		}
		o[0], o[1], o[2] = c[0]*light[0], c[1]*light[1], c[2]*light[2]
	})
	return out
}

// sample blends the four pixels at and after k; colours come weighted with
// their alpha.
func (s *surface) sample(lit []float32, k int, u, v float32) (c rgb, alpha, shade float32) {
	w := [4]float32{(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v}
	for n, j := range [4]int{k, k + 1, k + s.w, k + s.w + 1} {
		a := s.alpha[j] * w[n]
		alpha += a
		shade += s.shade[j] * w[n]
		c[0] += lit[3*j] * a
		c[1] += lit[3*j+1] * a
		c[2] += lit[3*j+2] * a
	}
	return c, alpha, shade
}

// falloff is the unevenness of the light over the board's plane.
func falloff(v View, l Light, scene *Scene) func(mm geom.Point) rgb {
	span := v.Above
	s, c := math.Sincos(l.ShadowDir)
	cast := func(_, _ geom.Point) rgb { return rgb{1, 1, 1} }
	if scene != nil {
		cast = scene.cast()
	}
	return func(mm geom.Point) rgb {
		d := mm.Sub(v.Foot).Scale(1.6 / span)
		k := 1 + l.Slope.X*d.X + l.Slope.Y*d.Y
		if l.Shadow > 0 {
			e := mm.Sub(l.ShadowAt)
			k *= 1 - l.Shadow*smooth((e.X*c+e.Y*s)/12+0.5)
		}
		even := float32(math.Max(0.1, k))
		return cast(mm, d).scale(even)
	}
}

// bench is the ground under the board.
type bench struct {
	kind   Bench
	glow   float32 // of a light table
	coarse *tile
	fine   *tile
	ground *Ground // nil: as kind says
	along  geom.Point
}

func newBench(f FaceShot, seed uint64) bench {
	r := newRand(seed, 21)
	b := bench{kind: f.Bench, glow: float32(f.Light.Behind), coarse: newTile(r, 64), fine: newTile(r, 8)}
	if f.Scene != nil && f.Scene.Ground != nil {
		b.ground, b.along = f.Scene.Ground, unit(f.Scene.Ground.Angle)
	}
	return b
}

func (b bench) at(p geom.Point) rgb {
	c := b.surface(p)
	return rgb{c[0] + b.glow, c[1] + b.glow, c[2] + b.glow}
}

func (b bench) surface(p geom.Point) rgb {
	if b.ground != nil {
		return b.ground.at(p, b.along, b.coarse, b.fine)
	}
	n := b.coarse.at(p.X*0.8, p.Y*0.8)
	f := b.fine.at(p.X*5, p.Y*5)
	switch b.kind {
	case Wood:
		ring := b.coarse.at(p.X*0.35, p.Y*7)
		return hex(0x9a6c42).scale(1 + 0.25*ring + 0.08*f)
	case Paper:
		return hex(0xdedcd4).scale(1 + 0.02*n + 0.01*f)
	case DarkCloth:
		return hex(0x2b2b30).scale(1 + 0.15*n + 0.35*f)
	case GreySteel:
		return hex(0x8b8f92).scale(1 + 0.06*n + 0.05*b.fine.at(p.X*0.6, p.Y*14))
	default:
		return hex(0x1d5f55).scale(1 + 0.06*n + 0.12*f)
	}
}
