package bench

import (
	"context"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/schematic"
)

// DrawOptions say how the circuit is drawn.
type DrawOptions struct {
	Standard   schematic.Standard
	Value      schematic.ValueStyle
	TestPoints bool // number the nets and print the expected voltages beside them
	State      string
	Afresh     bool // place the parts from nothing, not where they stood
}

// Drawing is the circuit as a scene.
func (b *Bench) Drawing(ctx context.Context, o DrawOptions) (schematic.Drawing, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return schematic.Drawing{}, err
	}
	if len(built.Circuit.Parts) == 0 {
		return schematic.Drawing{}, NotDone(errNoParts, "place parts on the board, or write them in the job text")
	}
	opts := schematic.Options{Standard: o.Standard, Value: o.Value, Progress: b.reporter("draw"), Places: b.places(o, built.Circuit)}
	if o.TestPoints {
		opts.TestPoints = b.testPoints(ctx, built.Circuit, o.State)
	}
	k := key(built.Circuit, o, opts.TestPoints, opts.Places)
	d, err := remember(ctx, &b.memo, "drawing", k, func(ctx context.Context) (schematic.Drawing, error) {
		return schematic.Draw(ctx, built.Circuit, opts)
	})
	if err == nil {
		b.stood.note(o.Standard, d.Places(), len(opts.Places) == 0)
	}
	return d, err
}

// testPoints are the nets with what a good unit reads there. Where nothing can
// be expected, the drawing goes without.
func (b *Bench) testPoints(ctx context.Context, c *circuit.Circuit, state string) []schematic.TestPointText {
	rows, err := b.Table(ctx, "")
	if err != nil {
		return nil
	}
	if state == "" {
		state = poweredState(c)
	}
	var out []schematic.TestPointText
	for _, r := range rows {
		if r.Mode == meter.VoltsDC && r.State == state && r.Nominal != nil {
			out = append(out, schematic.TestPointText{Net: circuit.NetID(r.Red), Text: quantity.Format(*r.Nominal, quantity.Volt, 3)})
		}
	}
	return out
}

// poweredState is the state that tells most of a unit: the one with most
// sources on and switches closed, the first of several.
func poweredState(c *circuit.Circuit) string {
	best, bestScore := "", -1
	for _, s := range c.States {
		score := 0
		for _, p := range c.Parts {
			if form := s.Setting(p).Form; form == circuit.On || form == circuit.Closed {
				score++
			}
		}
		if score > bestScore {
			best, bestScore = s.Name, score
		}
	}
	return best
}
