package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/job"
)

// logFlags are the flags of the log verb; each kind of record takes some.
type logFlags struct {
	query             bench.Query
	value, note, part string
}

func logVerb(c *call) *cobra.Command {
	var f logFlags
	cmd := c.changing("log JOB reading|symptom|work [WORDS]", "record a reading, a symptom or a piece of work, with the time",
		`Records, with the time:

  reading          what the meter showed: --mode, --red, --black, --state, --meter
                   and --value with its unit; overrange, joined or separate where
                   it showed that
  symptom SEEN     what is seen or heard without a meter, at --part, in --state
  work WHAT        what was done, at --part

Words of a symptom that carry weight: `+strings.Join(job.SeenWords(), ", ")+`. Others are kept, and carry none.`,
		`  foilside log amplifier.foilside reading --mode ohms --red base --state off --value 3.9k
  foilside log amplifier.foilside symptom silent --part LS1 --state talking
  foilside log amplifier.foilside work 'replaced by a new 4k7' --part R4`,
		func(ctx context.Context, b *bench.Bench, args []string) error { return c.log(ctx, b, f, args) })
	queryFlags(cmd, &f.query)
	cmd.Flags().StringVar(&f.value, "value", "", "what the meter showed, with its unit")
	cmd.Flags().StringVar(&f.note, "note", "", "anything worth keeping")
	cmd.Flags().StringVar(&f.part, "part", "", "the part seen or worked on (the whole unit)")
	return cmd
}

func (c *call) log(ctx context.Context, b *bench.Bench, f logFlags, args []string) error {
	if len(args) == 0 {
		return bench.BadInput(errLogWhat)
	}
	words := strings.Join(args[1:], " ")
	switch args[0] {
	case "reading":
		return c.logReading(ctx, b, f)
	case "symptom":
		got, err := b.LogSymptom(ctx, job.Symptom{Part: circuit.PartRef(f.part), Seen: words, State: f.query.State, Note: f.note})
		if err != nil {
			return err
		}
		return c.answer(got, func() { c.line("recorded: %s %s", got.Part, got.Seen) })
	case "work":
		got, err := b.LogWork(ctx, job.Work{Part: circuit.PartRef(f.part), Did: words, Note: f.note})
		if err != nil {
			return err
		}
		return c.answer(got, func() { c.line("recorded: %s %s", got.Part, got.Did) })
	}
	return bench.BadInput(fmt.Errorf("%q: %w", args[0], errLogWhat))
}

func (c *call) logReading(ctx context.Context, b *bench.Bench, f logFlags) error {
	got, err := b.LogReading(ctx, f.query, f.value, f.note)
	if err != nil {
		return err
	}
	return c.answer(got, func() { c.line("recorded: %s %s on %s", got.Mode, got.Value.Text, f.query.Red) })
}
