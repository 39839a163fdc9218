package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

// simulateVerb takes its flags already, so that scripts need not change when
// waveforms come.
func simulateVerb(c *call) *cobra.Command {
	cmd := c.onJob("simulate JOB", "waveforms of the circuit over time (not in this version)",
		`Will compute waveforms. This version computes operating points only: what every
net settles at with constant sources. See the expect verb.`,
		"  foilside simulate amplifier.foilside --for 20ms --watch out,base --state talking",
		func(context.Context, *bench.Bench, []string) error {
			return bench.NotDone(errNoWaveforms, "the expect verb tells what a meter reads when nothing moves any more")
		})
	cmd.Flags().String("for", "", "how long, with its unit: 20ms")
	cmd.Flags().StringSlice("watch", nil, "nets to write, with commas between")
	cmd.Flags().String("state", "", "state of the unit")
	cmd.Flags().String("from", "", "settled: begin at the operating point")
	return cmd
}
