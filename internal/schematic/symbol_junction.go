package schematic

import "foilside/internal/circuit"

// junctionSymbol draws diodes and rectifier bridges.
func junctionSymbol(p circuit.Part, std Standard) (symbol, bool) {
	d := &pen{}
	switch p.Kind {
	case circuit.Diode:
		diode(d, std)
		if p.Words["material"] == "schottky" {
			d.line(-7, 6, -7, 3.5, -4.5, 3.5)
			d.line(7, 6, 7, 8.5, 4.5, 8.5)
		}
	case circuit.Zener:
		diode(d, std)
		if std == IEEE {
			d.line(-7, 6, -9.5, 8.5)
			d.line(7, 6, 9.5, 3.5)
		} else {
			d.line(-7, 6, -7, 2.5)
		}
	case circuit.LED:
		diode(d, std)
		d.arrow(8, -4, 17, -10)
		d.arrow(9, 3, 18, -3)
	case circuit.Bridge:
		return bridgeSymbol(std), true
	default:
		return symbol{}, false
	}
	return d.finish(twoLead("a", "k")), true
}

// diode points down: anode above. IEC leads the line through an open
// triangle, IEEE fills the triangle.
func diode(d *pen, std Standard) {
	d.line(0, -20, 0, -6)
	if std == IEEE {
		d.solid(-7, -6, 7, -6, 0, 6)
		d.line(0, 6, 0, 20)
	} else {
		d.shape(-7, -6, 7, -6, 0, 6)
		d.line(0, -6, 0, 20)
	}
	d.line(-7, 6, 7, 6)
}

// bridgeSymbol is the diamond of four diodes: + above, - below.
func bridgeSymbol(std Standard) symbol {
	d := &pen{}
	const r = 30.0
	d.shape(-r, 0, 0, -r, r, 0, 0, r)
	for _, s := range [][4]float64{{-r, 0, 0, -r}, {r, 0, 0, -r}, {0, r, -r, 0}, {0, r, r, 0}} {
		smallDiode(d, (s[0]+s[2])/2, (s[1]+s[3])/2, (s[2]-s[0])/r*0.7071, (s[3]-s[1])/r*0.7071, std)
	}
	d.line(-r-10, 0, -r, 0)
	d.line(r, 0, r+10, 0)
	d.line(0, -r-10, 0, -r)
	d.line(0, r, 0, r+10)
	d.line(-3, -19, 3, -19) // plus
	d.line(0, -22, 0, -16)
	d.line(-3, 19, 3, 19) // minus
	wave(d, -19, 0, 4, 3)
	wave(d, 19, 0, 4, 3)
	s := d.finish([]port{
		{name: "ac1", at: Point{-r - 10, 0}, out: Left}, {name: "ac2", at: Point{r + 10, 0}, out: Right},
		{name: "+", at: Point{0, -r - 10}, out: Up}, {name: "-", at: Point{0, r + 10}, out: Down},
	})
	s.upright = true
	return s
}

// smallDiode sits on a slanting line at x, y and conducts along the unit
// vector.
func smallDiode(d *pen, x, y, ux, uy float64, std Standard) {
	const half, long = 4.0, 3.5
	bx, by := x-long*ux, y-long*uy
	tx, ty := x+long*ux, y+long*uy
	tri := []float64{bx - half*uy, by + half*ux, bx + half*uy, by - half*ux, tx, ty}
	if std == IEEE {
		d.solid(tri...)
	} else {
		d.shape(tri...)
	}
	d.line(tx-half*uy, ty+half*ux, tx+half*uy, ty-half*ux)
}

// wave draws one period of a sine of the given half length and height about
// x, y.
func wave(d *pen, x, y, half, high float64) {
	d.strokes = append(d.strokes, Stroke{Curved: true, Points: []Point{
		{x - half, y},
		{x - half*0.64, y - high*1.3}, {x - half*0.36, y - high*1.3}, {x, y},
		{x + half*0.36, y + high*1.3}, {x + half*0.64, y + high*1.3}, {x + half, y},
	}})
}
