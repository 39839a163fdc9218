package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/job"
)

func logVerb(c *call) *cobra.Command {
	cmd := &cobra.Command{
		Use:     "log",
		Short:   "record a reading, a symptom or a piece of work, with the time",
		Example: "  foilside log reading amplifier.foilside --mode volts-dc --red out --state talking --value '4.31 V'",
		Args:    cobra.MinimumNArgs(1),
	}
	cmd.AddCommand(logReading(c), logSymptom(c), logWork(c))
	return cmd
}

func logReading(c *call) *cobra.Command {
	var q bench.Query
	var value, note string
	cmd := c.changing("reading JOB", "record a reading", "Records what the meter showed; --value overrange where it showed that, joined or separate for continuity.",
		"  foilside log reading amplifier.foilside --mode ohms --red base --black chassis --state off --value 3.9k",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			r, err := b.LogReading(ctx, q, value, note)
			if err != nil {
				return err
			}
			return c.answer(r, func() { c.line("recorded: %s %s on %s", r.Mode, r.Value.Text, q.Red) })
		})
	queryFlags(cmd, &q)
	cmd.Flags().StringVar(&value, "value", "", "what the meter showed, with its unit")
	cmd.Flags().StringVar(&note, "note", "", "anything worth keeping")
	return cmd
}

func logSymptom(c *call) *cobra.Command {
	var s job.Symptom
	var part string
	cmd := c.changing("symptom JOB SEEN", "record what is seen or heard without a meter",
		"Words that carry weight: "+strings.Join(job.SeenWords(), ", ")+". Others are kept, and carry none.",
		"  foilside log symptom amplifier.foilside silent --part LS1 --state talking",
		func(ctx context.Context, b *bench.Bench, args []string) error {
			s.Part, s.Seen = circuit.PartRef(part), strings.Join(args, " ")
			got, err := b.LogSymptom(ctx, s)
			if err != nil {
				return err
			}
			return c.answer(got, func() { c.line("recorded: %s %s", got.Part, got.Seen) })
		})
	cmd.Flags().StringVar(&part, "part", "", "the part it is seen at (the whole unit)")
	cmd.Flags().StringVar(&s.State, "state", "", "state of the unit")
	cmd.Flags().StringVar(&s.Note, "note", "", "anything worth keeping")
	return cmd
}

func logWork(c *call) *cobra.Command {
	var w job.Work
	var part string
	cmd := c.changing("work JOB WHAT", "record a piece of work", "Records work done on the unit: cleaned, replaced, resoldered.",
		"  foilside log work amplifier.foilside 'replaced by a new 4k7' --part R4",
		func(ctx context.Context, b *bench.Bench, args []string) error {
			w.Part, w.Did = circuit.PartRef(part), strings.Join(args, " ")
			got, err := b.LogWork(ctx, w)
			if err != nil {
				return err
			}
			return c.answer(got, func() { c.line("recorded: %s %s", got.Part, got.Did) })
		})
	cmd.Flags().StringVar(&part, "part", "", "the part worked on")
	cmd.Flags().StringVar(&w.Note, "note", "", "anything worth keeping")
	return cmd
}
