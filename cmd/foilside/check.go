package main

import (
	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

func checkVerb(c *call) *cobra.Command {
	return &cobra.Command{
		Use:   "check JOB",
		Short: "read a job and say what is wrong with it",
		Long: `Reads a job file, folder or text and lists every problem with its line and
column. The exit status is 2 if one of them keeps the job from being worked.`,
		Example: "  foilside check amplifier/job.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			got, err := bench.CheckPath(cmd.Context(), args[0])
			if err != nil {
				return err
			}
			if err := c.answer(got, func() {
				for _, p := range got.Problems {
					c.line("%s", p)
				}
				c.line("%d parts, %d nets, %d problems", got.Parts, got.Nets, len(got.Problems))
			}); err != nil {
				return err
			}
			return got.Fault()
		},
	}
}
