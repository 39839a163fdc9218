package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

func alignVerb(c *call) *cobra.Command {
	return c.onJob("align JOB", "lay the component-side photograph over the foil-side one",
		`Maps each pixel of the component-side photograph to the pixel of the foil-side
photograph that shows the same place, from the point pairs in the job or, with
fewer than four, by itself. The foil photograph is not mirrored.`,
		"  foilside align amplifier.foilside --json",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			r, err := b.Align(ctx)
			if err != nil {
				return err
			}
			return c.answer(r, func() {
				m := r.Matrix
				c.line("component pixel → foil pixel (found: %s)", r.Found)
				for i := 0; i < 9; i += 3 {
					c.line("  %12.6g %12.6g %12.6g", m[i], m[i+1], m[i+2])
				}
				if r.ResidualMM != nil {
					c.line("residual %.2f pixels, %.3f mm", r.ResidualPx, *r.ResidualMM)
				} else {
					c.line("residual %.2f pixels (no scale is given, so no millimetres)", r.ResidualPx)
				}
				for _, m := range r.Left {
					c.line("pair %d was left out: it lies %.1f pixels from where the others put it", m.Pair, m.DistancePx)
				}
				for _, p := range r.Problems {
					c.line("note: %s; %s", p.Reason, p.Advice)
				}
			})
		})
}
