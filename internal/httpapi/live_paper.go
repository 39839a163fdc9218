package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/schematic"
)

// Drawing is the schematic as SVG.
func (l *live) Drawing(ctx context.Context, standard, look string) ([]byte, error) {
	o := bench.DrawOptions{Standard: schematic.IEC}
	if standard == string(schematic.IEEE) {
		o.Standard = schematic.IEEE
	}
	d, err := l.bench.Drawing(ctx, o)
	if err != nil {
		return nil, fault(err)
	}
	paper := bench.ForScreen
	if look == string(bench.ForNight) || look == string(bench.ForPrint) {
		paper = bench.Paper(look)
	}
	data, err := bench.RenderDrawing(d, "svg", paper)
	return data, fault(err)
}

// Sheet is the service sheet.
func (l *live) Sheet(ctx context.Context, form string) ([]byte, error) {
	data, err := l.bench.Sheet(ctx, bench.SheetOptions{Form: form, Standard: schematic.IEC})
	return data, fault(err)
}
