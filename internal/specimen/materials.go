package specimen

// Colours were judged by eye against photographs of real boards.

func (b *Board) baseMaterial() material {
	m := b.laminateMaterial()
	if b.Mask != NoMask {
		m.glow *= 0.5
		m.colour = m.colour.times(b.maskTint()).scale(b.maskDark())
		m.coat = 0.025
	}
	return m
}

// laminateMaterial is the base material itself, without a mask.
func (b *Board) laminateMaterial() material {
	m := material{rough: 0.7, coat: 0.04}
	switch b.Laminate {
	case Phenolic:
		m.colour, m.glow = hex(0x8a5a33), 0.15
	case Epoxy:
		m.colour, m.glow = hex(0xadb184), 1
	default:
		m.colour, m.glow = hex(0xdccfa6), 0.5
	}
	return m
}

// maskTint is the colour of a mask over white, maskDark what it swallows.
func (b *Board) maskTint() rgb {
	switch b.Mask {
	case BlueMask:
		return rgb{0.06, 0.25, 0.75}
	case BrownMask:
		return rgb{0.55, 0.24, 0.10}
	default:
		return rgb{0.08, 0.55, 0.30}
	}
}

func (b *Board) maskDark() float32 { return 0.3 }

// copperMaterial is the metal of tracks; age runs -1..1 from place to place.
func (b *Board) copperMaterial(age float32) material {
	if b.Mask != NoMask {
		c := rgb{0.9, 0.62, 0.45}.times(b.maskTint())
		return material{colour: c.scale(0.9 + 0.08*age), metal: 0.3, rough: 0.9, coat: 0.03}
	}
	switch b.Finish {
	case Tinned:
		return material{colour: hex(0xc8c9c6).scale(1 + 0.06*age), metal: 0.82, rough: 0.55 + 0.2*age}
	case Oxidised:
		c := hex(0x9a5836).mix(hex(0x5d3a26), 0.5+0.5*age)
		return material{colour: c, metal: 0.45, rough: 0.9, coat: 0.01}
	case Lacquered:
		c := hex(0xc08a4a).mix(hex(0x9c8440), 0.5+0.4*age)
		return material{colour: c, metal: 0.6, rough: 0.8, coat: 0.06}
	default:
		c := hex(0xd98a5c).mix(hex(0xb96f45), 0.5+0.5*age)
		return material{colour: c, metal: 0.72, rough: 0.75 + 0.1*age, coat: 0.01}
	}
}

// solderMaterial: dull 0..1.
func solderMaterial(dull, age float32) material {
	return material{
		colour: hex(0xd3d5d6).mix(hex(0xa9a8a4), dull).scale(1 + 0.05*age),
		metal:  0.95 - 0.25*dull, rough: 0.12 + 0.6*dull,
	}
}

var leadMetal = material{colour: rgb{0.62, 0.61, 0.58}, metal: 0.9, rough: 0.25}

// namedColours are the colours of wires and bodies, sRGB.
func namedColour(name string) rgb {
	switch name {
	case "black":
		return hex(0x1c1b1b)
	case "brown":
		return hex(0x5a3019)
	case "red":
		return hex(0xb5231d)
	case "orange":
		return hex(0xde6a1b)
	case "yellow":
		return hex(0xe0bd25)
	case "green":
		return hex(0x2c7a3a)
	case "blue":
		return hex(0x24509c)
	case "violet":
		return hex(0x6e3f8c)
	case "grey":
		return hex(0x85868a)
	case "white":
		return hex(0xe6e4de)
	case "gold":
		return hex(0xa9842f)
	case "silver":
		return hex(0xb4b6b8)
	case "beige":
		return hex(0xcfae82)
	case "sky":
		return hex(0x86b4cf)
	case "maroon":
		return hex(0x6b1d1a)
	case "ochre":
		return hex(0xb9772a)
	default:
		return hex(0x9a9a9a)
	}
}
