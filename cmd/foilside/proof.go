package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

func proofVerb(c *call) *cobra.Command {
	var sign bool
	var by string
	cmd := c.jobVerb("proof JOB", "what to read and try after the repair, and whether it shows the unit healthy",
		`Lists the few readings and trials that show a repaired unit healthy, those without
power first: at the repaired part, at the supplies, what was off before, and every
symptom looked for again. Record each with the log verb. With --sign-off, and only
when all are as in a good unit, that is recorded in the log too.`,
		"  foilside proof amplifier.foilside\n  foilside proof amplifier.foilside --sign-off --by R.M.",
		func() bool { return sign },
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			if sign {
				w, err := b.SignOff(ctx, by)
				if err != nil {
					return err
				}
				return c.answer(w, func() { c.line("recorded: %s", w.Did) })
			}
			p, err := b.Proof(ctx)
			if err != nil {
				return err
			}
			return c.answer(p, func() { c.printProof(p) })
		})
	cmd.Flags().BoolVar(&sign, "sign-off", false, "record that all of it has passed")
	cmd.Flags().StringVar(&by, "by", "", "who signs")
	return cmd
}

func (c *call) printProof(p bench.Proof) {
	c.line("%s", p.Verdict)
	for i, item := range p.Items {
		c.line("%2d. %-6s %s (%s)", i+1, item.Outcome, item.Text, item.Why)
		if item.Seen != "" {
			c.line("           seen: %s", item.Seen)
		}
		if item.Caution != "" {
			c.line("           CAUTION: %s", item.Caution)
		}
	}
}
