package schematic

import "foilside/internal/circuit"

// soundSymbol draws what sounds, turns or shows: loudspeaker, earphone,
// buzzer, motor, meter movement.
func soundSymbol(p circuit.Part, _ Standard) (symbol, bool) {
	d := &pen{}
	switch p.Kind {
	case circuit.Speaker:
		d.line(0, -20, 0, -7)
		d.line(0, 7, 0, 20)
		d.rect(-3.5, -7, 7, 14)
		d.shape(3.5, -7, 13, -15, 13, 15, 3.5, 7)
	case circuit.Earphone:
		d.line(0, -20, 0, -7)
		d.line(0, 7, 0, 20)
		d.rect(-3.5, -7, 7, 14)
		d.line(6.5, -10, 6.5, 10)
	case circuit.Buzzer:
		d.line(0, -20, 0, -5)
		d.line(0, 5, 0, 20)
		d.line(0, -5, 4, -5)
		d.line(0, 5, 4, 5)
		d.line(4, -10, 4, 10)
		d.arc(4, 0, 10, -90, 90)
	case circuit.Motor:
		d.circle(0, 0, 11)
		d.line(0, -20, 0, -11)
		d.line(0, 11, 0, 20)
		d.line(-4.5, 5, -4.5, -5, 0, 1, 4.5, -5, 4.5, 5)
	case circuit.MeterMovement:
		d.circle(0, 0, 12)
		d.line(0, -20, 0, -12)
		d.line(0, 12, 0, 20)
		d.arrow(-5, 6, 5, -6)
	default:
		return symbol{}, false
	}
	return d.finish(twoLead("1", "2")), true
}
