package meter

import (
	"math"

	"foilside/internal/sim"
)

// Glance reads like Read where the meter bends the circuit so little that its
// tangent at the operating point serves; ok is false where Read is needed.
// The reading is within a hundredth of Read's.
//
// Errors: *UnsupportedError; an unknown place.
func (m Meter) Glance(t *sim.Tangent, q Query) (r Reading, ok bool, err error) {
	if err := q.Mode.supported(); err != nil {
		return Reading{}, false, err
	}
	if q.Mode == AmpsDC || q.Mode == VoltsAC {
		return Reading{}, false, nil // the one bends the circuit, the other is no operating point
	}
	if m.RedNegative && q.Mode != VoltsDC && q.Mode != Junction {
		q.Red, q.Black = q.Black, q.Red
	}
	port, err := t.Port(q.Red, q.Black)
	if err != nil {
		return Reading{}, false, err
	}
	switch q.Mode {
	case VoltsDC:
		r, ok = m.glanceVolts(t, port)
	case Junction:
		r, ok = m.glanceJunction(t, port)
	default:
		r, ok = m.glanceOhms(t, port, q.Mode)
	}
	return r, ok, nil
}

// bowShare is how far the elements may leave their tangents, as a share of
// the meter's current, for a glance to serve.
const bowShare = 0.01

func (m Meter) glanceVolts(t *sim.Tangent, p sim.Port) (Reading, bool) {
	const least = 2e-4 // volts that no display of interest resolves
	if m.Input <= 0 || m.Range > 0 {
		return Reading{}, false
	}
	var r Reading
	if !p.Apart {
		i := p.Volts / (m.Input + p.Ohms)
		r.Value = i * m.Input
		if math.Abs(i*p.Ohms) > least && t.Bow(i)*p.Ohms > bowShare*math.Abs(r.Value)+least {
			return Reading{}, false
		}
	}
	r.Range = m.scaleFor(math.Abs(r.Value))
	if math.Abs(r.Value) > r.Range {
		return Reading{Overrange: true, Range: r.Range}, true
	}
	return r, true
}

func (m Meter) glanceJunction(t *sim.Tangent, p sim.Port) (Reading, bool) {
	out := Reading{Overrange: true, Range: m.JunctionLimit}
	if p.Apart {
		return out, true
	}
	i := m.JunctionCurrent
	if v := p.Volts + i*p.Ohms; v <= m.JunctionLimit {
		return Reading{Value: v, Range: m.JunctionLimit}, t.Bow(-i) <= bowShare*i
	}
	// Even at the limit the circuit takes less than the meter drives.
	least := (m.JunctionLimit - p.Volts) / p.Ohms
	return out, least+t.Bow(-least) < 0.95*i
}

// glanceOhms finds the lowest range that holds the reading. Whether a range
// holds is decided at the voltage that its end of scale has, where a junction
// conducts less than at the open-circuit voltage.
func (m Meter) glanceOhms(t *sim.Tangent, p sim.Port, mode Mode) (Reading, bool) {
	ranges := m.OhmsRanges
	if mode == Continuity {
		ranges = ranges[:1]
	}
	over := Reading{Overrange: true, Range: ranges[len(ranges)-1]}
	switch {
	case p.Apart:
		return over, true
	case math.Abs(p.Volts) > 1e-6: // something drives it; not a plain resistance
		return Reading{}, false
	}
	for _, rng := range ranges {
		top := min(rng*m.span(), m.HighestOhms)
		end := m.OpenCircuit * top / (top + rng)
		needs, takes := end/top, end/p.Ohms
		bow := t.Bow(-takes)
		switch {
		case takes+bow < needs:
			continue
		case takes-bow < needs:
			return Reading{}, false
		}
		i := m.OpenCircuit / (p.Ohms + rng)
		return Reading{Value: p.Ohms, Range: rng, Joined: p.Ohms < m.JoinedBelow}, t.Bow(-i) <= bowShare*i
	}
	return over, true
}
