package meter

import (
	"context"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// Table is every net against the common one: ohms without power, and volts-dc
// in each of the states.
//
// Errors: those of Expect.
func Table(ctx context.Context, model *sim.Model, states []circuit.State, o Options) ([]Expected, error) {
	o = o.filled(TableDraws)
	if len(states) == 0 {
		states = []circuit.State{{}}
	}
	draws := model.Draws(o.Draws, o.Seed)
	var out []Expected
	for _, mode := range []Mode{Ohms, VoltsDC} {
		for _, s := range states {
			rows, err := tableOf(ctx, model, mode, s, draws, o)
			if err != nil {
				return nil, err
			}
			out = append(out, rows...)
		}
	}
	return out, nil
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
	return rows, addHazards(ctx, model, rows, qs, o)
}
