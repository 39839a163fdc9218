package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/board"
)

func buzzVerb(c *call) *cobra.Command {
	return c.onJob("buzz JOB", "list the continuity checks that confirm the nets",
		`Lists continuity checks, the places where the photograph is in doubt first, then
every gap between neighbouring nets, narrowest first. Take them with the unit's
supplies off and its capacitors discharged.`,
		"  foilside buzz amplifier.foilside",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			checks, err := b.Buzz(ctx)
			if err != nil {
				return err
			}
			answer := struct {
				Checks []board.Check `json:"checks"`
			}{checks}
			return c.answer(answer, func() {
				c.line("Unit off and unplugged, capacitors discharged. %d checks:", len(checks))
				for i, k := range checks {
					c.line("%3d  %-14s %-14s %-9s %s", i+1, k.Red, k.Black, k.Expect, k.Why)
					if k.Caution != "" {
						c.line("     caution: %s", k.Caution)
					}
				}
			})
		})
}
