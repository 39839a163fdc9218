package schematic

import "foilside/internal/circuit"

// sourceSymbol draws batteries, supplies and signal sources, + above.
func sourceSymbol(p circuit.Part, _ Standard) (symbol, bool) {
	d := &pen{}
	switch p.Kind {
	case circuit.Battery:
		d.line(0, -20, 0, -6)
		for _, y := range []float64{-6, 3} {
			d.line(-9, y, 9, y)
			d.line(-4.5, y+3, 4.5, y+3)
		}
		d.line(0, 6, 0, 20)
		d.line(5, -11, 10, -11)
		d.line(7.5, -13.5, 7.5, -8.5)
	case circuit.Supply:
		d.circle(0, 0, 11)
		d.line(0, -20, 0, -11)
		d.line(0, 11, 0, 20)
		d.line(-3, -5, 3, -5)
		d.line(0, -8, 0, -2)
		d.line(-3, 5, 3, 5)
	case circuit.Signal:
		d.circle(0, 0, 11)
		d.line(0, -20, 0, -11)
		d.line(0, 11, 0, 20)
		waveform(d, p.Words["shape"])
	default:
		return symbol{}, false
	}
	return d.finish(twoLead("+", "-")), true
}

// waveform draws the shape of a signal inside its circle.
func waveform(d *pen, shape string) {
	switch shape {
	case "square":
		d.line(-7, 4, -7, -4, 0, -4, 0, 4, 7, 4, 7, -4)
	case "triangle":
		d.line(-7, 0, -3.5, -5, 3.5, 5, 7, 0)
	case "pulse":
		d.line(-7, 4, -2, 4, -2, -5, 2, -5, 2, 4, 7, 4)
	default:
		wave(d, 0, 0, 7, 5)
	}
}
