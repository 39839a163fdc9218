package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/schematic"
)

// Drawing is the schematic.
func (l *live) Drawing(ctx context.Context, w DrawingWish) ([]byte, error) {
	o := bench.DrawOptions{Standard: standardOf(w.Standard), TestPoints: w.Points, Suspects: w.Suspects}
	if w.Values == string(schematic.Code) {
		o.Value = schematic.Code
	}
	d, err := l.bench.Drawing(ctx, o)
	if err != nil {
		return nil, fault(err)
	}
	paper := bench.ForScreen
	if w.Look == string(bench.ForNight) || w.Look == string(bench.ForPrint) {
		paper = bench.Paper(w.Look)
	}
	p := bench.Print{Look: paper}
	if paper == bench.ForPrint { // it is kept, not shown on the page
		p.Title = l.bench.Snapshot().Document.Unit
		if p.Lines, err = l.bench.TitleLines(ctx, o); err != nil {
			return nil, fault(err)
		}
	}
	form := w.Form
	if form == "" {
		form = "svg"
	}
	data, err := bench.RenderDrawing(d, form, p)
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
