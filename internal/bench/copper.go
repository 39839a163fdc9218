package bench

import (
	"context"
	"errors"

	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

// Copper is the foil side as nets, the continuity checks included.
//
// What the photograph shows is remembered apart from what samples make of it,
// and that apart from cutting it into nets: a sample doesn't look at every
// pixel again, and a brush stroke, a cut or a join answers at once. Weighing checks costs
// several times as much, and is left out where nobody has taken any.
func (b *Bench) Copper(ctx context.Context) (*copper.Copper, error) {
	p, err := b.Probed(ctx)
	if err != nil {
		return nil, err
	}
	return p.Copper, nil
}

// look is what the foil photograph shows, and the key of all that it hangs on.
func (b *Bench) look(ctx context.Context, d job.Document) (*copper.Plate, string, error) {
	foil, err := b.Photo(ctx, job.FoilSide)
	if err != nil {
		return nil, "", err
	}
	ev := copperEvidence(d)
	mm := b.mmPerFoilPixel(ctx)
	all, err := b.Further(ctx)
	if err != nil {
		return nil, "", err
	}
	further := usable(all)
	shown := seenKey(foil, further)
	look := key(shown, ev.Copper, ev.Bare, mm)
	plate, err := remember(ctx, &b.memo, "plate", look, func(ctx context.Context) (*copper.Plate, error) {
		opts := copper.Options{MMPerPixel: mm, Progress: b.reporter("copper")}
		seen, err := b.seen(ctx, foil, further, opts)
		if err != nil {
			return nil, err
		}
		p, err := seen.Look(ctx, ev, opts)
		return p, copperFault(err)
	})
	return plate, look, err
}

// seen is what a photograph, with those laid on it, shows of copper: it stays,
// whatever a person points at.
func (b *Bench) seen(ctx context.Context, p *photo.Photo, further []FurtherPhoto, opts copper.Options) (*copper.Seen, error) {
	return remember(ctx, &b.memo, "seen", seenKey(p, further), func(ctx context.Context) (*copper.Seen, error) {
		looks, err := b.furtherLooks(ctx, further)
		if err != nil {
			return nil, err
		}
		opts.Further = looks
		return copper.See(ctx, p.Pixels, opts)
	})
}

// seenKey says which photographs are looked at, and how.
func seenKey(p *photo.Photo, further []FurtherPhoto) string {
	parts := []any{p.SHA256}
	for _, f := range further {
		parts = append(parts, f.SHA256, f.Backlit)
	}
	return key(parts...)
}

// unprobed is the copper as the photograph and the person's marks have it,
// before any continuity check.
func (b *Bench) unprobed(ctx context.Context, plate *copper.Plate, look string, d job.Document) (*copper.Copper, error) {
	ev := copperEvidence(d)
	return remember(ctx, &b.memo, "nets", key(look, ev), func(ctx context.Context) (*copper.Copper, error) {
		c, err := plate.Nets(ctx, ev)
		return c, copperFault(err)
	})
}

func copperFault(err error) error {
	var outside *copper.OutsideError
	switch {
	case errors.As(err, &outside):
		return BadInput(err)
	case errors.Is(err, copper.ErrNoSamples):
		return NotDone(err)
	}
	return err
}

// copperEvidence is what the person marked on the foil photograph.
func copperEvidence(d job.Document) copper.Evidence {
	ev := copper.Evidence{Copper: points(d.Copper.Samples.Copper), Bare: points(d.Copper.Samples.Bare)}
	for _, s := range d.Copper.Strokes {
		ev.Strokes = append(ev.Strokes, copper.Stroke{Points: points(s.Path), Radius: s.Width / 2, Copper: !s.Bare})
	}
	ev.Cuts, ev.Joins = segments(d.Copper.Cuts), segments(d.Copper.Joins)
	return ev
}

func points(in []job.Pixel) []geom.Point {
	out := make([]geom.Point, len(in))
	for i, p := range in {
		out[i] = p.Point()
	}
	return out
}

func segments(in []job.Segment) []copper.Segment {
	out := make([]copper.Segment, len(in))
	for i, s := range in {
		out[i] = copper.Segment{From: s.From.Point(), To: s.To.Point()}
	}
	return out
}
