package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/meter"
	"foilside/internal/quantity"
)

// queryFlags are the flags that name a reading.
func queryFlags(cmd *cobra.Command, q *bench.Query) {
	f := cmd.Flags()
	f.StringVar(&q.Mode, "mode", "volts-dc", "meter function: volts-dc, volts-ac, ohms, continuity, junction, amps-dc")
	f.StringVar(&q.Red, "red", "", "net or lead (R1.2) for the red lead")
	f.StringVar(&q.Black, "black", "", "net or lead for the black lead (the job's common)")
	f.StringVar(&q.State, "state", "", "state of the unit (every part at its default)")
	f.StringVar(&q.Meter, "meter", "", "a meter that the job describes (digital, 10 MΩ)")
}

func expectVerb(c *call) *cobra.Command {
	var q bench.Query
	cmd := c.onJob("expect JOB", "what a good unit reads at a place, with this meter",
		`Simulates the reading with the meter in the circuit and gives its 95 % band over
the tolerances of the parts. Without --red: the whole table.

A computed voltage is no proof that a place is safe to touch: measure.`,
		"  foilside expect amplifier.foilside --mode ohms --red base --state off\n  foilside expect amplifier.foilside",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			if q.Red == "" {
				rows, err := b.Table(ctx, q.Meter)
				if err != nil {
					return err
				}
				return c.answer(rows, func() {
					for _, r := range rows {
						c.line("%-9s %-12s %-12s %-10s %s", r.Mode, r.Red, r.Black, r.State, band(r))
					}
				})
			}
			e, err := b.Expect(ctx, q)
			if err != nil {
				return err
			}
			return c.answer(e, func() { c.printExpected(e) })
		})
	queryFlags(cmd, &q)
	return cmd
}

func (c *call) printExpected(e meter.Expected) {
	c.line("%s, red on %s, black on %s: %s", e.Mode, e.Red, e.Black, band(e))
	if e.Unloaded != nil {
		c.line("without the meter: %s", quantity.Format(*e.Unloaded, e.Mode.Unit(), 4))
	}
	if e.Hazard.Text != "" {
		c.line("DANGER: %s", e.Hazard.Text)
	}
	for _, text := range e.Cautions {
		c.line("caution: %s", text)
	}
}

// band writes a reading and its limits: "4.31 V (4.05 V to 4.6 V)".
func band(e meter.Expected) string {
	unit := e.Mode.Unit()
	end := func(v *float64) string {
		if v == nil {
			return "over-range"
		}
		return quantity.Format(*v, unit, 4)
	}
	text := end(e.Nominal)
	if e.Joined != nil {
		text = "separate"
		if *e.Joined {
			text = "joined"
		}
		return text
	}
	if e.Low == nil && e.High == nil {
		return text
	}
	return text + " (" + end(e.Low) + " to " + end(e.High) + ")"
}
