package schematic

import "foilside/internal/circuit"

// transistorSymbol draws transistors and thyristors, control on the left, the
// lead of higher potential above.
func transistorSymbol(p circuit.Part, std Standard) (symbol, bool) {
	d := &pen{}
	threeLead := func(top, control, bottom circuit.LeadName) symbol {
		return d.finish([]port{
			{name: top, at: Point{10, -20}, out: Up}, {name: control, at: Point{-20, 0}, out: Left}, {name: bottom, at: Point{10, 20}, out: Down},
		})
	}
	switch p.Kind {
	case circuit.NPN:
		bipolar(d)
		d.head(9, 11.33, 0.83, 0.555)
		return threeLead("c", "b", "e"), true
	case circuit.PNP:
		bipolar(d)
		d.head(1.5, -6.33, -0.83, 0.555)
		return threeLead("e", "b", "c"), true
	case circuit.JFETN, circuit.JFETP:
		return jfetSymbol(d, p.Kind == circuit.JFETN), true
	case circuit.MOSFETN, circuit.MOSFETP:
		return mosfetSymbol(d, p.Kind == circuit.MOSFETN), true
	case circuit.UJT:
		d.circle(3, 0, 14)
		d.line(-2, -9, -2, 9)
		d.line(-2, -6, 10, -6, 10, -20)
		d.line(-2, 6, 10, 6, 10, 20)
		d.line(-20, 0, -12, 0, -4, 3)
		d.head(-2, 4, 0.92, 0.39)
		return threeLead("b2", "e", "b1"), true
	case circuit.SCR:
		diode(d, std)
		d.line(-2, 6, -10, 10, -20, 10)
		return d.finish(append(twoLead("a", "k"), port{name: "g", at: Point{-20, 10}, out: Left})), true
	case circuit.Triac:
		return triacSymbol(d), true
	}
	return symbol{}, false
}

// bipolar is the base bar with both slopes in the envelope.
func bipolar(d *pen) {
	d.circle(3, 0, 14)
	d.line(-20, 0, -2, 0)
	d.line(-2, -8.5, -2, 8.5)
	d.line(-2, -4, 10, -12, 10, -20)
	d.line(-2, 4, 10, 12, 10, 20)
}

func jfetSymbol(d *pen, n bool) symbol {
	d.circle(3, 0, 14)
	d.line(-2, -9, -2, 9)
	d.line(-2, -6, 10, -6, 10, -20)
	d.line(-2, 6, 10, 6, 10, 20)
	d.line(-20, 0, -2, 0)
	top, bottom := circuit.LeadName("d"), circuit.LeadName("s")
	if n {
		d.head(-2.5, 0, 1, 0)
	} else {
		d.head(-11, 0, -1, 0)
		top, bottom = bottom, top
	}
	return d.finish([]port{
		{name: top, at: Point{10, -20}, out: Up}, {name: "g", at: Point{-20, 0}, out: Left}, {name: bottom, at: Point{10, 20}, out: Down},
	})
}

// mosfetSymbol is the enhancement type, its substrate joined to the source.
func mosfetSymbol(d *pen, n bool) symbol {
	d.circle(3, 0, 15)
	d.line(-20, 0, -5, 0)
	d.line(-5, -7, -5, 7)
	for _, y := range []float64{-7, 0, 7} {
		d.line(-2, y-2.3, -2, y+2.3)
	}
	d.line(-2, -7, 10, -7, 10, -20)
	d.line(-2, 7, 10, 7, 10, 20)
	top, bottom := circuit.LeadName("d"), circuit.LeadName("s")
	if n {
		d.line(-2, 0, 10, 0, 10, 7)
		d.head(-1.5, 0, -1, 0)
	} else {
		d.line(-2, 0, 10, 0, 10, -7)
		d.head(6.5, 0, 1, 0)
		top, bottom = bottom, top
	}
	return d.finish([]port{
		{name: top, at: Point{10, -20}, out: Up}, {name: "g", at: Point{-20, 0}, out: Left}, {name: bottom, at: Point{10, 20}, out: Down},
	})
}

func triacSymbol(d *pen) symbol {
	d.line(0, -20, 0, -6)
	d.line(0, 6, 0, 20)
	d.line(-12, -6, 12, -6)
	d.line(-12, 6, 12, 6)
	d.shape(-12, -6, 0, -6, -6, 6)
	d.shape(0, 6, 12, 6, 6, -6)
	d.line(-6, 6, -12, 10, -20, 10)
	return d.finish(append(twoLead("mt2", "mt1"), port{name: "g", at: Point{-20, 10}, out: Left}))
}
