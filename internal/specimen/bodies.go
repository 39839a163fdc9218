package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// part draws one part with its leads.
func (p *bodyPainter) part(t Part) {
	switch t.Body {
	case AxialBody:
		p.resistor(t)
	case GlassDiodeBody, RectifierBody, ChokeBody, AxialCanBody, NeonBody, FuseBody:
		p.lying(t)
	case CanBody:
		p.electrolytic(t)
	case DiscBody:
		p.disc(t)
	case FilmBody:
		p.film(t)
	case TO92Body:
		p.to92(t)
	case MetalCanBody:
		p.metalCan(t)
	case LEDBody:
		p.led(t)
	case BridgeBody:
		p.bridge(t)
	case TransformerBody:
		p.transformer(t)
	case DIPBody:
		p.dip(t)
	case TrimmerBody:
		p.trimmer(t)
	case SwitchBody:
		p.slideSwitch(t)
	case WiresBody:
		p.wires(t)
	case LinkBody:
		p.link(t)
	default:
		p.pins(t)
	}
}

// ends are the two ends of a lying body.
func (t Part) ends() (a, b geom.Point) {
	m := t.middle()
	u, _ := t.axis()
	h := t.bodyLength() / 2
	return m.Sub(u.Scale(h)), m.Add(u.Scale(h))
}

func (p *bodyPainter) endLegs(t Part, h float64) {
	a, b := t.ends()
	p.leg(a, h, t.Leads[0].At)
	p.leg(b, h, t.Leads[len(t.Leads)-1].At)
}

// resistor draws an axial resistor with its colour bands.
func (p *bodyPainter) resistor(t Part) {
	r := t.bodyRadius()
	p.endLegs(t, r)
	a, b := t.ends()
	body := namedColour(orElse(t.Colour, "beige"))
	places := bandPlaces(len(t.Bands))
	for i, c := range t.Bands {
		mm := p.v.Lift(a.Add(b.Sub(a).Scale(places[i])), r)
		p.bands[t.Ref] = append(p.bands[t.Ref], BandPlace{c, p.v.ToPixel(mm)})
	}
	p.rod(a, b, r, r, func(u float64) float64 { return r * boneShape(u) }, func(u, _ float64) material {
		m := material{colour: body, rough: 0.5, coat: 0.03}
		for i, at := range places {
			if math.Abs(u-at) < bandHalf {
				m.colour = namedColour(t.Bands[i])
				if t.Bands[i] == "gold" || t.Bands[i] == "silver" {
					m.metal, m.rough = 0.35, 0.6
				}
			}
		}
		return m
	})
}

// bandHalf is half a band's width as a share of the body.
const bandHalf = 0.045

// bandPlaces are the middles of n bands along the body; the last one, the
// tolerance, stands apart.
func bandPlaces(n int) []float64 {
	switch n {
	case 3:
		return []float64{0.16, 0.33, 0.48}
	case 4:
		return []float64{0.14, 0.31, 0.46, 0.8}
	case 5:
		return []float64{0.13, 0.28, 0.42, 0.56, 0.84}
	default:
		return nil
	}
}

// boneShape is the outline of a moulded resistor: caps at both ends thicker.
func boneShape(u float64) float64 {
	e := math.Min(u, 1-u)
	cap := 1 - 0.14*smooth((e-0.2)/0.1)
	return cap * math.Sqrt(math.Max(0.05, 1-math.Pow(1-math.Min(1, e/0.08), 2)))
}

func orElse(s, d string) string {
	if s == "" {
		return d
	}
	return s
}

// lying draws bodies of revolution that lie on the board.
func (p *bodyPainter) lying(t Part) {
	r := t.bodyRadius()
	p.endLegs(t, r)
	a, b := t.ends()
	p.rod(a, b, r, r, func(u float64) float64 { return r * t.lyingShape(u) }, t.lyingPaint)
	if t.Text != "" && r > 1.6 {
		u, _ := t.axis()
		p.text.write(p.s, t.Text, p.v.Lift(t.middle(), 2*r), u, r*0.8, material{colour: hex(0xd9d6cc), rough: 0.6})
	}
}

func (t Part) lyingShape(u float64) float64 {
	e := math.Min(u, 1-u)
	switch t.Body {
	case RectifierBody:
		return 1 - 0.12*smooth(1-e/0.04)
	case AxialCanBody:
		return 1 - 0.1*smooth(1-math.Abs(u-0.1)/0.03) - 0.1*smooth(1-e/0.03)
	case FuseBody:
		return 0.9 + 0.1*smooth(1-math.Max(0, e-0.22)/0.01)
	default:
		return math.Sqrt(math.Max(0.05, 1-math.Pow(1-math.Min(1, e/0.16), 2)))
	}
}

// lyingPaint is the material along a lying body. The cathode of a diode is
// its last lead.
func (t Part) lyingPaint(u, across float64) material {
	glassy := material{rough: 0.15, coat: 0.12}
	switch t.Body {
	case GlassDiodeBody:
		glassy.colour = hex(0xb0562a).mix(hex(0x3a1a10), float32(smooth(1-math.Abs(u-0.5)/0.3)))
		if u > 0.72 && u < 0.86 {
			glassy.colour = hex(0x151515)
		}
		return glassy
	case RectifierBody:
		m := material{colour: hex(0x202022), rough: 0.6, coat: 0.04}
		if u > 0.76 && u < 0.9 {
			m.colour = hex(0xb9babb)
		}
		return m
	case NeonBody:
		glassy.colour = hex(0xb9a58e).mix(hex(0x6d5a4c), float32(smooth(1-math.Abs(across)/0.5)))
		return glassy
	case FuseBody:
		if u < 0.22 || u > 0.78 {
			return leadMetal
		}
		glassy.colour = hex(0xb9beb6)
		if math.Abs(across) < 0.06 {
			glassy.colour = hex(0x4a4a48)
		}
		return glassy
	case AxialCanBody:
		m := material{colour: namedColour(orElse(t.Colour, "blue")), rough: 0.4, coat: 0.07}
		if u < 0.04 || u > 0.96 {
			return material{colour: hex(0xc4c6c8), metal: 0.8, rough: 0.5}
		}
		if u > 0.85 { // minus end
			m.colour = m.colour.mix(hex(0xd8d8d4), 0.8)
		}
		return m
	default:
		return material{colour: namedColour(orElse(t.Colour, "green")), rough: 0.5, coat: 0.06}
	}
}

// electrolytic draws an upright can in its sleeve, minus stripe toward the
// last lead.
func (p *bodyPainter) electrolytic(t Part) {
	r := bodySize(t.Body, t.Size) / 2
	u, _ := t.axis()
	sleeve := namedColour(orElse(t.Colour, "blue"))
	tip := p.v.Lift(t.middle(), t.height()).Sub(t.middle())
	p.can(t.middle(), r, t.height(), func(up, side float64) material {
		m := material{colour: sleeve, rough: 0.3, coat: 0.08}
		// The stripe is on the wall toward the minus lead where that is seen.
		front := -(tip.X*u.X + tip.Y*u.Y)
		if front > 0 && math.Abs(side) < 0.45 {
			m.colour = sleeve.mix(hex(0xdad9d2), 0.85)
		}
		return m
	}, func(q geom.Point) (material, float32, float32) { return canTop(q, sleeve, u) })
}

// canTop is the lid of an electrolytic: bare aluminium with a scored cross,
// the sleeve's rim around it. q runs over the unit disc.
func canTop(q geom.Point, sleeve rgb, u geom.Point) (material, float32, float32) {
	d := q.Norm()
	if d > 0.8 {
		lean := float32((d - 0.8) / 0.2 * 0.8)
		c := sleeve
		if q.X*u.X+q.Y*u.Y > 0.82*d {
			c = sleeve.mix(hex(0xdad9d2), 0.85)
		}
		return material{colour: c, rough: 0.3, coat: 0.08}, float32(q.X/d) * lean, float32(q.Y/d) * lean
	}
	m := material{colour: hex(0xc6c8ca), metal: 0.85, rough: 0.55}
	line := math.Min(math.Abs(q.X), math.Abs(q.Y))
	if line < 0.04 && d < 0.7 {
		m.colour = m.colour.scale(0.6)
	}
	return m, float32(q.X) * 0.08, float32(q.Y) * 0.08
}

func (p *bodyPainter) disc(t Part) {
	u, _ := t.axis()
	d := bodySize(t.Body, t.Size)
	m := material{colour: namedColour(orElse(t.Colour, "ochre")), rough: 0.45, coat: 0.05}
	c := t.middle()
	for _, l := range t.Leads {
		p.leg(l.At.Scale(0.6).Add(c.Scale(0.4)), 1, l.At)
	}
	// A disc on edge is a stack of slices, each a little farther from the foot.
	steps := max(9, int(d*p.s.scale/3))
	for k := range steps {
		t := 2*float64(k)/float64(steps-1) - 1
		half := d / 2 * math.Sqrt(math.Max(0.02, 1-t*t))
		p.slice(p.v.Lift(c, 1+d*(t+1)/2), u, half, 0.6+0.65*math.Sqrt(1-t*t), m)
	}
}

// slice draws one flat lens of the given half length and thickness, inclined
// the same way in the same place of every slice, so that a stack looks smooth.
func (p *bodyPainter) slice(c, u geom.Point, half, thick float64, m material) {
	a, b := c.Sub(u.Scale(max(0, half-thick))), c.Add(u.Scale(max(0, half-thick)))
	p.s.sweep(a, b, thick+1/p.s.scale, func(i int, q geom.Point) {
		_, d := along(a, b, q)
		v := q.Sub(c)
		side := max(-1, min(1, (v.Y*u.X-v.X*u.Y)/1.25)) * 0.85
		on := max(-1, min(1, (v.X*u.X+v.Y*u.Y)/3)) * 0.5
		p.s.lay(i, p.s.cover(d-thick), m, float32(u.X*on-u.Y*side), float32(u.Y*on+u.X*side))
	})
}

func (p *bodyPainter) film(t Part) {
	u, _ := t.axis()
	d := bodySize(t.Body, t.Size)
	c := namedColour(orElse(t.Colour, "maroon"))
	m := material{colour: c, rough: 0.35, coat: 0.07}
	p.block(oriented(t.middle(), u, d/2, math.Max(1.4, d*0.2)), t.height(), m, m)
	p.text.write(p.s, t.Text, p.v.Lift(t.middle(), t.height()), u, math.Max(1.1, d*0.13), material{colour: hex(0xd9cdb8), rough: 0.6})
}

func (p *bodyPainter) to92(t Part) {
	u, n := t.axis()
	m := material{colour: hex(0x262627), rough: 0.65, coat: 0.04}
	c := t.middle()
	for _, l := range t.Leads {
		p.leg(l.At.Scale(0.7).Add(c.Scale(0.3)), 2, l.At)
	}
	var outline []geom.Point // a round back and a flat front
	for k := range 13 {
		s, co := math.Sincos(math.Pi * (-0.2 + 1.4*float64(k)/12))
		outline = append(outline, c.Add(u.Scale(2.3*co)).Add(n.Scale(2.3*s)))
	}
	p.block(outline, t.height(), m, m)
	p.text.write(p.s, t.Text, p.v.Lift(c.Add(n.Scale(0.6)), t.height()), u, 1.0, material{colour: hex(0x9a9a98), rough: 0.7})
}

func (p *bodyPainter) metalCan(t Part) {
	shiny := material{colour: hex(0xb9b9b4), metal: 0.9, rough: 0.3}
	c := t.middle()
	u, _ := t.axis()
	p.can(c, 4.5, 1, func(_, _ float64) material { return shiny }, func(q geom.Point) (material, float32, float32) {
		return shiny, float32(q.X) * 0.1, float32(q.Y) * 0.1
	})
	tab := p.v.Lift(c.Sub(u.Scale(4.6)), 1)
	layRod(p.s, p.v.Lift(c, 1), tab, 0.5, shiny)
	p.can(c, 3.9, t.height(), func(_, _ float64) material { return shiny }, func(q geom.Point) (material, float32, float32) {
		d := q.Norm()
		lean := float32(smooth((d-0.75)/0.25) * 0.9)
		return shiny, float32(q.X) * lean, float32(q.Y) * lean
	})
	p.text.write(p.s, t.Text, p.v.Lift(c, t.height()), u, 1.3, material{colour: hex(0x2a2a2a), rough: 0.8})
}

func (p *bodyPainter) led(t Part) {
	c := namedColour(orElse(t.Colour, "red"))
	m := material{colour: c, rough: 0.15, coat: 0.12}
	p.can(t.middle(), 2.5, 5, func(_, _ float64) material { return m }, func(q geom.Point) (material, float32, float32) {
		return m, float32(q.X) * 0.9, float32(q.Y) * 0.9
	})
}

func (p *bodyPainter) bridge(t Part) {
	m := material{colour: hex(0x232325), rough: 0.6, coat: 0.05}
	u, _ := t.axis()
	p.can(t.middle(), 4.6, t.height(), func(_, _ float64) material { return m }, func(q geom.Point) (material, float32, float32) {
		return m, float32(q.X) * 0.1, float32(q.Y) * 0.1
	})
	p.text.write(p.s, "+ ~", p.v.Lift(t.middle(), t.height()), u, 1.6, material{colour: hex(0xc9c9c4), rough: 0.6})
}

func (p *bodyPainter) transformer(t Part) {
	lo, hi := bounds(t.leadPlaces())
	u := geom.Point{X: 1}
	if hi.Y-lo.Y > hi.X-lo.X {
		u = geom.Point{Y: 1}
	}
	c := lo.Add(hi).Scale(0.5)
	iron := material{colour: hex(0x4b4744), metal: 0.3, rough: 0.8, coat: 0.02}
	tape := material{colour: hex(0xc08a33), rough: 0.4, coat: 0.06}
	long, short := math.Max(hi.X-lo.X, hi.Y-lo.Y), math.Min(hi.X-lo.X, hi.Y-lo.Y)
	for _, l := range t.Leads {
		p.leg(l.At.Scale(0.8).Add(c.Scale(0.2)), 4, l.At)
	}
	p.block(oriented(c, u, long/2+3.5, math.Max(4, short/2-2)), 11, iron, iron)
	p.block(oriented(c, u, long/2-0.5, math.Max(4.5, short/2-0.5)), t.height(), tape, tape)
	p.text.write(p.s, t.Text, p.v.Lift(c, t.height()), u, 2, material{colour: hex(0x1c1c1c), rough: 0.8})
}

func (t Part) leadPlaces() []geom.Point {
	var out []geom.Point
	for _, l := range t.Leads {
		out = append(out, l.At)
	}
	return out
}

func (p *bodyPainter) trimmer(t Part) {
	u, _ := t.axis()
	lo, hi := bounds(t.leadPlaces())
	c := lo.Add(hi).Scale(0.5)
	base := material{colour: namedColour(orElse(t.Colour, "sky")), rough: 0.5, coat: 0.05}
	p.block(oriented(c, u, 4.6, 4.6), t.height()-1, base, base)
	knob := material{colour: hex(0xe2ddcf), rough: 0.6, coat: 0.03}
	turn := p.r.Float64() * 6
	s, co := math.Sincos(turn)
	p.can(c, 2.6, t.height(), func(_, _ float64) material { return knob }, func(q geom.Point) (material, float32, float32) {
		m := knob
		if math.Abs(q.X*s-q.Y*co) < 0.16 && q.Norm() < 0.85 {
			m.colour = m.colour.scale(0.35)
		}
		return m, float32(q.X) * 0.05, float32(q.Y) * 0.05
	})
}

func (p *bodyPainter) slideSwitch(t Part) {
	u, _ := t.axis()
	c := t.middle()
	long := t.Leads[len(t.Leads)-1].At.Dist(t.Leads[0].At)/2 + 3
	tin := material{colour: hex(0xb0b2b3), metal: 0.8, rough: 0.5}
	p.block(oriented(c, u, long, 3.3), t.height(), tin, tin)
	black := material{colour: hex(0x1d1d1f), rough: 0.5, coat: 0.05}
	slot := p.v.Lift(c, t.height())
	p.flat(oriented(slot, u, long*0.55, 1.4), black, geom.Point{})
	k := p.v.Lift(c.Add(u.Scale(long*0.25)), t.height())
	p.block(oriented(k, u, long*0.25, 1.3), 2, black, black)
}

// wires draws insulated wires that leave the board over its nearest edge.
func (p *bodyPainter) wires(t Part) {
	out := p.outward(t.middle())
	colours := []string{"red", "black", "blue", "yellow", "green", "white"}
	for i, l := range t.Leads {
		c := colours[i%len(colours)]
		if t.Colour != "" && i == 0 {
			c = t.Colour
		}
		bend := geom.Point{X: -out.Y, Y: out.X}.Scale(between(p.r, -5, 5))
		a := l.At.Add(out.Scale(0.7))
		path := smoothPath([]geom.Point{a, l.At.Add(out.Scale(6)).Add(bend.Scale(0.3)),
			l.At.Add(out.Scale(14)).Add(bend), l.At.Add(out.Scale(30)).Add(bend.Scale(1.5))})
		layRod(p.s, l.At, a, 0.35, leadMetal)
		layWire(p.s, path, 0.75, namedColour(c), 1.2)
	}
}

// outward is the direction to the nearest edge of the board.
func (p *bodyPainter) outward(m geom.Point) geom.Point {
	best, dir := m.X, geom.Point{X: -1}
	for _, c := range []struct {
		d   float64
		dir geom.Point
	}{{p.b.Size.X - m.X, geom.Point{X: 1}}, {m.Y, geom.Point{Y: -1}}, {p.b.Size.Y - m.Y, geom.Point{Y: 1}}} {
		if c.d < best {
			best, dir = c.d, c.dir
		}
	}
	return dir
}

func (p *bodyPainter) link(t Part) {
	a, b := t.Leads[0].At, t.Leads[1].At
	castWire(p.s, []geom.Point{a, b}, 0.3, 0.6)
	layRod(p.s, a, b, 0.33, leadMetal)
}

func (p *bodyPainter) pins(t Part) {
	for _, l := range t.Leads {
		p.can(l.At, 0.9, 0.8, func(_, _ float64) material { return leadMetal }, func(geom.Point) (material, float32, float32) {
			return leadMetal, 0, 0
		})
		p.can(l.At, 0.5, 7, func(_, _ float64) material { return leadMetal }, func(q geom.Point) (material, float32, float32) {
			return leadMetal, float32(q.X) * 0.7, float32(q.Y) * 0.7
		})
	}
}

// dip draws an integrated circuit between its two rows of leads.
func (p *bodyPainter) dip(t Part) {
	lo, hi := bounds(t.leadPlaces())
	c := lo.Add(hi).Scale(0.5)
	u, long := geom.Point{X: 1}, hi.X-lo.X
	if hi.Y-lo.Y > long {
		u, long = geom.Point{Y: 1}, hi.Y-lo.Y
	}
	for _, l := range t.Leads {
		d := l.At.Sub(c)
		in := u.Scale(d.X*u.X + d.Y*u.Y)
		p.leg(c.Add(in).Add(d.Sub(in).Scale(0.8)), 2.5, l.At)
	}
	black := material{colour: hex(0x1e1e20), rough: 0.7, coat: 0.03}
	p.block(oriented(c, u, long/2+1.2, 3.1), t.height(), black, black)
	p.text.write(p.s, t.Text, p.v.Lift(c, t.height()), u, 1.5, material{colour: hex(0xb8b8b0), rough: 0.8})
}
