package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

func circuitVerb(c *call) *cobra.Command {
	return c.onJob("circuit JOB", "write the circuit: every lead on a named net",
		`Writes the circuit as job text: each lead that was placed on a photograph stands
on the net of its joint, each wire link has made one net of two. Problems go to
standard error.`,
		"  foilside circuit amplifier.foilside > circuit.yaml",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			d, problems, err := b.CircuitDocument(ctx)
			if err != nil {
				return err
			}
			for _, p := range problems {
				c.note("note: %s", p.Text)
			}
			return c.answer(d, func() { c.out.Write(bench.Text(d)) })
		})
}
