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

// MaySwing tells whether it is worth looking for a cycle: the circuit has a
// source of waves, or something that stores and something that acts.
func MaySwing(c *circuit.Circuit, s circuit.State) bool {
	stores, acts, powered := false, false, false
	for _, p := range c.Parts {
		powered = powered || p.Kind == circuit.Battery || p.Kind == circuit.Supply || p.Kind == circuit.Signal
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
	return stores && acts && (!powered || anyOn(c, s))
}

// anyOn tells whether a source gives its voltage in a state.
func anyOn(c *circuit.Circuit, s circuit.State) bool {
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Battery, circuit.Supply, circuit.Signal:
			if s.Setting(p).Form != circuit.Off {
				return true
			}
		}
	}
	return false
}

// leastSwing is what some net has to move for a circuit to count as swinging:
// several steps of a display. What stands stiller is read at its operating
// point, which knows latches and tolerances better.
const leastSwing = 1e-3

// Swings tells whether any net moves by enough to be seen.
func Swings(model *sim.Model, s *sim.Settled) bool {
	if !s.Swings {
		return false
	}
	for _, n := range model.Nets() {
		if c, _ := s.Net(n); c.High-c.Low > leastSwing {
			return true
		}
	}
	return false
}

// swinging reads a circuit over its settled cycle. ok is false for a volts-dc
// or amps-dc reading of one that comes to rest, or that could not be followed: its
// operating point is read instead.
func swinging(ctx context.Context, model *sim.Model, q Query, o Options) (e Expected, ok bool, err error) {
	if !q.Mode.Powered() || q.Mode != VoltsAC && !MaySwing(model.Circuit(), q.State) {
		return Expected{}, false, nil
	}
	r := waveReader{model: model, q: q, o: o}
	nominal, s, err := r.read(ctx, nil)
	switch {
	case err != nil && q.Mode != VoltsAC && sim.IsRefusal(err):
		return Expected{}, false, nil
	case err != nil:
		return Expected{}, false, err
	case q.Mode != VoltsAC && !Swings(model, s):
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

// settle finds the settled cycle of a draw with the meter as a resistance
// where its leads are, 0 for none.
func (r waveReader) settle(ctx context.Context, d sim.Draw, load float64) (*sim.Settled, error) {
	v := r.o.Variant
	switch {
	case load > 0 && r.q.Mode == AmpsDC:
		c := r.model.Circuit()
		v = tapOf(c, r.q).joined(c, v, load)
	case load > 0:
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

// value is what the mode makes of the cycle of a voltage.
func (r waveReader) value(s *sim.Settled) (v float64, ok bool) {
	c, ok := s.Between(r.q.Red, r.q.Black)
	switch m := r.o.Meter; {
	case r.q.Mode == VoltsDC:
		return c.Average, ok
	case m.Bandwidth > 0 && s.Period > 0:
		return m.throughBandwidth(r.wave(s)), ok
	case m.AverageResponding:
		return c.Rectified * formFactor, ok
	}
	return c.Ripple, ok
}

// show is what the meter shows with the load in place.
func (r waveReader) show(s *sim.Settled, load float64) float64 {
	if r.q.Mode == AmpsDC {
		t := tapOf(r.model.Circuit(), r.q)
		c, _ := s.Between(t.red, t.black)
		return c.Average / load
	}
	v, _ := r.value(s)
	return v
}

// free is what the circuit does there without the meter; nil where that is not
// told.
func (r waveReader) free(s *sim.Settled) *float64 {
	if r.q.Mode == AmpsDC {
		t := tapOf(r.model.Circuit(), r.q)
		if t.lead == "" || t.instead {
			return nil
		}
		c, ok := s.Current(t.part, t.lead)
		if !ok {
			return nil
		}
		if t.red.Part != "" { // red on the lead: what flows out of the part is positive
			c.Average = -c.Average
		}
		return &c.Average
	}
	v, ok := r.value(s)
	if !ok {
		return nil
	}
	return &v
}

// load is the meter's resistance in a range, and whether it is the same in all.
func (r waveReader) load(rng float64) (ohms float64, same bool) {
	m := r.o.Meter
	if r.q.Mode == AmpsDC {
		return m.burden(rng), m.AmpsSeries > 0
	}
	return m.input(rng), m.Input > 0
}

// ranges are those that the mode is read in.
func (r waveReader) ranges() []float64 {
	m := r.o.Meter
	switch {
	case r.q.Mode == AmpsDC:
		return m.AmpsRanges
	case m.Range > 0:
		return []float64{m.Range}
	}
	return m.Ranges
}

// read is one unit's reading, in the range that a person ends in.
func (r waveReader) read(ctx context.Context, d sim.Draw) (Reading, *sim.Settled, error) {
	ranges := r.ranges()
	var out Reading
	var s *sim.Settled
	for k := len(ranges) - 1; k >= 0; k-- {
		if s != nil && math.Abs(out.Value) > ranges[k] {
			break
		}
		if load, same := r.load(ranges[k]); s == nil || !same {
			var err error
			if s, err = r.settle(ctx, d, load); err != nil {
				return Reading{}, nil, err
			}
			out.Value = r.show(s, load)
		}
		out.Range = ranges[k]
	}
	if math.Abs(out.Value) > out.Range {
		return Reading{Overrange: true, Range: out.Range}, s, nil
	}
	return out, s, nil
}

// unitsOf is how many units the band is taken over, by what one took.
func unitsOf(s *sim.Settled) int {
	return max(leastUnits, min(swingSteps/max(s.Steps, 1), mostUnits))
}

// expect is what good units read.
func (r waveReader) expect(ctx context.Context, nominal Reading, s *sim.Settled) (Expected, error) {
	w := worker{meter: r.o.Meter}
	shown := r.q
	if r.q.Mode == AmpsDC {
		t := tapOf(r.model.Circuit(), r.q)
		shown.Red, shown.Black = t.red, t.black
	}
	e := w.row(shown, nominal)
	free, err := r.settle(ctx, nil, 0)
	if err != nil {
		return Expected{}, err
	}
	e.Unloaded = r.free(free)
	readings := []Reading{nominal}
	for _, d := range r.model.Draws(unitsOf(s), r.o.Seed) {
		one, _, err := r.read(ctx, d)
		if err != nil {
			return Expected{}, err
		}
		readings = append(readings, one)
	}
	e.bandOfFew(readings)
	e.Hazard = r.o.Meter.hazardOfCycle(free, r.q.Red, r.q.Black)
	e.Cautions = append(e.Cautions, cycleCaution(free), fewUnits(len(readings)))
	if r.q.Mode == AmpsDC {
		e.addAmps(tapOf(r.model.Circuit(), r.q), r.o.Meter)
	}
	return e, nil
}

// fewUnits says how well the band is known.
func fewUnits(n int) string { return fmt.Sprintf("the band is reckoned from %d units only", n) }

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
