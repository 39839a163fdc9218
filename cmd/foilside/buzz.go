package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/board"
)

func buzzVerb(c *call) *cobra.Command {
	var gaps bool
	cmd := c.onJob("buzz JOB", "list the continuity checks that confirm the nets",
		`Lists the fewest continuity checks that make the nets sure if every answer is as
expected, those that tell most first, and says how sure the nets are before and
after. One beep in fifty is reckoned to be misheard, so a place in doubt is asked
about more than once. Take the checks with the unit's supplies off and its
capacitors discharged, record every answer, and call the verb again: an answer
that is not as expected changes the list. It is empty once the nets are wrong
with at most 0.1 %, as far as the photograph is right where it is sure. With
--gaps, a check follows for every gap between neighbouring nets, narrowest first:
it finds solder and dirt that no photograph shows.`,
		`  foilside buzz amplifier.foilside
  foilside log amplifier.foilside reading --mode continuity --red 'joint 412, 318' --black R3.1 --value joined`,
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			plan, problems, err := b.Buzz(ctx, gaps)
			if err != nil {
				return err
			}
			said := []string{}
			for _, p := range problems {
				said = append(said, p.Text)
			}
			answer := struct {
				board.Plan
				Problems []string `json:"problems"`
			}{plan, said}
			return c.answer(answer, func() { c.printBuzz(plan, said) })
		})
	cmd.Flags().BoolVar(&gaps, "gaps", false, "also check every gap between neighbouring nets")
	return cmd
}

func (c *call) printBuzz(plan board.Plan, problems []string) {
	for _, p := range problems {
		c.line("%s", p)
	}
	c.line("All nets right: %.4g %%, if the photograph is right where it is sure; nets expected to be wrong: %.3g.", 100*plan.Now.Right, plan.Now.WrongNets)
	if plan.Now.Enough {
		c.line("That is enough: no check is needed.")
	}
	if len(plan.Checks) > 0 {
		c.line("Unit off and unplugged, capacitors discharged. %d checks, of %d that verify every neighbour:", len(plan.Checks), plan.VerifyNeighbours)
	}
	for i, k := range plan.Checks {
		c.line("%3d  %-16s %-16s %-9s %s", i+1, k.Red, k.Black, k.Expect, k.Why)
		if k.Caution != "" {
			c.line("     caution: %s", k.Caution)
		}
	}
	if !plan.Now.Enough && len(plan.Checks) > 0 {
		c.line("If all is as expected: all nets right with %.4g %%.", 100*plan.Then.Right)
	}
	if plan.Unsettled != "" {
		c.line("%s", plan.Unsettled)
	}
}
