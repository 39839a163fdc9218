package bench

import (
	"context"
	"fmt"
	"slices"
	"strings"

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
	Waves      bool // and how they swing, where they do
	Suspects   bool // mark the parts that are suspected
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
		state := o.State
		if state == "" {
			state = poweredState(built.Circuit)
		}
		if opts.TestPoints, err = b.overCycles(ctx, opts.TestPoints, state, o.Waves); err != nil {
			return schematic.Drawing{}, err
		}
	}
	plain := o
	plain.Suspects = false // marked on the finished drawing
	k := key(built.Circuit, plain, opts.TestPoints, opts.Places)
	d, err := remember(ctx, &b.memo, "drawing", k, func(ctx context.Context) (schematic.Drawing, error) {
		return schematic.Draw(ctx, built.Circuit, opts)
	})
	if err == nil {
		b.stood.note(o.Standard, d.Places(), len(opts.Places) == 0)
	}
	if err == nil && o.Suspects {
		var refs []circuit.PartRef
		if refs, _, err = b.suspected(ctx); err == nil {
			d = d.MarkSuspects(refs)
		}
	}
	return d, err
}

// leastSuspect is how likely a fault must be for its part to be marked.
const leastSuspect = 0.05

// suspected lists the parts that are suspected, most likely first, and says
// with what.
func (b *Bench) suspected(ctx context.Context) (refs []circuit.PartRef, words []string, err error) {
	answer, _, err := b.Suspects(ctx)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range answer.Suspects {
		if s.Part == nil || s.Probability < leastSuspect {
			continue
		}
		if !slices.Contains(refs, *s.Part) {
			refs = append(refs, *s.Part)
		}
		words = append(words, fmt.Sprintf("%s %s %.0f %%", *s.Part, s.Fault, 100*s.Probability))
	}
	return refs, words, nil
}

// TitleLines are the further lines of a drawing's title block: the symbols, the
// state that its voltages hold in, what is marked.
func (b *Bench) TitleLines(ctx context.Context, o DrawOptions) ([]string, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return nil, err
	}
	symbols := "Symbols by IEC 60617"
	if o.Standard == schematic.IEEE {
		symbols = "Symbols by IEEE 315"
	}
	lines := []string{symbols}
	if o.TestPoints {
		state := o.State
		if state == "" {
			state = poweredState(built.Circuit)
		}
		lines = append(lines, fmt.Sprintf("Voltages against %s of a good unit in the state %q, read with a meter of 10 MΩ", built.Circuit.Common, state))
	}
	if o.Suspects {
		_, words, err := b.suspected(ctx)
		if err != nil {
			return nil, err
		}
		what := "nothing is"
		if len(words) > 0 {
			what = strings.Join(words[:min(len(words), 4)], ", ")
		}
		lines = append(lines, "Suspected, in dashed frames: "+what)
	}
	return lines, nil
}

// testPoints are the nets with what a good unit reads there. Where nothing can
// be expected, the drawing goes without.
func (b *Bench) testPoints(ctx context.Context, c *circuit.Circuit, state string) []schematic.TestPointText {
	rows, err := b.table(ctx, "", true)
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
