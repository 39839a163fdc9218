package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/diagnosis"
)

func suspectsVerb(c *call) *cobra.Command {
	return c.onJob("suspects JOB", "which part failed, and how: most likely first",
		`Weighs every single fault by the readings and symptoms in the job. Suspects of
one group can't be told apart by any reading that is allowed.`,
		"  foilside suspects amplifier.foilside --json",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			a, notes, err := b.Suspects(ctx)
			if err != nil {
				return err
			}
			c.notes(notes)
			return c.answer(a, func() { c.printSuspects(a) })
		})
}

// shownSuspects is how many lines the list has for a person.
const shownSuspects = 15

func (c *call) printSuspects(a diagnosis.Answer) {
	c.line("%s", a.Verdict)
	for i, s := range a.Suspects {
		if i == shownSuspects {
			c.line("… and %d less likely ones", len(a.Suspects)-shownSuspects)
			break
		}
		c.line("%6.2f %%  group %-3d %s", 100*s.Probability, s.Group, s.Text)
	}
	c.line("%6.2f %%  nothing is wrong", 100*a.Healthy)
	c.line("%6.2f %%  outside the model", 100*a.Outside)
	for _, b := range a.Beyond {
		c.line("%6.2f %%  of that: %s", 100*b.Probability, b.Text)
	}
	for _, o := range a.Odd {
		c.line("note: %s", o.Text)
	}
}

func (c *call) notes(notes []string) {
	for _, n := range notes {
		c.note("note: %s", n)
	}
}

func nextVerb(c *call) *cobra.Command {
	return c.onJob("next JOB", "the readings worth taking next, best first",
		`Ranks readings by how much they tell for their time and danger. Readings with
the power off come first where they tell as much. Before any of those the unit
must be made safe: see the charge verb, and measure.`,
		"  foilside next amplifier.foilside",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			f, err := b.Diagnosis(ctx)
			if err != nil {
				return err
			}
			c.notes(f.Notes)
			return c.answer(f.Plan, func() { c.printPlan(f.Plan) })
		})
}

func (c *call) printPlan(p diagnosis.Plan) {
	c.line("%s", p.Verdict)
	for i, n := range p.Next {
		c.line("")
		state := n.State
		if state == "" {
			state = "as it stands"
		}
		c.line("%d. %s, red on %s, black on %s, state: %s", i+1, n.Mode, n.Red, n.Black, state)
		c.line("   %s", n.Why)
		c.line("   tells %.2f bits for %.0f s", n.GainBits, n.CostSeconds)
		if n.Hazard.Text != "" {
			c.line("   CAUTION: %s", n.Hazard.Text)
		}
		for _, o := range n.Outcomes {
			c.line("   %3.0f %%  %s", 100*o.Probability, o.Text)
		}
	}
	for i, a := range p.Actions {
		if i == 0 {
			c.line("")
		}
		c.line("Or, %.0f s: %s", a.CostSeconds, a.Text)
	}
}
