package specimen

import (
	"math"
	"math/rand/v2"

	"foilside/internal/num/geom"
)

// shot draws the photograph.
func (v *variation) shot() FaceShot {
	r := v.r
	k := r.Float64() // how careless the photographer is
	fill := between(r, 0.75, 1.05)
	if r.Float64() < 0.4 {
		fill = between(r, 0.4, 1.3)
	}
	quarters := 2 * r.IntN(2)
	if r.Float64() < 0.15 {
		quarters++
	}
	off := 0.5 * math.Abs(fill-0.9)
	tilt := math.Abs(r.NormFloat64()) * (0.03 + 0.2*k)
	if r.Float64() < 0.06 { // held or leaning
		tilt = between(r, 0.3, 0.8)
	}
	f := FaceShot{
		Camera: Camera{
			Tilt: tilt, TiltAxis: r.Float64() * 2 * math.Pi,
			Spin: r.NormFloat64()*(0.01+0.12*k) + float64(quarters)*math.Pi/2, Distance: between(r, 1.3, 3.2),
			Margin: (1 - fill) / 2, K1: between(r, -0.06, 0.03) * k, Zoom: 1,
			Aim: v.b.Size.Scale(0.5).Add(geom.Point{X: v.b.Size.X * between(r, -off, off), Y: v.b.Size.Y * between(r, -off, off)}),
			Off: geom.Point{X: between(r, -0.02, 0.02), Y: between(r, -0.02, 0.02)},
		},
		Light: Light{
			Azimuth: r.Float64() * 2 * math.Pi, Elevation: between(r, 0.4, 1.4), Lamp: between(r, 0, 1.6),
			Slope: geom.Point{X: r.NormFloat64() * 0.3 * k, Y: r.NormFloat64() * 0.3 * k},
			Glare: between(r, 0.1, 1.6),
		},
		Bench: GreenMat, Exposure: math.Exp(r.NormFloat64() * 0.28),
		Contrast: between(r, -0.3, 1), Vignette: between(r, 0, 0.35) * k, Blur: between(r, 0.3, 0.9+1.4*k*k),
		Sharpen: math.Max(0, between(r, -0.5, 1)), Noise: between(r, 0.3, 2+5*k*k),
		Quality: 98 - int(58*math.Pow(r.Float64(), 1.7)),
	}
	warm := r.NormFloat64() * 0.12
	f.White = [3]float64{math.Exp(warm), math.Exp(r.NormFloat64() * 0.04), math.Exp(-warm * between(r, 0.7, 1.6))}
	f.Scene = v.scene(k)
	return f
}

func (v *variation) scene(k float64) *Scene {
	r := v.r
	s, c := math.Sincos(r.Float64() * 2 * math.Pi)
	out := &Scene{Toward: geom.Point{X: c, Y: s}, Ground: variedGround(r), Camera: variedFaults(r, k)}
	cast := r.NormFloat64() * 0.1 * k
	dim := math.Exp(-math.Abs(r.NormFloat64()) * 0.35 * k)
	out.Tints[0] = Ink{1, 1, 1}
	out.Tints[1] = Ink{float32(dim * math.Exp(cast)), float32(dim), float32(dim * math.Exp(-cast))}
	for range r.IntN(4) {
		out.Lamps = append(out.Lamps, variedLamp(r))
	}
	if r.Float64() < 0.45 {
		v.shades(out)
	}
	if r.Float64() < 0.4 {
		v.clutter(out)
	}
	if r.Float64() < 0.15 {
		v.housing(out)
	}
	return out
}

func variedLamp(r *rand.Rand) Lamp {
	l := Lamp{
		Azimuth: r.Float64() * 2 * math.Pi, Elevation: between(r, 0.3, 1.55), Strength: between(r, 0, 0.8),
		Mirror: math.Exp(between(r, -0.7, 2)), Half: between(r, 0.03, 0.4), Soft: math.Pow(r.Float64(), 3) * 0.15,
	}
	return l
}

// shades are those of the photographer, the telephone, a hand and the window's
// bars.
func (v *variation) shades(s *Scene) {
	r := v.r
	span := v.b.Size.Norm()
	for range 1 + r.IntN(3) {
		h := Shade{At: v.anywhere(), Dir: r.Float64() * math.Pi, Half: span * between(r, 0.03, 0.5), Round: r.Float64() < 0.3,
			Soft: span * math.Exp(between(r, -6, -1)), Depth: between(r, 0.1, 0.75)}
		s.Shades = append(s.Shades, h)
	}
}

func variedGround(r *rand.Rand) *Ground {
	g := &Ground{Kind: oneOf(r, "plain", "plain", "plain", "wood", "wood", "cloth", "print", "grain", "tiles"),
		Scale: math.Exp(between(r, 2.3, 4.6)), Angle: r.Float64() * math.Pi, Strong: r.Float64()}
	g.A = tone(r, oneOf[uint32](r, 0xeceae4, 0xdcd8cc, 0x9a9a98, 0x5a5c60, 0x1c1c1e, 0x2b2b30, 0x1d5f55, 0x3a4a70, 0x701c20, 0xb08050, 0x7a8a60, 0xd0a0a0), 0.25, 0.12)
	g.B = tone(r, oneOf[uint32](r, 0x1c1c1e, 0x5a4a3a, 0xb0b0ac, 0x404858, 0xe0e0d8, 0x8a5a30), 0.25, 0.12)
	if g.Kind == "wood" {
		g.A = tone(r, oneOf[uint32](r, 0x9a6c42, 0xc8a070, 0x5a3820, 0xd8bc90, 0x3a2418), 0.15, 0.06)
		g.B = Ink(rgb(g.A).scale(float32(between(r, 0.5, 0.9))))
	}
	if g.Kind == "print" {
		g.A, g.B = tone(r, 0xd8d4c8, 0.1, 0.03), tone(r, 0x2a2826, 0.2, 0.03)
	}
	return g
}

// clutter scatters parts, tools and wires around the board.
func (v *variation) clutter(s *Scene) {
	r := v.r
	span := v.b.Size.Norm()
	mid := v.b.Size.Scale(0.5)
	for range 2 + r.IntN(10) {
		sin, cos := math.Sincos(r.Float64() * 2 * math.Pi)
		at := mid.Add(geom.Point{X: cos, Y: sin}.Scale(span * between(r, 0.3, 1)))
		s2, c2 := math.Sincos(r.Float64() * 2 * math.Pi)
		t := Thing{A: at, B: at.Add(geom.Point{X: c2, Y: s2}.Scale(math.Exp(between(r, 0.5, 4)))), Radius: math.Exp(between(r, -1.2, 1.8)), Ink: insulation(r), Gloss: between(r, 0, 0.1)}
		if r.Float64() < 0.3 {
			t.Ink, t.Metal = tone(r, oneOf[uint32](r, 0xc8c8c4, 0xb0a890, 0xd98a5c), 0.15, 0.05), between(r, 0.5, 1)
		}
		if r.Float64() < 0.35 {
			t.Size = geom.Point{X: math.Exp(between(r, 0.5, 3.3)), Y: math.Exp(between(r, 0.5, 2.8))}
		}
		s.Clutter = append(s.Clutter, t)
	}
}

func variedFaults(r *rand.Rand, k float64) Faults {
	f := Faults{Flare: math.Pow(r.Float64(), 3) * 0.15}
	if r.Float64() < 0.15 {
		s, c := math.Sincos(r.Float64() * math.Pi)
		f.Motion = geom.Point{X: c, Y: s}.Scale(between(r, 1, 4))
	}
	if r.Float64() < 0.3 {
		f.Defocus = between(r, 0.8, 3.5)
		f.Focus = geom.Point{X: r.Float64(), Y: r.Float64()}
		if r.Float64() < 0.7 {
			s, c := math.Sincos(r.Float64() * math.Pi)
			f.FocusDir = geom.Point{X: c, Y: s}
		}
	}
	if r.Float64() < 0.6 {
		f.Chroma, f.Blotch = between(r, 0, 1+4*k*k), between(r, 1, 5)
	}
	f.Vivid = between(r, -0.35, 0.45)
	if r.Float64() < 0.4 {
		f.Halo, f.HaloWide = between(r, 0.1, 0.9), 1+r.IntN(4)
	}
	if r.Float64() < 0.3 {
		f.Bleed = 1 + r.IntN(2)
	}
	return f
}

// housing puts the walls of a cabinet close around the board.
func (v *variation) housing(s *Scene) {
	r := v.r
	wall := Thing{Ink: tone(r, oneOf[uint32](r, 0xb0b0ac, 0x8a8c90, 0x3a3836, 0xc0a880, 0x20201e, 0xd8d4c8), 0.2, 0.06), Gloss: between(r, 0, 0.08)}
	if r.Float64() < 0.5 {
		wall.Metal = between(r, 0.3, 0.9)
	}
	size, gap, thick := v.b.Size, between(r, 0.5, 8), between(r, 1, 12)
	mid := size.Scale(0.5)
	for _, side := range []geom.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
		if r.Float64() < 0.3 {
			continue
		}
		t := wall
		t.A = mid.Add(geom.Point{X: side.X * (size.X/2 + gap + thick), Y: side.Y * (size.Y/2 + gap + thick)})
		t.B = t.A.Add(geom.Point{X: 1})
		t.Size = geom.Point{X: thick, Y: size.Y/2 + gap + 2*thick}
		if side.Y != 0 {
			t.Size = geom.Point{X: size.X/2 + gap + 2*thick, Y: thick}
		}
		s.Clutter = append(s.Clutter, t)
	}
}
