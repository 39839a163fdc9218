package schematic

import (
	"math"

	"foilside/internal/circuit"
)

// stance is what a draughtsman holds against a part turned like this, in
// units of a few grid steps of wire.
func (s *shaper) stance(p circuit.Part, sh shape) float64 {
	cost := 0.0
	// Turned upside down, a symbol is mirrored left to right as well.
	if sh.orient.Mirror != (sh.sym.flips && sh.orient.Quarters == 2) {
		cost += mirrorCost(p.Kind)
	}
	if len(sh.pins) == 2 {
		return cost + s.twoLeadStance(p, sh)
	}
	for _, n := range sh.pins { // the higher potential above
		for _, m := range sh.pins {
			if n.at.y < m.at.y && n.out.vertical() && m.out.vertical() {
				if fall := s.view.level[m.net] - s.view.level[n.net]; fall > 0.05 {
					cost += 2 * fall
				}
			}
		}
	}
	return cost
}

func mirrorCost(k circuit.Kind) float64 {
	switch k {
	case circuit.OpAmp, circuit.Regulator, circuit.Optocoupler:
		return 12
	case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.UJT, circuit.SCR, circuit.Triac,
		circuit.Triode, circuit.Pentode:
		return 3
	case circuit.Transformer:
		return 8
	case circuit.Connector, circuit.Bridge:
		return 1
	}
	return 0.2
}

// twoLeadStance stands parts up that hang between levels and lays down those
// that couple one stage to the next.
func (s *shaper) twoLeadStance(p circuit.Part, sh shape) float64 {
	a, b := sh.pins[0], sh.pins[1]
	la, lb := s.view.level[a.net], s.view.level[b.net]
	upright := a.out.vertical()
	if s.view.back[p.Ref] {
		if upright {
			return 5
		}
		return 0
	}
	if upright {
		cost := 0.0
		top, bottom := la, lb
		if a.out == Down {
			top, bottom = lb, la
		}
		if bottom > top+0.02 {
			cost += 4 + 4*(bottom-top)
		}
		switch {
		case a.rail || b.rail:
		case lies(p.Kind):
			cost += 3
		case p.Kind == circuit.Resistor && math.Abs(la-lb) < 0.08:
			cost += 2 // it passes the signal on, not current from level to level
		}
		return cost
	}
	fall := la - lb
	if fall < 0 {
		fall = -fall
	}
	switch p.Kind {
	case circuit.Battery, circuit.Supply:
		return 15
	case circuit.Signal, circuit.Speaker, circuit.MeterMovement, circuit.Motor, circuit.Earphone, circuit.Buzzer, circuit.Lamp:
		return 4
	case circuit.Capacitor, circuit.Electrolytic, circuit.Switch, circuit.Fuse, circuit.Crystal:
		return 0
	}
	if fall > 0.08 { // it hangs between two levels
		return 5 + 6*fall
	}
	return 6 * fall
}

// lies tells the kinds that couple stages, drawn lying.
func lies(k circuit.Kind) bool {
	switch k {
	case circuit.Capacitor, circuit.Electrolytic, circuit.Switch, circuit.Fuse:
		return true
	}
	return false
}
