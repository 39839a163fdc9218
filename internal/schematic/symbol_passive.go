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
		return transformerSymbol(p, customarySetting(len(p.Windings))), true
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

// setting is one way to set a transformer's windings about its core: which
// stand left and which right, from above, and which are turned over.
type setting struct {
	left, right []int
	over        []bool // by winding: its dotted end is the lower one
	cost        float64
}

// customarySetting has the first winding on the left and the others on the
// right; from four windings on they are shared out.
func customarySetting(n int) setting {
	left := 1
	if n >= 4 {
		left = n / 2
	}
	s := setting{over: make([]bool, n)}
	for i := range n {
		if i < left {
			s.left = append(s.left, i)
		} else {
			s.right = append(s.right, i)
		}
	}
	return s
}

// settings lists the ways to draw a transformer of n windings, the customary
// first. With more than three windings only they are turned over.
func settings(n int) []setting {
	first := customarySetting(n)
	places := []setting{first}
	if n == 3 {
		places = append(places,
			setting{left: []int{0}, right: []int{2, 1}, cost: 0.2},
			setting{left: []int{0, 1}, right: []int{2}, cost: 0.5},
			setting{left: []int{0, 2}, right: []int{1}, cost: 0.5},
			setting{left: []int{1, 0}, right: []int{2}, cost: 0.7},
			setting{left: []int{2, 0}, right: []int{1}, cost: 0.7})
	}
	var out []setting
	for _, p := range places {
		for bits := range 1 << (n - 1) { // the first stays: the whole can be turned
			if n > 3 && bits&(bits-1) != 0 {
				continue
			}
			s := p
			s.over = make([]bool, n)
			for i := 1; i < n; i++ {
				if s.over[i] = bits>>(i-1)&1 == 1; s.over[i] {
					s.cost += 0.6
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// transformerSymbol draws the windings as they are set. Dots mark like ends.
func transformerSymbol(p circuit.Part, set setting) symbol {
	d := &pen{}
	var ports []port
	height := 0.0
	for side, ws := range [2][]int{set.left, set.right} {
		sign := float64(2*side - 1) // -1 left, 1 right
		y := -20.0 - 30*float64(len(ws)-1)
		for _, i := range ws {
			winding(d, sign, y, set.over[i])
			out := Left
			if sign > 0 {
				out = Right
			}
			top, bottom := p.Windings[i].First(), p.Windings[i].Second()
			if set.over[i] {
				top, bottom = bottom, top
			}
			ports = append(ports, port{name: top, at: Point{sign * 20, y}, out: out}, port{name: bottom, at: Point{sign * 20, y + 40}, out: out})
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

// winding draws one winding beside the core, its dot at the upper end or, when
// turned over, at the lower.
func winding(d *pen, sign, y float64, over bool) {
	d.line(sign*20, y, sign*9, y, sign*9, y+2)
	coil(d, sign*9, y+2, 6, 3, -sign)
	d.line(sign*9, y+38, sign*9, y+40, sign*20, y+40)
	dot := y + 5
	if over {
		dot = y + 35
	}
	d.disc(sign*12.5, dot, 1.3)
}
