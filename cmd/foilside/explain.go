package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/stage"
)

func explainVerb(c *call) *cobra.Command {
	return c.onJob("explain JOB", "how the circuit works: its stages, and which feeds which",
		`Finds the functional groups of the circuit (rectifier, oscillator, amplifier stage),
says of each how it works with figures computed from its own parts, which stage
feeds which, and what parts belong to none.

The figures are computed from the values in the job, not measured.`,
		"  foilside explain intercom.foilside",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			found, err := b.Stages(ctx)
			if err != nil {
				return err
			}
			return c.answer(found, func() { c.explain(found) })
		})
}

func (c *call) explain(found stage.Found) {
	for i, s := range found.Stages {
		c.line("%d. %s%s", i+1, strings.ToUpper(s.Name[:1])+s.Name[1:], from(found, i))
		c.line("   %s", refList(s.Parts()))
		c.line("   %s", s.Text)
		for _, n := range s.Notes {
			c.line("   note: %s", n)
		}
	}
	if len(found.Left) > 0 {
		c.line("In no stage: %s", refList(found.Left))
	}
	c.line("Computed, not measured: no proof that anything is safe to touch.")
}

// from names the stages that a stage's signal comes from.
func from(found stage.Found, i int) string {
	var out []string
	for _, e := range found.Feeds {
		if e.To == i && !e.Power && !e.Back {
			out = append(out, found.Stages[e.From].Name+" ("+string(e.Net)+")")
		}
	}
	if len(out) == 0 {
		return ""
	}
	return ", fed by the " + strings.Join(out, " and the ")
}

func refList(all []circuit.PartRef) string {
	var out []string
	for _, p := range all {
		out = append(out, string(p))
	}
	return strings.Join(out, " ")
}
