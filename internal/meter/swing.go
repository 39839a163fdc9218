package meter

import (
	"context"
	"fmt"
	"math"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// A circuit that swings is read over its settled cycle: volts-dc is the
// average, volts-ac the rms of what is left without it; a meter that responds
// to the average of a rectified wave shows that times π/√8, which is the rms
// of a sine and of nothing else.
const formFactor = math.Pi / (2 * math.Sqrt2)

// Units of a swinging circuit that the band is taken over: as many as fit into
// a few hundred thousand steps.
const (
	swingSteps = 400_000
	leastUnits = 2
	mostUnits  = 12
)

// maySwing tells whether it is worth looking for a cycle: the circuit has a
// source of waves, or something that stores and something that acts.
func maySwing(c *circuit.Circuit, s circuit.State) bool {
	stores, acts := false, false
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Signal:
			if s.Setting(p).Form != circuit.Off {
				return true
			}
		case circuit.Supply:
			if _, ok := p.Amount("ripple"); ok && s.Setting(p).Form != circuit.Off {
				return true
			}
		case circuit.Capacitor, circuit.Electrolytic, circuit.Inductor, circuit.Transformer, circuit.Crystal:
			stores = true
		case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.UJT, circuit.SCR, circuit.Triac,
			circuit.Neon, circuit.GasTube, circuit.FlashTube, circuit.Triode, circuit.Pentode, circuit.OpAmp, circuit.Timer555, circuit.Relay:
			acts = true
		}
	}
	return stores && acts
}

// swinging reads a circuit over its settled cycle. ok is false for a volts-dc
// reading of one that comes to rest, or that could not be followed: its
// operating point is read instead.
func swinging(ctx context.Context, model *sim.Model, q Query, o Options) (e Expected, ok bool, err error) {
	if q.Mode != VoltsAC && (q.Mode != VoltsDC || !maySwing(model.Circuit(), q.State)) {
		return Expected{}, false, nil
	}
	r := waveReader{model: model, q: q, o: o}
	nominal, s, err := r.read(ctx, nil)
	switch {
	case err != nil && q.Mode == VoltsDC && sim.IsRefusal(err):
		return Expected{}, false, nil
	case err != nil:
		return Expected{}, false, err
	case !s.Swings && q.Mode == VoltsDC:
		return Expected{}, false, nil
	}
	e, err = r.expect(ctx, nominal, s)
	return e, true, err
}

// waveReader reads one query on settled cycles.
type waveReader struct {
	model *sim.Model
	q     Query
	o     Options
}

// settle finds the settled cycle of a draw with a load between the leads, 0
// for none.
func (r waveReader) settle(ctx context.Context, d sim.Draw, load float64) (*sim.Settled, error) {
	v := r.o.Variant
	if load > 0 {
		red, errRed := r.net(r.q.Red)
		black, errBlack := r.net(r.q.Black)
		if errRed != nil {
			return nil, errRed
		}
		if errBlack != nil {
			return nil, errBlack
		}
		v = append(append(sim.Variant(nil), v...), sim.Bridge(red, black, load))
	}
	return r.model.Settle(ctx, r.q.State, sim.SettleOptions{Variant: v, Draw: d})
}

// net is the net that a place is on.
func (r waveReader) net(p sim.Place) (circuit.NetID, error) {
	if p.Part == "" {
		return p.Net, nil
	}
	part, ok := r.model.Circuit().Part(p.Part)
	if !ok || part.Net(p.Lead) == "" {
		return "", fmt.Errorf("there is no lead %s", p)
	}
	return part.Net(p.Lead), nil
}

// value is what the mode makes of a cycle.
func (r waveReader) value(c sim.Cycle) float64 {
	switch {
	case r.q.Mode == VoltsDC:
		return c.Average
	case r.o.Meter.AverageResponding:
		return c.Rectified * formFactor
	}
	return c.Ripple
}

// read is one unit's reading, in the range that a person ends in.
func (r waveReader) read(ctx context.Context, d sim.Draw) (Reading, *sim.Settled, error) {
	m := r.o.Meter
	ranges := m.Ranges
	if m.Range > 0 {
		ranges = []float64{m.Range}
	}
	var out Reading
	var s *sim.Settled
	for k := len(ranges) - 1; k >= 0; k-- {
		if s != nil && math.Abs(out.Value) > ranges[k] {
			break
		}
		if s == nil || m.Input <= 0 {
			var err error
			if s, err = r.settle(ctx, d, m.input(ranges[k])); err != nil {
				return Reading{}, nil, err
			}
			c, _ := s.Between(r.q.Red, r.q.Black)
			out.Value = r.value(c)
		}
		out.Range = ranges[k]
	}
	if math.Abs(out.Value) > out.Range {
		return Reading{Overrange: true, Range: out.Range}, s, nil
	}
	return out, s, nil
}

// expect is what good units read.
func (r waveReader) expect(ctx context.Context, nominal Reading, s *sim.Settled) (Expected, error) {
	w := worker{meter: r.o.Meter}
	e := w.row(r.q, nominal)
	free, err := r.settle(ctx, nil, 0)
	if err != nil {
		return Expected{}, err
	}
	if c, ok := free.Between(r.q.Red, r.q.Black); ok {
		v := r.value(c)
		e.Unloaded = &v
	}
	units := max(leastUnits, min(swingSteps/max(s.Steps, 1), mostUnits))
	readings := []Reading{nominal}
	for _, d := range r.model.Draws(units, r.o.Seed) {
		one, _, err := r.read(ctx, d)
		if err != nil {
			return Expected{}, err
		}
		readings = append(readings, one)
	}
	e.band(readings)
	e.Hazard = r.o.Meter.hazardOfCycle(free, r.q.Red, r.q.Black)
	e.Cautions = append(e.Cautions, cycleCaution(free), fmt.Sprintf("the band is between the extremes of %d units only", len(readings)))
	return e, nil
}

// cycleCaution says what the reading is of.
func cycleCaution(s *sim.Settled) string {
	switch {
	case !s.Swings:
		return "the circuit comes to rest there and does not swing"
	case !s.Reached:
		return "the circuit swings, and was not followed to where it settles: this is its last stretch"
	}
	return fmt.Sprintf("the circuit swings with a period of %s; this is over its settled cycle, its peaks are higher",
		quantity.Format(s.Period, quantity.Second, 3))
}

// hazardOfCycle words the hazard of two places by the peaks of a cycle.
func (m Meter) hazardOfCycle(s *sim.Settled, red, black sim.Place) Hazard {
	peak := func(c sim.Cycle, _ bool) float64 {
		if math.Abs(c.Low) > math.Abs(c.High) {
			return c.Low
		}
		return c.High
	}
	reference := s.Reference()
	h := Hazard{Red: peak(s.Between(red, reference)), Black: peak(s.Between(black, reference))}
	h.Volts = max(math.Abs(h.Red), math.Abs(h.Black), math.Abs(peak(s.Between(red, black))))
	h.Text = strings.Join(m.warn(&h), "; ")
	return h
}
