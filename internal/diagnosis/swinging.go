package diagnosis

import (
	"context"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// A state in which the unit swings has no operating point worth the name: what
// a meter shows on volts-dc there is the average over the settled cycle. It is
// followed for every rung, by the nominal unit alone, since that takes as long
// as a hundred operating points.

const (
	// cycleTolerance is that of a step: a reading within some per cent.
	cycleTolerance = 1e-2
	// cycleScatter is the deviation given to a reading of a cycle, on its scale:
	// tolerances, the meter's load and the step's tolerance together.
	cycleScatter = 0.06
	// mostSteps of a good unit's cycle are affordable for every fault; a longer
	// one is not followed, and readings in that state carry no weight.
	mostSteps = 20e3
)

// motion is how a state behaves in a good unit.
type motion uint8

const (
	still    motion = iota // it comes to rest
	swinging               // it swings, and is followed
	wild                   // it swings, and following it takes too long
)

// motion tells how the good unit behaves with power in a state.
//
// Errors: the context's.
func (p *Predictor) motion(ctx context.Context, s circuit.State, key string) (motion, error) {
	if m, ok := p.motions[key]; ok {
		return m, nil
	}
	m := still
	if p.maySwing(s) {
		cycle, err := p.model.Settle(ctx, s, sim.SettleOptions{Tolerance: cycleTolerance})
		switch {
		case err != nil && !sim.IsRefusal(err):
			return still, err
		case err != nil || !cycle.Swings || !cycle.Reached:
		case cycle.Steps > mostSteps:
			m = wild
		default:
			m = swinging
		}
	}
	p.motions[key] = m
	return m, nil
}

// maySwing tells whether it is worth following the unit over time: a source of
// waves is on, a part is made to swing, or two stages feed one another through
// capacitors.
func (p *Predictor) maySwing(s circuit.State) bool {
	for _, part := range p.circuit.Parts {
		switch part.Kind {
		case circuit.Signal:
			if v, ok := part.Amount("voltage"); s.Setting(part).Form == circuit.On && (!ok || v != 0) {
				return true
			}
		case circuit.Supply:
			if v, ok := part.Amount("ripple"); ok && v > 0 && s.Setting(part).Form == circuit.On {
				return true
			}
		case circuit.UJT, circuit.Timer555, circuit.Neon, circuit.GasTube, circuit.Crystal:
			return true
		}
	}
	return p.crossCoupled()
}

// crossCoupled tells whether two transistors each drive the other's base
// through a capacitor.
func (p *Predictor) crossCoupled() bool {
	coupled := map[[2]circuit.NetID]bool{}
	for _, c := range p.circuit.Parts {
		if isCapacitor(c.Kind) {
			coupled[[2]circuit.NetID{c.Leads[0].Net, c.Leads[1].Net}] = true
			coupled[[2]circuit.NetID{c.Leads[1].Net, c.Leads[0].Net}] = true
		}
	}
	drives := func(a, b circuit.Part) bool { return coupled[[2]circuit.NetID{a.Net("c"), b.Net("b")}] }
	for i, a := range p.circuit.Parts {
		for _, b := range p.circuit.Parts[:i] {
			bipolar := (a.Kind == circuit.NPN || a.Kind == circuit.PNP) && (b.Kind == circuit.NPN || b.Kind == circuit.PNP)
			if bipolar && drives(a, b) && drives(b, a) {
				return true
			}
		}
	}
	return false
}

// follow takes a task's readings of a rung from its settled cycle, the same for
// every draw.
func (w *reader) follow(ctx context.Context, n int) error {
	var wanted []*column
	for _, c := range w.task.columns {
		if c.cells[w.rung][0].kind == unasked {
			wanted = append(wanted, c)
		}
	}
	if len(wanted) > 0 {
		if err := w.followed(ctx, wanted); err != nil {
			return err
		}
	}
	for _, c := range w.task.columns {
		for k := 1; k < n; k++ {
			c.cells[w.rung][k] = c.cells[w.rung][0]
		}
	}
	return nil
}

func (w *reader) followed(ctx context.Context, wanted []*column) error {
	for _, c := range wanted {
		c.cells[w.rung][0] = cell{kind: failed}
	}
	if w.in == nil || w.task.motion == wild {
		return nil
	}
	cycle, err := w.in.Model().Settle(ctx, w.task.state, sim.SettleOptions{Tolerance: cycleTolerance, Variant: w.bench.variant})
	if err != nil {
		if sim.IsRefusal(err) {
			return nil
		}
		return err
	}
	for _, c := range wanted {
		average, ok := cycle.Between(c.query().Red, c.query().Black)
		if !ok {
			continue
		}
		top := c.meter.Ranges[len(c.meter.Ranges)-1]
		one := cellOf(c.key.Mode, meter.Reading{Value: average.Average, Overrange: average.Average > top || average.Average < -top}, nil)
		one.soft = float32(cycleScatter / slope(c.key.Mode, average.Average))
		c.cells[w.rung][0] = one
	}
	return nil
}
