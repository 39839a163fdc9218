package specimen

import (
	"math"
	"math/rand/v2"
)

// tone is a colour written in sRGB, off by chance: overall by bright, each
// channel by hue (both about the standard deviation of the logarithm).
func tone(r *rand.Rand, v uint32, bright, hue float64) Ink {
	c := hex(v)
	k := r.NormFloat64() * bright
	for i := range c {
		c[i] = float32(math.Min(0.95, float64(c[i])*math.Exp(k+r.NormFloat64()*hue)))
	}
	return Ink(c)
}

// look draws materials of the foil side until tracks stand out from the board
// as they do on nearly all real boards.
func (v *variation) look() *Look {
	hidden := v.r.Float64() < 0.05
	for range 12 {
		if l := v.materials(); hidden || l.contrast() >= leastContrast {
			return l
		}
	}
	return v.materials()
}

// leastContrast is the least distance, in 8-bit steps of sRGB, between track
// and board that training sees. Judged by eye.
const leastContrast = 30

// contrast is about how far the colours of track and board lie apart in a
// well exposed photograph, in 8-bit steps.
func (l *Look) contrast() float64 {
	board := material{colour: rgb(l.Base.Colour)}
	track := material{colour: rgb(l.Copper.A).mix(rgb(l.Copper.B), 0.5), metal: float32(l.Copper.Metal)}
	if l.Coat != nil {
		board, track = l.Coat.over(board), l.Coat.over(track)
	}
	sum := 0.0
	for c := range 3 {
		const mirrored = 0.5 // what a room gives back in metal against light on matt things
		seen := float64(track.colour[c] * (1 - track.metal*(1-mirrored)))
		d := 255 * (math.Pow(seen, 1/2.2) - math.Pow(float64(board.colour[c]), 1/2.2))
		sum += d * d
	}
	return math.Sqrt(sum)
}

// materials draws all materials of the foil side.
func (v *variation) materials() *Look {
	r := v.r
	l := &Look{Base: variedSheet(r), Warp: math.Max(0, between(r, -0.03, 0.05))}
	l.Copper = variedMetal(r, v.b.Finish)
	l.Pads = l.Copper
	if v.b.Mask != NoMask {
		l.Coat = variedMask(r)
		l.Copper = variedMetal(r, oneOf(r, Bare, Bare, Tinned))
		l.Copper.Spots *= 0.3
		l.Pads = variedMetal(r, oneOf(r, Tinned, Tinned, Bare, Oxidised))
	} else if r.Float64() < 0.3 {
		lacquer(r, l)
	}
	if v.b.Finish == Tinned && v.b.Mask == NoMask {
		l.Wave = math.Pow(r.Float64(), 2) * 0.12
	}
	l.Solder = Metal{A: tone(r, 0xd6d8d9, 0.08, 0.03), B: tone(r, oneOf[uint32](r, 0xa9a8a4, 0x8d8c88, 0x77756f, 0xb8b3a5), 0.15, 0.05)}
	if r.Float64() < 0.2 {
		l.Solder.Gloss = between(r, 0.02, 0.12)
	}
	l.Flux = tone(r, oneOf[uint32](r, 0xe6d09a, 0xc89a50, 0xa87430, 0x8a5a28, 0xd9c9a0), 0.15, 0.1)
	return l
}

// variedSheet draws a laminate.
func variedSheet(r *rand.Rand) Sheet {
	s := Sheet{
		Cloud: between(r, 0, 0.12), Speck: between(r, 0, 0.06), Angle: between(r, -0.03, 0.03),
		Gloss: between(r, 0.01, 0.08), Aged: 0,
	}
	if r.Float64() < 0.5 {
		s.Aged = between(r, 0.1, 0.8)
	}
	if r.Float64() < 0.5 {
		s.Angle += math.Pi / 2
	}
	if r.Float64() < 0.5 { // paper and phenolic resin
		s.Colour = tone(r, oneOf[uint32](r, 0x8a5a33, 0x6d4023, 0x4f2f1b, 0xa87644, 0xb98a4e, 0xc79a5c, 0xb5753a, 0x9b6a2f, 0xc9a878, 0x3d281c), 0.2, 0.08)
		s.Blotch = tone(r, oneOf[uint32](r, 0x5d3a22, 0x8a5a33, 0xb08040, 0x42281a), 0.2, 0.08)
		s.Fibre, s.Glow = between(r, 0, 0.14), between(r, 0, 0.3)
		return s
	}
	s.Colour = tone(r, oneOf[uint32](r, 0xadb184, 0xc5c79a, 0xdccfa6, 0xe6e0c4, 0x97a070, 0xbfc8a4, 0xd8dccb, 0x8f9a62, 0xd9c98a, 0xe8e6da, 0x7d8a52), 0.15, 0.06)
	s.Blotch = tone(r, oneOf[uint32](r, 0xb89a58, 0xd8c890, 0xa8a070, 0xe0dcc0, 0x9a8448), 0.15, 0.06)
	s.Cloth, s.Thread, s.Glow = between(r, 0, 0.09), between(r, 0.4, 1.1), between(r, 0.3, 1)
	if r.Float64() < 0.35 {
		s.Dots, s.Thread = between(r, 0.03, 0.2), between(r, 0.7, 1.6)
	}
	return s
}

// variedMask draws a solder mask, from thin and clear to thick.
func variedMask(r *rand.Rand) *Film {
	f := &Film{Opacity: math.Pow(r.Float64(), 2) * 0.75, Gloss: between(r, 0.01, 0.1)}
	base := oneOf[uint32](r, 0x0f6a3c, 0x1a7f4a, 0x0b4f38, 0x2f8f55, 0x5f9f3c, 0x88b060, 0x0e7a66, 0x1c8c7c, 0x0a3d28, 0x3c7a20,
		0x174a9c, 0x0d2f66, 0x2a6ac0, 0x5a3018, 0x6e4424, 0x8c1d18, 0x1a1a1c, 0x262628, 0xe4e4de, 0x8a7a1c)
	f.Colour = tone(r, base, 0.3, 0.12)
	// What passes is the same colour, purer and stronger.
	top := max(f.Colour[0], f.Colour[1], f.Colour[2])
	depth := between(r, 0.5, 1.8)
	for i, c := range f.Colour {
		f.Through[i] = float32(math.Max(0.01, math.Pow(float64(c/top), depth)*between(r, 0.35, 0.95)))
	}
	if base == 0xe4e4de || base == 0x1a1a1c || base == 0x262628 {
		f.Opacity = between(r, 0.6, 0.88)
	}
	return f
}

// variedMetal draws copper of a finish.
func variedMetal(r *rand.Rand, f Finish) Metal {
	m := Metal{Patch: between(r, 2, 20), Spot: tone(r, oneOf[uint32](r, 0x4f8f78, 0x6fa890, 0x3a2a1c, 0x2a201a, 0x7a5a30), 0.2, 0.1)}
	if r.Float64() < 0.35 {
		m.Spots = between(r, 0, 0.4)
	}
	switch f {
	case Tinned:
		m.A, m.B = tone(r, oneOf[uint32](r, 0xd0d1ce, 0xc4c3bd, 0xb0b0ae), 0.12, 0.03), tone(r, oneOf[uint32](r, 0xb9b8b2, 0x9b9a96, 0x82817d, 0x6b6a68), 0.15, 0.04)
		m.Metal, m.Rough = between(r, 0.5, 0.95), between(r, 0.15, 0.95)
		m.Spots *= 0.5
	case Oxidised:
		m.A, m.B = tone(r, oneOf[uint32](r, 0x9a5836, 0x7a4228, 0x5d3a26), 0.2, 0.08), tone(r, oneOf[uint32](r, 0x5d3a26, 0x3a251a, 0x2a1d18, 0x6b5a3a), 0.2, 0.08)
		m.Metal, m.Rough, m.Gloss = between(r, 0.1, 0.55), between(r, 0.7, 1), between(r, 0, 0.03)
	default:
		m.A, m.B = tone(r, oneOf[uint32](r, 0xe09a70, 0xd98a5c, 0xe8a884, 0xc87a4c), 0.1, 0.06), tone(r, oneOf[uint32](r, 0xb96f45, 0xc98a58, 0xa8643c, 0xd0906a), 0.12, 0.06)
		m.Metal, m.Rough, m.Gloss = between(r, 0.4, 0.9), between(r, 0.4, 0.95), between(r, 0, 0.03)
	}
	return m
}

// lacquer covers board and copper with a clear yellow or green film.
func lacquer(r *rand.Rand, l *Look) {
	t := tone(r, oneOf[uint32](r, 0xf0d890, 0xe0c060, 0xc8d088, 0xe8d8b0, 0xc89848), 0.1, 0.05)
	gloss := between(r, 0.03, 0.14)
	for _, c := range []*Ink{&l.Base.Colour, &l.Base.Blotch, &l.Copper.A, &l.Copper.B} {
		*c = Ink(rgb(*c).times(rgb(t)))
	}
	l.Base.Gloss, l.Copper.Gloss = gloss, gloss
	l.Pads = l.Copper
}
