package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/schematic"
)

func sheetVerb(c *call) *cobra.Command {
	var o bench.SheetOptions
	var to, standard string
	cmd := c.onJob("sheet JOB", "print the service sheet for the next person",
		`Writes the service sheet: cautions, drawing, parts list, expected readings,
readings taken and work done, as a page that prints or as PDF.`,
		"  foilside sheet amplifier.foilside -o amplifier.pdf --paper A4",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			if to == "" {
				return bench.BadInput(errNoOutput)
			}
			o.Form, o.Standard = ending(to), schematic.Standard(standard)
			data, err := b.Sheet(ctx, o)
			if err != nil {
				return err
			}
			if err := writeFile(to, data); err != nil {
				return err
			}
			return c.answer(made{to}, func() { c.line("made %s", to) })
		})
	cmd.Flags().StringVarP(&to, "output", "o", "", "file to write: .html or .pdf")
	cmd.Flags().StringVar(&o.Paper, "paper", "A4", "paper: A4 or Letter")
	cmd.Flags().StringVar(&standard, "standard", "iec", "symbols: iec or ieee")
	cmd.Flags().StringVar(&o.By, "by", "", "who worked on the unit")
	return cmd
}
