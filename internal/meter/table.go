package meter

import (
	"context"
	"fmt"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// Table is every net against the common one: ohms without power, and volts-dc
// in each of the states; where the unit swings, volts-ac as well.
//
// Errors: those of Expect.
func Table(ctx context.Context, model *sim.Model, states []circuit.State, o Options) ([]Expected, error) {
	o = o.filled(TableDraws)
	if len(states) == 0 {
		states = []circuit.State{{}}
	}
	draws := model.Draws(o.Draws, o.Seed)
	var out []Expected
	for i, mode := range []Mode{Ohms, VoltsDC} {
		for k, s := range states {
			if o.Progress != nil {
				o.Progress(float64(i*len(states)+k)/float64(2*len(states)), fmt.Sprintf("%s in every place%s", mode, inState(s.Name)))
			}
			rows, err := tableOf(ctx, model, mode, s, draws, o)
			if err != nil {
				return nil, err
			}
			out = append(out, rows...)
		}
	}
	return out, nil
}

func inState(name string) string {
	if name == "" {
		return ""
	}
	return ", state " + name
}

// tableOf is one mode in one state.
func tableOf(ctx context.Context, model *sim.Model, mode Mode, s circuit.State, draws []sim.Draw, o Options) ([]Expected, error) {
	black := Against(model.Circuit(), model)
	var qs []Query
	for _, n := range model.Nets() {
		if n != black.Net {
			qs = append(qs, Query{Mode: mode, Red: sim.OnNet(n), Black: black, State: s})
		}
	}
	if len(qs) == 0 {
		return nil, nil
	}
	if rows, ok, err := swingingTable(ctx, model, qs, o); ok || err != nil {
		return rows, err
	}
	in, err := Instance(model, qs[0], o.Variant)
	if err != nil {
		return nil, err
	}
	w := worker{in: in, meter: o.Meter}
	if err := w.start(ctx); err != nil {
		return nil, err
	}
	rows, err := w.expect(ctx, qs, draws)
	if err != nil {
		return nil, err
	}
	if o.AtRest && mode == VoltsDC && MaySwing(model.Circuit(), s) {
		for k := range rows {
			rows[k].Cautions = append(rows[k].Cautions, atRestCaution)
		}
	}
	return rows, addHazards(ctx, model, rows, qs, o)
}

// atRestCaution stands where nobody looked whether the circuit swings.
const atRestCaution = "read at the operating point; where the unit swings, ask for this place alone"

// tableUnits are the most units that a table over a cycle draws: each has to be
// followed to where it settles.
const tableUnits = 4

// unloadedCaution stands at every row of a table over a cycle: following the
// cycle anew for every place would take as long as there are places.
const unloadedCaution = "without the meter's own load: behind more than a tenth of its resistance it reads less; ask for this place alone"

// swingingTable reads all places of one settled cycle at once. ok is false
// where the circuit comes to rest, or could not be followed.
func swingingTable(ctx context.Context, model *sim.Model, qs []Query, o Options) ([]Expected, bool, error) {
	if o.AtRest || qs[0].Mode != VoltsDC || !MaySwing(model.Circuit(), qs[0].State) {
		return nil, false, nil
	}
	first := waveReader{model: model, q: qs[0], o: o}
	nominal, err := first.settle(ctx, nil, 0)
	if err != nil && sim.IsRefusal(err) || err == nil && !Swings(model, nominal) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, err
	}
	cycles := []*sim.Settled{nominal}
	for _, d := range model.Draws(min(unitsOf(nominal), tableUnits), o.Seed) {
		s, err := first.settle(ctx, d, 0)
		if err != nil {
			return nil, false, err
		}
		cycles = append(cycles, s)
	}
	var out []Expected
	for _, mode := range []Mode{VoltsDC, VoltsAC} {
		for _, q := range qs {
			q.Mode = mode
			out = append(out, waveReader{model: model, q: q, o: o}.row(cycles))
		}
	}
	return out, true, nil
}

// row is what units whose free cycles are given show at one place.
func (r waveReader) row(cycles []*sim.Settled) Expected {
	var readings []Reading
	for _, s := range cycles {
		v, _ := r.value(s)
		readings = append(readings, r.o.Meter.inScale(v))
	}
	w := worker{meter: r.o.Meter}
	e := w.row(r.q, readings[0])
	e.Unloaded = r.free(cycles[0])
	e.bandOfFew(readings)
	e.Hazard = r.o.Meter.hazardOfCycle(cycles[0], r.q.Red, r.q.Black)
	e.Cautions = append(e.Cautions, cycleCaution(cycles[0]), fewUnits(len(cycles)), unloadedCaution)
	return e
}

// inScale is a voltage as its range shows it.
func (m Meter) inScale(v float64) Reading {
	rng := m.scaleFor(max(v, -v))
	if max(v, -v) > rng {
		return Reading{Overrange: true, Range: rng}
	}
	return Reading{Value: v, Range: rng}
}
