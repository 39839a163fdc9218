package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/job"
)

// AddFurther takes one more photograph of the foil side in.
func (l *live) AddFurther(ctx context.Context, name string, data []byte, backlit bool) (Job, error) {
	s, err := l.bench.AddFurther(ctx, name, data, backlit)
	return l.wire(ctx, s), fault(err)
}

// Further tells which of the further photographs are used.
func (l *live) Further(ctx context.Context) ([]Further, error) {
	found, err := l.bench.Further(ctx)
	return each(found, furtherWire), fault(err)
}

func furtherWire(f bench.FurtherPhoto) Further {
	out := Further{FurtherPhoto: furtherPhotoWire(f.FurtherPhoto), Width: f.Width, Height: f.Height}
	if f.Unusable != nil {
		p := problemOf(fault(f.Unusable))
		out.Unusable, out.Next = p.Detail, p.Next
	}
	return out
}

func furtherPhotoWire(f job.FurtherPhoto) FurtherPhoto {
	return FurtherPhoto{Name: f.File, Backlit: f.Backlit}
}
