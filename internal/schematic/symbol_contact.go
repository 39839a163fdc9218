package schematic

import "foilside/internal/circuit"

// contactSymbol draws lamps, fuses, heaters, switches and relays.
func contactSymbol(p circuit.Part, std Standard) (symbol, bool) {
	d := &pen{}
	switch p.Kind {
	case circuit.Lamp:
		d.circle(0, 0, 10)
		d.line(-7.07, -7.07, 7.07, 7.07)
		d.line(-7.07, 7.07, 7.07, -7.07)
		d.line(0, -20, 0, -10)
		d.line(0, 10, 0, 20)
	case circuit.Fuse:
		if std == IEEE {
			d.line(0, -20, 0, -10)
			d.strokes = append(d.strokes, Stroke{Curved: true, Points: []Point{{0, -10}, {7, -7}, {7, -2}, {0, 0}, {-7, 2}, {-7, 7}, {0, 10}}})
			d.line(0, 10, 0, 20)
		} else {
			d.line(0, -20, 0, 20)
			d.rect(-4, -11, 8, 22)
		}
	case circuit.Heater:
		d.line(0, -20, 0, -12)
		d.rect(-4, -12, 8, 24)
		for _, y := range []float64{-6, 0, 6} {
			d.line(-4, y, 4, y)
		}
		d.line(0, 12, 0, 20)
	case circuit.Switch:
		return switchSymbol(p), true
	case circuit.Changeover:
		return changeoverSymbol(p), true
	case circuit.Relay:
		return relaySymbol(p), true
	default:
		return symbol{}, false
	}
	return d.finish(twoLead("1", "2")), true
}

// poleStep is how far the poles of one switch stand apart.
const poleStep = 40

func switchSymbol(p circuit.Part) symbol {
	d := &pen{}
	var ports []port
	n := p.Poles()
	for i := range n {
		x := float64(poleStep * i)
		d.line(x, -20, x, -9.5)
		d.circle(x, -8, 1.5)
		d.circle(x, 8, 1.5)
		d.line(x, 9.5, x, 20)
		d.line(x-0.7, 6.6, x-8, -8)
		ports = append(ports, port{name: circuit.PoleLead("1", i), at: Point{x, -20}, out: Up}, port{name: circuit.PoleLead("2", i), at: Point{x, 20}, out: Down})
	}
	linkPoles(d, -4.5, 0, n)
	s := d.finish(ports)
	s.upright = n > 1
	return s
}

func changeoverSymbol(p circuit.Part) symbol {
	d := &pen{}
	var ports []port
	n := p.Poles()
	for i := range n {
		ports = append(ports, changeover(d, float64(poleStep*i), i)...)
	}
	linkPoles(d, 3.5, 0, n)
	s := d.finish(ports)
	s.upright, s.flips = n > 1, true
	return s
}

// changeover draws one pole: the common contact below, the blade at rest on
// nc.
func changeover(d *pen, x float64, pole int) []port {
	d.line(x, 20, x, 9.5)
	d.circle(x, 8, 1.5)
	d.line(x+0.7, 6.6, x+9.3, -7.4)
	for _, side := range []float64{-10, 10} {
		d.line(x+side, -20, x+side, -9.5)
		d.circle(x+side, -8, 1.5)
	}
	return []port{
		{name: circuit.PoleLead("no", pole), at: Point{x - 10, -20}, out: Up},
		{name: circuit.PoleLead("nc", pole), at: Point{x + 10, -20}, out: Up},
		{name: circuit.PoleLead("c", pole), at: Point{x, 20}, out: Down},
	}
}

// linkPoles draws the rod that moves the blades together.
func linkPoles(d *pen, x, y float64, n int) {
	if n > 1 {
		d.dashes(x, y, x+float64(poleStep*(n-1)), y)
	}
}

func relaySymbol(p circuit.Part) symbol {
	d := &pen{}
	d.line(0, -20, 0, -7)
	d.rect(-12, -7, 24, 14)
	d.line(-7, 7, 7, -7)
	d.line(0, 7, 0, 20)
	ports := []port{{name: "coil1", at: Point{0, -20}, out: Up}, {name: "coil2", at: Point{0, 20}, out: Down}}
	n := p.Poles()
	for i := range n {
		ports = append(ports, changeover(d, float64(50+poleStep*i), i)...)
	}
	d.dashes(12, 0, 53.5+float64(poleStep*(n-1)), 0)
	s := d.finish(ports)
	s.upright = true
	return s
}
