package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/charge"
	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

func replaceVerb(c *call) *cobra.Command {
	return c.onJob("replace JOB REF", "what a part has to stand, and what may be fitted instead",
		`Tells how the part is worked in this circuit against its rating, also for a moment
while capacitors fill or over the cycle of a unit that swings; what a replacement
must stand with usual derating; which standard values, alone or in pairs, would
change the readings least; which type numbers serve; and how an electrolytic that
has lain for years is brought back.`,
		"  foilside replace amplifier.foilside R4",
		func(ctx context.Context, b *bench.Bench, args []string) error {
			if len(args) != 1 {
				return bench.BadInput(errOnePart)
			}
			r, err := b.Replace(ctx, circuit.PartRef(args[0]))
			if err != nil {
				return err
			}
			return c.answer(r, func() { c.printReplacement(r) })
		})
}

func (c *call) printReplacement(r charge.Replacement) {
	s := r.Stress
	c.line("%s: %s, %s, %s; for a moment %s, %s, %s. %s", r.Part,
		quantity.Format(s.Volts, quantity.Volt, 3), quantity.Format(s.Amps, quantity.Ampere, 3), quantity.Format(s.Watts, quantity.Watt, 3),
		quantity.Format(s.Pulse.Volts, quantity.Volt, 3), quantity.Format(s.Pulse.Amps, quantity.Ampere, 3), quantity.Format(s.Pulse.Watts, quantity.Watt, 3), s.Text)
	c.line("%s", r.Required.Text)
	for _, o := range r.Options {
		text := o.Text
		if o.Effect > 0 {
			text += fmt.Sprintf(": changes a reading by up to %.2g of what tolerances allow", o.Effect)
		}
		c.line("  %s", text)
	}
	if r.Reform != nil {
		for _, step := range r.Reform.Steps {
			c.line("reforming: %s", step.Text)
		}
		for _, text := range r.Reform.Cautions {
			c.line("caution: %s", text)
		}
	}
	for _, n := range r.Notes {
		c.line("note: %s", n)
	}
}
