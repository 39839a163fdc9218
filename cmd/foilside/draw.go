package main

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/render"
	"foilside/internal/schematic"
)

// drawFlags are the flags of the draw verb.
type drawFlags struct {
	options                     bench.DrawOptions
	to, standard, values, paper string
	dark, keep, bare            bool
}

func drawVerb(c *call) *cobra.Command {
	var f drawFlags
	cmd := c.jobVerb("draw JOB", "draw the circuit as a service manual would",
		`Draws the schematic with symbols by IEC 60617 or IEEE 315, supplies at the top,
common at the bottom, as SVG, PDF or PNG by the ending of the file. Above about
60 parts it takes several sheets, side by side, a page each in a PDF.`,
		"  foilside draw amplifier.foilside -o amplifier.svg --standard ieee --test-points",
		func() bool { return f.keep },
		func(ctx context.Context, b *bench.Bench, _ []string) error { return c.draw(ctx, b, f) })
	cmd.Flags().StringVarP(&f.to, "output", "o", "", "file to write: .svg, .pdf or .png")
	cmd.Flags().StringVar(&f.standard, "standard", "iec", "symbols: iec or ieee")
	cmd.Flags().StringVar(&f.values, "values", "prose", "values: prose (4.7 kΩ) or code (4k7)")
	cmd.Flags().StringVar(&f.paper, "paper", "A4", "pages of a PDF: A4, A3 or Letter")
	cmd.Flags().BoolVar(&f.dark, "dark", false, "light lines on dark paper")
	cmd.Flags().BoolVar(&f.bare, "bare", false, "without the title block")
	cmd.Flags().BoolVar(&f.options.TestPoints, "test-points", false, "number the nets and print what a good unit reads there")
	cmd.Flags().BoolVar(&f.options.Waves, "waves", false, "with the test points, sketch how their voltages swing")
	cmd.Flags().StringVar(&f.options.State, "state", "", "state that the voltages hold in (the one with most switched on)")
	cmd.Flags().BoolVar(&f.options.Suspects, "suspects", false, "frame the parts that are suspected")
	cmd.Flags().BoolVar(&f.keep, "keep", false, "keep in the job where the parts stand, so that the next drawing moves little")
	cmd.Flags().BoolVar(&f.options.Afresh, "afresh", false, "place all parts from nothing, whatever the job keeps")
	return cmd
}

func (c *call) draw(ctx context.Context, b *bench.Bench, f drawFlags) error {
	o := f.options
	o.Standard, o.Value = schematic.Standard(f.standard), schematic.ValueStyle(f.values)
	if err := f.check(); err != nil {
		return err
	}
	d, err := b.Drawing(ctx, o)
	if err != nil {
		return err
	}
	if f.keep {
		if err := b.KeepLayout(ctx, d); err != nil {
			return err
		}
	}
	if f.to != "" {
		p := bench.Print{Size: render.Paper(f.paper)}
		if f.dark {
			p.Look = bench.ForNight
		}
		if !f.bare {
			p.Title = b.Snapshot().Document.Unit
			if p.Lines, err = b.TitleLines(ctx, o); err != nil {
				return err
			}
		}
		data, err := bench.RenderDrawing(d, ending(f.to), p)
		if err != nil {
			return err
		}
		if err := writeFile(f.to, data); err != nil {
			return err
		}
		if p.Title != "" && ending(f.to) != "pdf" { // the size of what was written
			if d, err = d.Titled(p.Title, p.Lines); err != nil {
				return err
			}
		}
	}
	return c.answer(d.Metrics, func() {
		m := d.Metrics
		c.line("%g × %g, %d crossings, %d bends, %d overlaps", m.Width, m.Height, m.Crossings, m.Bends, m.Overlaps)
	})
}

// check refuses words that name nothing.
func (f drawFlags) check() error {
	for _, w := range []struct {
		flag, word string
		known      []string
	}{
		{"standard", f.standard, []string{string(schematic.IEC), string(schematic.IEEE)}},
		{"values", f.values, []string{string(schematic.Prose), string(schematic.Code)}},
		{"paper", f.paper, []string{string(render.A4), string(render.A3), string(render.Letter)}},
	} {
		if !slices.Contains(w.known, w.word) {
			return bench.BadInput(fmt.Errorf("--%s takes %s, not %q", w.flag, strings.Join(w.known, " or "), w.word))
		}
	}
	return nil
}

// ending is what a file's name ends with, without the dot.
func ending(path string) string { return strings.ToLower(path[strings.LastIndexByte(path, '.')+1:]) }

func writeFile(path string, data []byte) error {
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return bench.NotDone(err, "choose a folder that you may write to")
	}
	return nil
}
