package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/schematic"
)

// Drawing is the schematic as SVG.
func (l *live) Drawing(ctx context.Context, standard, look string) ([]byte, error) {
	d, err := l.bench.Drawing(ctx, bench.DrawOptions{Standard: standardOf(standard)})
	if err != nil {
		return nil, fault(err)
	}
	paper := bench.ForScreen
	if look == string(bench.ForNight) || look == string(bench.ForPrint) {
		paper = bench.Paper(look)
	}
	p := bench.Print{Look: paper}
	if paper == bench.ForPrint { // it is kept, not shown on the page
		p.Title = l.bench.Snapshot().Document.Unit
		if p.Lines, err = l.bench.TitleLines(ctx, bench.DrawOptions{Standard: standardOf(standard)}); err != nil {
			return nil, fault(err)
		}
	}
	data, err := bench.RenderDrawing(d, "svg", p)
	return data, fault(err)
}

func standardOf(name string) schematic.Standard {
	if name == string(schematic.IEEE) {
		return schematic.IEEE
	}
	return schematic.IEC
}

// planHand moves parts on the drawing as the page shows it.
func (l *live) planHand(ctx context.Context, c Command) (revision, string, error) {
	if c.Hand == nil {
		return nil, "", lacking(c.Do)
	}
	if c.Hand.Move == "anew" {
		l.bench.ForgetPlaces()
		return func(d *job.Document) error {
			d.Layout = nil
			return nil
		}, "Place all parts of the drawing anew", nil
	}
	h := schematic.Hand{Move: schematic.HandMove(c.Hand.Move), Right: c.Hand.Right, Down: c.Hand.Down}
	for _, p := range c.Hand.Parts {
		h.Parts = append(h.Parts, circuit.PartRef(p))
	}
	change, label, err := l.bench.Hand(ctx, bench.DrawOptions{Standard: standardOf(c.Hand.Standard)}, h)
	return change, label, fault(err)
}

// Sheet is the service sheet.
func (l *live) Sheet(ctx context.Context, form string) ([]byte, error) {
	data, err := l.bench.Sheet(ctx, bench.SheetOptions{Form: form, Standard: schematic.IEC})
	return data, fault(err)
}
