package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

// Exit statuses of every verb.
const (
	exitDone  = 0
	exitWork  = 1 // the work could not be done
	exitInput = 2 // bad call or bad input
)

// run is the whole command line: it returns the exit status.
func run(ctx context.Context, args []string, s streams) int {
	root := newRoot(s)
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitDone
	}
	printError(s, err)
	var fault *bench.Fault
	if errors.As(err, &fault) && !fault.Input {
		return exitWork
	}
	return exitInput
}

// printError writes the reason first, on one line, and then what to do next.
func printError(s streams, err error) {
	var fault *bench.Fault
	if errors.As(err, &fault) {
		fmt.Fprintln(s.err, "foilside: "+fault.Error())
		for _, line := range fault.Next {
			fmt.Fprintln(s.err, "  "+line)
		}
		return
	}
	fmt.Fprintln(s.err, "foilside: "+err.Error())
	fmt.Fprintln(s.err, "  see: foilside --help")
}

// call is what every verb is given.
type call struct {
	streams
	json bool
}

func newRoot(s streams) *cobra.Command {
	c := &call{streams: s}
	root := &cobra.Command{
		Use:   "foilside [VERB] [JOB]",
		Short: "From two photographs of a board to the failed part and a service sheet",
		Long: `Foilside helps one person bring an undocumented electronic unit back to life.

Two photographs → aligned faces → nets → parts → circuit → drawing → expected
readings → the next reading → the failed part → a service sheet for others.
Without a verb it opens the bench in the browser.

A computed voltage is never proof that a unit is safe to touch: measure, follow
the rules of your country, and leave mains and picture-tube work to people
qualified for it.`,
		Example:                    "  foilside demo intercom\n  foilside bench amplifier.foilside\n  foilside next amplifier.foilside --json",
		SuggestionsMinimumDistance: 2,
		SilenceUsage:               true,
		SilenceErrors:              true,
		Args:                       cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			return openWithoutVerb(cmd, c, args)
		},
	}
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.PersistentFlags().BoolVar(&c.json, "json", false, "answer with one JSON value on standard output")
	root.AddCommand(verbs(c)...)
	return root
}

// openWithoutVerb opens the bench; a first word that is no file is taken for a
// mistyped verb.
func openWithoutVerb(cmd *cobra.Command, c *call, args []string) error {
	if len(args) > 0 {
		if _, err := os.Stat(args[0]); err != nil {
			near := cmd.SuggestionsFor(args[0])
			hint := ""
			if len(near) > 0 {
				hint = "; did you mean " + strings.Join(near, " or ") + "?"
			}
			return fmt.Errorf("%q is neither a verb nor a job file%s", args[0], hint)
		}
	}
	return runBench(cmd.Context(), c, benchFlags{}, args)
}
