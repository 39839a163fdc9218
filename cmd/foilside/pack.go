package main

import (
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

// made is what pack and unpack answer.
type made struct {
	Path string `json:"path"`
}

func packVerb(c *call) *cobra.Command {
	var to string
	cmd := &cobra.Command{
		Use:     "pack DIR",
		Short:   "make one job file of a folder with job.yaml and photographs",
		Example: "  foilside pack amplifier -o amplifier.foilside",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if to == "" {
				to = strings.TrimSuffix(filepath.Clean(args[0]), ".yaml") + ".foilside"
			}
			if err := bench.Pack(cmd.Context(), args[0], to); err != nil {
				return err
			}
			return c.answer(made{to}, func() { c.line("made %s", to) })
		},
	}
	cmd.Flags().StringVarP(&to, "output", "o", "", "the job file to make (DIR.foilside)")
	return cmd
}

func unpackVerb(c *call) *cobra.Command {
	var to string
	cmd := &cobra.Command{
		Use:     "unpack JOB",
		Short:   "write a job file as a folder with job.yaml and photographs",
		Example: "  foilside unpack amplifier.foilside -o amplifier",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if to == "" {
				to = strings.TrimSuffix(filepath.Clean(args[0]), ".foilside")
			}
			if err := bench.Unpack(cmd.Context(), args[0], to); err != nil {
				return err
			}
			return c.answer(made{to}, func() { c.line("made %s", to) })
		},
	}
	cmd.Flags().StringVarP(&to, "output", "o", "", "the folder to make (JOB without its ending)")
	return cmd
}
