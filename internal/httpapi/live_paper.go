package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/render"
	"foilside/internal/schematic"
)

// Drawing is the schematic as SVG.
func (l *live) Drawing(ctx context.Context, standard string) ([]byte, error) {
	o := bench.DrawOptions{Standard: schematic.IEC}
	if standard == string(schematic.IEEE) {
		o.Standard = schematic.IEEE
	}
	d, err := l.bench.Drawing(ctx, o)
	if err != nil {
		return nil, fault(err)
	}
	return render.SVG(d, render.WarmPaper()), nil
}
