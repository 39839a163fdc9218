package bench

import (
	"context"
	"slices"
	"strconv"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/schematic"
	"foilside/internal/sim"
	"foilside/internal/stage"
)

const (
	sketchCycles = 2    // how many cycles a sketch shows
	sketchPoints = 65   // of a sketch
	leastSketch  = 0.02 // V that a net swings to be worth one
)

// overCycles corrects the test points of a unit that swings: what a meter shows
// there is the average over the settled cycle, not the operating point; with
// waves each gets a sketch of it. A unit that comes to rest, or that nothing can
// be said of, keeps what it has.
func (b *Bench) overCycles(ctx context.Context, points []schematic.TestPointText, state string, waves bool) ([]schematic.TestPointText, error) {
	model, err := b.Model(ctx)
	if err != nil {
		return points, nil
	}
	st, ok := model.Circuit().State(state)
	if !ok {
		return points, nil
	}
	if !waves && !b.swings(ctx) {
		return points, nil
	}
	settled, err := model.Settle(ctx, st, sim.SettleOptions{Progress: b.reporter("draw")})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil || !settled.Swings || settled.Period <= 0 {
		return points, nil
	}
	var w *sim.Waveforms
	if waves {
		if w, err = b.cycles(ctx, points, state, settled); err != nil {
			return nil, err
		}
	}
	out := make([]schematic.TestPointText, len(points))
	for i, p := range points {
		out[i] = p
		if c, ok := settled.Net(p.Net); ok && c.High-c.Low > leastSketch {
			out[i].Text = quantity.Format(c.Average, quantity.Volt, 3)
		}
		if w != nil {
			out[i].Wave = lastCycles(w, p.Net, settled.Period)
		}
	}
	return out, nil
}

// swings tells whether the unit holds a stage that swings by itself or lives on
// waves: there the operating point is not what a meter shows. To look for a
// cycle in every unit would take seconds where there is none.
func (b *Bench) swings(ctx context.Context) bool {
	found, err := b.Stages(ctx)
	return err == nil && slices.ContainsFunc(found.Stages, func(s stage.Stage) bool {
		switch s.Kind {
		case stage.BridgeRectifier, stage.FullWave, stage.HalfWave, stage.Doubler, stage.Multiplier, stage.Detector,
			stage.BlockingOsc, stage.TransformerOsc, stage.PushPullConv, stage.Hartley, stage.Colpitts, stage.CrystalOsc, stage.PhaseShift,
			stage.WienBridge, stage.RelaxationOsc, stage.Astable, stage.TimerAstable, stage.OpAmpAstable, stage.PrecisionDiode:
			return true
		}
		return false
	})
}

// cycles follows the unit to the end of a settled cycle; nil where it can't be
// followed.
func (b *Bench) cycles(ctx context.Context, points []schematic.TestPointText, state string, settled *sim.Settled) (*sim.Waveforms, error) {
	var nets []string
	for _, p := range points {
		nets = append(nets, string(p.Net))
	}
	span := settled.At + (sketchCycles+1)*settled.Period
	w, err := b.Simulate(ctx, SimulateQuery{For: strconv.FormatFloat(span, 'g', 9, 64) + " s", Watch: nets, State: state, Leaps: true})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, nil
	}
	return w, nil
}

// lastCycles samples the last cycles of a net at even times; nil where it
// hardly swings, or where cycles were gone over just there.
func lastCycles(w *sim.Waveforms, net circuit.NetID, period float64) []float64 {
	volts := w.Nets[net]
	if len(w.Time) < 2 || len(volts) != len(w.Time) {
		return nil
	}
	end := w.Time[len(w.Time)-1]
	begin := end - sketchCycles*period
	for _, g := range w.Gaps {
		if g[1] > begin {
			return nil
		}
	}
	out := make([]float64, sketchPoints)
	low, high := volts[len(volts)-1], volts[len(volts)-1]
	k := 0
	for i := range out {
		t := begin + (end-begin)*float64(i)/(sketchPoints-1)
		for k+2 < len(w.Time) && w.Time[k+1] < t {
			k++
		}
		v := volts[k]
		if step := w.Time[k+1] - w.Time[k]; step > 0 {
			v += (volts[k+1] - volts[k]) * min(max((t-w.Time[k])/step, 0), 1)
		}
		out[i] = v
		low, high = min(low, v), max(high, v)
	}
	if high-low < leastSketch {
		return nil
	}
	return out
}
