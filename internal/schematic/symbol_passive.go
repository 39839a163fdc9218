package schematic

import "foilside/internal/circuit"

// passiveSymbol draws resistors, capacitors, coils and crystals.
func passiveSymbol(p circuit.Part, std Standard) (symbol, bool) {
	d := &pen{}
	switch p.Kind {
	case circuit.Resistor:
		resistorBody(d, std)
	case circuit.Thermistor:
		resistorBody(d, std)
		d.line(-11, 12, -7, 12, 8, -10) // foot and slope: varies with temperature
	case circuit.Photocell:
		resistorBody(d, std)
		d.arrow(-19, -12, -8, -4)
		d.arrow(-19, -4, -8, 4)
	case circuit.Potentiometer:
		resistorBody(d, std)
		d.line(20, 0, 10, 0)
		d.head(bodyHalf(std)+0.5, 0, -1, 0)
		d.line(bodyHalf(std)+4, 0, 10, 0)
		return d.finish(append(twoLead("1", "2"), port{name: "w", at: Point{20, 0}, out: Right})), true
	case circuit.Capacitor:
		plates(d, std)
	case circuit.Electrolytic:
		plates(d, std)
		d.line(4, -7.5, 9, -7.5)
		d.line(6.5, -10, 6.5, -5)
		return d.finish(twoLead("+", "-")), true
	case circuit.Inductor:
		d.line(0, -20, 0, -12)
		coil(d, 0, -12, 4, 3, 1)
		d.line(0, 12, 0, 20)
	case circuit.Crystal:
		d.line(0, -20, 0, -7)
		d.line(-7, -7, 7, -7)
		d.rect(-8, -4, 16, 8)
		d.line(-7, 7, 7, 7)
		d.line(0, 7, 0, 20)
	case circuit.Transformer:
		return transformerSymbol(p), true
	default:
		return symbol{}, false
	}
	return d.finish(twoLead("1", "2")), true
}

func bodyHalf(std Standard) float64 {
	if std == IEEE {
		return 4.5
	}
	return 4
}

// resistorBody is the box of IEC 60617 or the zigzag of IEEE 315.
func resistorBody(d *pen, std Standard) {
	if std == IEEE {
		d.line(0, -20, 0, -12, 4.5, -10, -4.5, -6, 4.5, -2, -4.5, 2, 4.5, 6, -4.5, 10, 0, 12, 0, 20)
		return
	}
	d.line(0, -20, 0, -11)
	d.rect(-4, -11, 8, 22)
	d.line(0, 11, 0, 20)
}

// plates of a capacitor: both straight by IEC, the second bent by IEEE.
func plates(d *pen, std Standard) {
	d.line(0, -20, 0, -2.5)
	d.line(-8, -2.5, 8, -2.5)
	if std == IEEE {
		d.arc(0, 15.5, 13, 232, 308)
	} else {
		d.line(-8, 2.5, 8, 2.5)
	}
	d.line(0, 2.5, 0, 20)
}

// coil draws n half turns downward from x, y, bulging to the side of sign.
func coil(d *pen, x, y float64, n int, r, sign float64) {
	for i := range n {
		d.arc(x, y+r+2*r*float64(i), r, -90, -90+180*sign)
	}
}

// transformerSymbol has the first winding on the left and the others on the
// right; from four windings on they are shared out. Dots mark like ends.
func transformerSymbol(p circuit.Part) symbol {
	left := 1
	if len(p.Windings) >= 4 {
		left = len(p.Windings) / 2
	}
	d := &pen{}
	var ports []port
	height := 0.0
	for side, ws := range [2][]circuit.Winding{p.Windings[:min(left, len(p.Windings))], p.Windings[min(left, len(p.Windings)):]} {
		sign := float64(2*side - 1) // -1 left, 1 right
		y := -20.0 - 30*float64(len(ws)-1)
		for _, w := range ws {
			winding(d, sign, y)
			out := Left
			if sign > 0 {
				out = Right
			}
			ports = append(ports, port{name: w.First(), at: Point{sign * 20, y}, out: out}, port{name: w.Second(), at: Point{sign * 20, y + 40}, out: out})
			y += 60
		}
		height = max(height, 40+60*float64(len(ws)-1))
	}
	d.line(-1.5, -height/2, -1.5, height/2)
	d.line(1.5, -height/2, 1.5, height/2)
	s := d.finish(ports)
	s.upright, s.flips = true, true
	return s
}

// winding draws one winding beside the core, its dot at the upper end.
func winding(d *pen, sign, y float64) {
	d.line(sign*20, y, sign*9, y, sign*9, y+2)
	coil(d, sign*9, y+2, 6, 3, -sign)
	d.line(sign*9, y+38, sign*9, y+40, sign*20, y+40)
	d.disc(sign*12.5, y+5, 1.3)
}
