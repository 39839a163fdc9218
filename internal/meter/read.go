package meter

import (
	"context"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// Query is one reading: a mode, where the leads touch and the state the unit
// is set to.
type Query struct {
	Mode  Mode
	Red   sim.Place
	Black sim.Place
	State circuit.State
}

// Reading is what the meter shows.
type Reading struct {
	Value     float64 // not rounded to the display; 0 when Overrange
	Overrange bool
	Joined    bool    // continuity only
	Range     float64 // that it was read in: V or Ω
}

// Unpowered is the state with every source off.
func Unpowered(c *circuit.Circuit, s circuit.State) circuit.State {
	off := circuit.State{Name: s.Name, Settings: map[circuit.PartRef]circuit.Setting{}}
	for ref, set := range s.Settings {
		off.Settings[ref] = set
	}
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Battery, circuit.Supply, circuit.Signal:
			off.Settings[p.Ref] = circuit.Setting{Form: circuit.Off}
		}
	}
	return off
}

// effective is the state in which a query reads the circuit.
func (q Query) effective(c *circuit.Circuit) circuit.State {
	if q.Mode.Powered() {
		return q.State
	}
	return Unpowered(c, q.State)
}

// Instance builds the equations that a query's reading is solved in. Queries
// with the same state and the same Mode.Powered share them, those on amps
// apart, for which the circuit is opened.
func Instance(m *sim.Model, q Query, v sim.Variant) (*sim.Instance, error) {
	if q.Mode == AmpsDC {
		v = tapOf(m.Circuit(), q).opened(v)
	}
	return m.Instance(q.effective(m.Circuit()), v)
}

// Read puts the meter to the unit that at describes, an operating point of in
// (from Instance) whose draw in still has.
//
// Errors: *UnsupportedError for a mode not worked out, and for volts-ac; an
// unknown place;
// *sim.ConvergenceError; the context's.
func (m Meter) Read(ctx context.Context, in *sim.Instance, at *sim.Solution, q Query) (Reading, error) {
	if err := q.Mode.supported(); err != nil {
		return Reading{}, err
	}
	if q.Mode == AmpsDC {
		t := tapOf(in.Model().Circuit(), q)
		q.Red, q.Black = t.red, t.black
	} else if m.RedNegative && (q.Mode == Ohms || q.Mode == Continuity) {
		q.Red, q.Black = q.Black, q.Red
	}
	touch := func(p sim.Probe) (sim.Loaded, error) { return in.Measure(ctx, at, q.Red, q.Black, p) }
	switch q.Mode {
	case AmpsDC:
		return m.readAmps(touch)
	case VoltsDC:
		return m.readVolts(touch)
	case Junction:
		return m.readJunction(touch)
	case VoltsAC:
		return Reading{}, &UnsupportedError{q.Mode}
	}
	about, apart, err := in.Resistance(at, q.Red, q.Black)
	if err != nil {
		return Reading{}, err
	}
	if apart {
		return Reading{Overrange: true, Range: m.OhmsRanges[len(m.OhmsRanges)-1]}, nil
	}
	return m.readOhms(q.Mode, about, touch)
}

type touching func(sim.Probe) (sim.Loaded, error)

// readVolts reads in the range a person ends in: from the highest downwards
// while the next one still holds the reading.
func (m Meter) readVolts(touch touching) (Reading, error) {
	ranges := m.Ranges
	if m.Range > 0 {
		ranges = []float64{m.Range}
	}
	var r Reading
	for k := len(ranges) - 1; k >= 0; k-- {
		if r.Range != 0 && math.Abs(r.Value) > ranges[k] {
			break
		}
		if r.Range != 0 && m.Input > 0 {
			r.Range = ranges[k] // the load is the same in every range
			continue
		}
		at, err := touch(resistance(m.input(ranges[k])))
		if err != nil {
			return Reading{}, err
		}
		r = Reading{Value: at.Volts, Range: ranges[k]}
	}
	if math.Abs(r.Value) > r.Range {
		return Reading{Overrange: true, Range: r.Range}, nil
	}
	return r, nil
}

func (m Meter) readJunction(touch touching) (Reading, error) {
	at, err := touch(driver{m.JunctionCurrent, m.JunctionOpen})
	if err != nil {
		return Reading{}, err
	}
	if at.Apart || at.Volts > m.JunctionLimit {
		return Reading{Overrange: true, Range: m.JunctionLimit}, nil
	}
	return Reading{Value: at.Volts, Range: m.JunctionLimit}, nil
}

// readOhms reads in the lowest range that holds the reading. Continuity stays
// in the lowest range. about is the resistance for a small voltage: the search
// begins near it, which changes nothing but its length.
func (m Meter) readOhms(mode Mode, about float64, touch touching) (Reading, error) {
	ranges := m.OhmsRanges
	if mode == Continuity {
		ranges = ranges[:1]
	}
	first := 0
	for first < len(ranges)-1 && about > ranges[first]*m.span() {
		first++
	}
	best := Reading{Overrange: true, Range: ranges[len(ranges)-1]}
	// Downwards while the next lower range still holds the reading.
	for k := first; k >= 0; k-- {
		r, err := m.inRange(ranges[k], touch)
		if err != nil {
			return Reading{}, err
		}
		if r.Overrange {
			break
		}
		best = r
	}
	for k := first + 1; best.Overrange && k < len(ranges); k++ {
		r, err := m.inRange(ranges[k], touch)
		if err != nil {
			return Reading{}, err
		}
		if !r.Overrange {
			best = r
		}
	}
	return best, nil
}

// inRange reads in one range of the ohms function.
func (m Meter) inRange(rng float64, touch touching) (Reading, error) {
	c := cell{m.OpenCircuit, rng}
	at, err := touch(c)
	if err != nil {
		return Reading{}, err
	}
	ohms := c.reads(at.Volts)
	if at.Apart || ohms > min(rng*m.span(), m.HighestOhms) {
		return Reading{Overrange: true, Range: rng}, nil
	}
	return Reading{Value: ohms, Range: rng, Joined: ohms < m.JoinedBelow}, nil
}
