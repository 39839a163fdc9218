package schematic

import "foilside/internal/circuit"

// tubeSymbol draws gas-filled lamps and valves.
func tubeSymbol(p circuit.Part, _ Standard) (symbol, bool) {
	d := &pen{}
	switch p.Kind {
	case circuit.Neon, circuit.GasTube:
		d.circle(0, 0, 11)
		d.line(0, -20, 0, -4)
		d.line(-4.5, -4, 4.5, -4)
		d.line(-4.5, 4, 4.5, 4)
		d.line(0, 4, 0, 20)
		d.disc(6.5, 4.5, 1.4) // gas inside
		return d.finish(twoLead("1", "2")), true
	case circuit.FlashTube:
		d.line(0, -20, 0, -9)
		d.line(-3.5, -9, 3.5, -9)
		d.line(0, 9, 0, 20)
		d.line(-3.5, 9, 3.5, 9)
		d.arc(0, -7, 7, 180, 360)
		d.line(7, -7, 7, 7)
		d.arc(0, 7, 7, 0, 180)
		d.line(-7, 7, -7, -7)
		d.disc(3.5, 4, 1.4)
		d.line(-20, 0, -9.5, 0) // the trigger wire lies along the glass
		d.line(-9.5, -8, -9.5, 8)
		return d.finish(append(twoLead("a", "k"), port{name: "t", at: Point{-20, 0}, out: Left})), true
	case circuit.Triode:
		d.circle(0, 0, 18)
		anode(d)
		d.dashes(-10, 0, 11, 0)
		d.line(-30, 0, -10, 0)
		cathode(d)
		return d.finish([]port{{name: "a", at: Point{0, -30}, out: Up}, {name: "g", at: Point{-30, 0}, out: Left}, {name: "k", at: Point{0, 30}, out: Down}}), true
	case circuit.Pentode:
		d.circle(0, 0, 22)
		anode(d)
		d.dashes(-10, 6, 11, 6)
		d.dashes(-10, 0, 11, 0)
		d.dashes(-10, -6, 11, -6)
		d.line(-30, 10, -13, 10, -10, 6)
		d.line(30, 0, 11, 0)
		d.line(-30, -10, -13, -10, -10, -6)
		cathode(d)
		return d.finish([]port{
			{name: "a", at: Point{0, -30}, out: Up}, {name: "g1", at: Point{-30, 10}, out: Left}, {name: "g2", at: Point{30, 0}, out: Right},
			{name: "g3", at: Point{-30, -10}, out: Left}, {name: "k", at: Point{0, 30}, out: Down}}), true
	}
	return symbol{}, false
}

func anode(d *pen) {
	d.line(0, -30, 0, -11)
	d.line(-9, -11, 9, -11)
}

func cathode(d *pen) {
	d.line(-8, 14, -8, 11.5, 8, 11.5, 8, 14)
	d.line(0, 11.5, 0, 30)
}
