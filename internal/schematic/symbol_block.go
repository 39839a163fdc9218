package schematic

import (
	"math"

	"foilside/internal/circuit"
)

// blockSymbol draws integrated circuits, couplers, connectors, test points.
func blockSymbol(p circuit.Part, std Standard) (symbol, bool) {
	switch p.Kind {
	case circuit.OpAmp:
		return opampSymbol(std, false), true
	case circuit.Timer555:
		return timerSymbol(), true
	case circuit.Regulator:
		return regulatorSymbol(), true
	case circuit.Optocoupler:
		return couplerSymbol(std), true
	case circuit.Connector:
		return connectorSymbol(p), true
	case circuit.TestPoint:
		if len(p.Leads) == 1 {
			return testPointSymbol(p), true
		}
		return connectorSymbol(p), true
	}
	return symbol{}, false
}

// opampSymbol has the inverting input above, or below where swapped.
func opampSymbol(std Standard, swapped bool) symbol {
	d := &pen{}
	edge := 20.0
	if std == IEEE {
		d.shape(-20, -22, 20, 0, -20, 22)
		edge = 11
	} else {
		d.rect(-20, -20, 40, 40)
		d.shape(-3, -14, 5, -10, -3, -6) // amplifies …
		d.arc(9.5, -10, 2, 0, 360)       // … without limit
		d.arc(13.5, -10, 2, 0, 360)
	}
	d.line(-30, -10, -20, -10)
	d.line(-30, 10, -20, 10)
	d.line(20, 0, 30, 0)
	d.line(0, -30, 0, -edge)
	d.line(0, edge, 0, 30)
	plus := 10.0
	if swapped {
		plus = -10
	}
	d.line(-17, -10, -12, -10)
	d.line(-17, 10, -12, 10)
	d.line(-14.5, plus-2.5, -14.5, plus+2.5)
	s := d.finish([]port{
		{name: "+in", at: Point{-30, plus}, out: Left}, {name: "-in", at: Point{-30, -plus}, out: Left}, {name: "out", at: Point{30, 0}, out: Right},
		{name: "v+", at: Point{0, -30}, out: Up}, {name: "v-", at: Point{0, 30}, out: Down},
	})
	s.upright = true
	return s
}

// pinStub is how far a lead with text beside it stands out of its block.
const pinStub = 20

// timerSymbol has its pins by use: supply above, common below, the timing
// side left, the output right.
func timerSymbol() symbol {
	d := &pen{}
	d.rect(-30, -40, 60, 80)
	s := symbol{upright: true, body: Box{-30, -40, 60, 80}}
	pin := func(name circuit.LeadName, use string, x, y float64, out Side) {
		v := out.step()
		d.line(x, y, x+pinStub*float64(v.x), y+pinStub*float64(v.y))
		s.ports = append(s.ports, port{name: name, at: Point{x + pinStub*float64(v.x), y + pinStub*float64(v.y)}, out: out, text: string(name)})
		nameInside(d, use, x, y, out)
	}
	pin("7", "DIS", -30, -20, Left)
	pin("6", "THR", -30, 0, Left)
	pin("2", "TRIG", -30, 20, Left)
	pin("3", "OUT", 30, 0, Right)
	pin("4", "RESET", -10, -40, Up)
	pin("8", "VCC", 10, -40, Up)
	pin("1", "GND", -10, 40, Down)
	pin("5", "CV", 10, 40, Down)
	s.strokes = d.strokes
	return s
}

// nameInside writes what a pin is for inside the block, where its lead comes in.
func nameInside(d *pen, use string, x, y float64, out Side) {
	const gap = 3
	w := wordWidth(use)
	switch out {
	case Left:
		d.word(use, x+gap, y-letterHigh/2)
	case Right:
		d.word(use, x-gap-w, y-letterHigh/2)
	case Up:
		d.word(use, x-w/2, y+gap)
	default:
		d.word(use, x-w/2, y-gap-letterHigh)
	}
}

func regulatorSymbol() symbol {
	d := &pen{}
	d.rect(-30, -20, 60, 40)
	s := symbol{upright: true, body: Box{-30, -20, 60, 40}}
	for _, q := range []port{
		{name: "in", at: Point{-50, -10}, out: Left}, {name: "out", at: Point{50, -10}, out: Right}, {name: "com", at: Point{0, 40}, out: Down},
	} {
		v := q.out.opposite().step()
		d.line(q.at.X, q.at.Y, q.at.X+pinStub*float64(v.x), q.at.Y+pinStub*float64(v.y))
		q.text = string(q.name)
		s.ports = append(s.ports, q)
	}
	s.strokes = d.strokes
	return s
}

// couplerSymbol is a light-emitting diode facing a phototransistor.
func couplerSymbol(std Standard) symbol {
	d := &pen{}
	d.rect(-30, -20, 60, 40)
	d.line(-40, -10, -18, -10, -18, -4)
	tri := []float64{-23, -4, -13, -4, -18, 4}
	if std == IEEE {
		d.solid(tri...)
	} else {
		d.shape(tri...)
	}
	d.line(-23, 4, -13, 4)
	d.line(-18, 4, -18, 10, -40, 10)
	d.arrow(-9, -5, 1, -5)
	d.arrow(-9, 2, 1, 2)
	d.line(8, -8, 8, 8)
	d.line(8, -4, 18, -10, 40, -10)
	d.line(8, 4, 18, 10, 40, 10)
	d.head(16, 8.8, 0.857, 0.514)
	s := d.finish([]port{
		{name: "a", at: Point{-40, -10}, out: Left}, {name: "k", at: Point{-40, 10}, out: Left},
		{name: "c", at: Point{40, -10}, out: Right}, {name: "e", at: Point{40, 10}, out: Right},
	})
	s.upright = true
	return s
}

// connectorSymbol is a column of terminals, their names on the far side of
// the wires.
func connectorSymbol(p circuit.Part) symbol {
	d := &pen{}
	s := symbol{upright: true, flips: false}
	top := -10 * float64(len(p.Leads)-1)
	top = Unit * math.Round(top/Unit)
	for i, l := range p.Leads {
		y := top + 20*float64(i)
		d.circle(0, y, 2.5)
		d.line(2.5, y, 10, y)
		s.ports = append(s.ports, port{name: l.Name, at: Point{10, y}, out: Right, text: string(l.Name)})
	}
	s.strokes = d.strokes
	s.body = strokeBox(s.strokes)
	return s
}

func testPointSymbol(p circuit.Part) symbol {
	d := &pen{}
	d.circle(0, -7.5, 2.5)
	d.line(0, -5, 0, 10)
	return d.finish([]port{{name: p.Leads[0].Name, at: Point{0, 10}, out: Down}})
}
