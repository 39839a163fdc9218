package main

import (
	"context"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/schematic"
)

func drawVerb(c *call) *cobra.Command {
	var o bench.DrawOptions
	var to, standard, values string
	var keep bool
	cmd := c.jobVerb("draw JOB", "draw the circuit as a service manual would",
		`Draws the schematic with symbols by IEC 60617 or IEEE 315, supplies at the top,
common at the bottom, as SVG, PDF or PNG by the ending of the file.`,
		"  foilside draw amplifier.foilside -o amplifier.svg --standard ieee --test-points",
		func() bool { return keep },
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			o.Standard, o.Value = schematic.Standard(standard), schematic.ValueStyle(values)
			d, err := b.Drawing(ctx, o)
			if err != nil {
				return err
			}
			if keep {
				if err := b.KeepLayout(ctx, d); err != nil {
					return err
				}
			}
			if to != "" {
				data, err := bench.RenderDrawing(d, ending(to), bench.ForPrint)
				if err != nil {
					return err
				}
				if err := writeFile(to, data); err != nil {
					return err
				}
			}
			return c.answer(d.Metrics, func() {
				m := d.Metrics
				c.line("%g × %g, %d crossings, %d bends, %d overlaps", m.Width, m.Height, m.Crossings, m.Bends, m.Overlaps)
			})
		})
	cmd.Flags().BoolVar(&keep, "keep", false, "keep in the job where the parts stand, so that the next drawing moves little")
	cmd.Flags().BoolVar(&o.Afresh, "afresh", false, "place all parts from nothing, whatever the job keeps")
	cmd.Flags().StringVarP(&to, "output", "o", "", "file to write: .svg, .pdf or .png")
	cmd.Flags().StringVar(&standard, "standard", "iec", "symbols: iec or ieee")
	cmd.Flags().StringVar(&values, "values", "prose", "values: prose (4.7 kΩ) or code (4k7)")
	cmd.Flags().BoolVar(&o.TestPoints, "test-points", false, "number the nets and print what a good unit reads there")
	cmd.Flags().StringVar(&o.State, "state", "", "state that the voltages hold in (the one with most switched on)")
	return cmd
}

// ending is what a file's name ends with, without the dot.
func ending(path string) string { return strings.ToLower(path[strings.LastIndexByte(path, '.')+1:]) }

func writeFile(path string, data []byte) error {
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return bench.NotDone(err, "choose a folder that you may write to")
	}
	return nil
}
