package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

// verbs are the words of the command line, in the order of a job.
func verbs(c *call) []*cobra.Command {
	return []*cobra.Command{
		benchVerb(c), demoVerb(c), newVerb(c), checkVerb(c), markingVerb(c),
		alignVerb(c), copperVerb(c), circuitVerb(c), explainVerb(c), buzzVerb(c), drawVerb(c), simulateVerb(c),
		expectVerb(c), chargeVerb(c), suspectsVerb(c), nextVerb(c),
		logVerb(c), replaceVerb(c), proofVerb(c), sheetVerb(c), packVerb(c), unpackVerb(c),
	}
}

// work is what a verb does with an open job and the words after it.
type work func(ctx context.Context, b *bench.Bench, args []string) error

// onJob makes a verb that looks at a job; it may be open elsewhere meanwhile.
func (c *call) onJob(use, short, long, example string, run work) *cobra.Command {
	return c.jobVerb(use, short, long, example, func() bool { return false }, run)
}

// changing makes a verb that changes a job.
func (c *call) changing(use, short, long, example string, run work) *cobra.Command {
	return c.jobVerb(use, short, long, example, func() bool { return true }, run)
}

func (c *call) jobVerb(use, short, long, example string, writes func() bool, run work) *cobra.Command {
	return &cobra.Command{
		Use: use, Short: short, Long: long, Example: example,
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			b, err := c.open(cmd.Context(), args[0], writes())
			if err != nil {
				return err
			}
			err = run(cmd.Context(), b, args[1:])
			if closeErr := b.Close(); err == nil && closeErr != nil {
				return bench.NotDone(closeErr)
			}
			return err
		},
	}
}

func (c *call) open(ctx context.Context, path string, writes bool) (*bench.Bench, error) {
	report := c.progress()
	opts := bench.Options{ReadOnly: !writes}
	if report != nil {
		opts.Progress = func(work string, done float64, what string) { report(done, work+": "+what) }
	}
	return bench.Open(ctx, path, opts)
}
