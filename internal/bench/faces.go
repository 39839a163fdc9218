package bench

import (
	"context"
	"errors"
	"math"

	"foilside/internal/align"
	"foilside/internal/job"
	"foilside/internal/num/geom"
)

// Faces is one photograph laid over the other, with the board's millimetres.
type Faces struct {
	Alignment align.Alignment
	Frame     align.Frame
}

// Faces lays the component-side photograph over the foil-side one: from the
// pairs that a person marked where there are enough, else by itself.
func (b *Bench) Faces(ctx context.Context) (*Faces, error) {
	d := b.document()
	component, err := b.Photo(ctx, job.ComponentSide)
	if err != nil {
		return nil, err
	}
	foil, err := b.Photo(ctx, job.FoilSide)
	if err != nil {
		return nil, err
	}
	k := key(component.SHA256, foil.SHA256, d.Align, d.Scale)
	return remember(ctx, &b.memo, "faces", k, func(ctx context.Context) (*Faces, error) {
		opts := align.Options{Progress: b.reporter("align")}
		// What the photos show stays, however many pairs a person marks.
		sight, err := remember(ctx, &b.memo, "sight", key(component.SHA256, foil.SHA256), func(ctx context.Context) (*align.Sight, error) {
			return align.Look(ctx, component, foil, opts)
		})
		if err != nil {
			return nil, err
		}
		a, err := sight.Find(ctx, alignPairs(d.Align), opts)
		if err != nil {
			return nil, alignFault(err)
		}
		f := &Faces{Alignment: a}
		f.Frame, err = align.NewFrame(&f.Alignment, alignScale(d.Scale))
		return f, alignFault(err)
	})
}

func alignPairs(pairs []job.PointPair) []align.Pair {
	out := make([]align.Pair, len(pairs))
	for i, p := range pairs {
		out[i] = align.Pair{Component: p.Component.Point(), Foil: p.Foil.Point()}
	}
	return out
}

func alignScale(s *job.Scale) *align.Scale {
	if s == nil {
		return nil
	}
	return &align.Scale{From: s.From.Point(), To: s.To.Point(), MM: s.MM, On: align.Side(s.On)}
}

func alignFault(err error) error {
	var p *align.Problem
	if !errors.As(err, &p) {
		return err
	}
	if p.Kind == align.Unsure || p.Kind == align.NoBoard {
		return NotDone(errors.New(p.Reason), p.Next())
	}
	return BadInput(errors.New(p.Reason), p.Next())
}

// Align is the alignment in the words of the command line.
func (b *Bench) Align(ctx context.Context) (align.Report, error) {
	f, err := b.Faces(ctx)
	if err != nil {
		return align.Report{}, err
	}
	return f.Alignment.Report(f.Frame), nil
}

// mmPerFoilPixel is the length of a foil pixel on the board, or 0 where no
// scale was given. A scale on the foil photo needs no alignment.
func (b *Bench) mmPerFoilPixel(ctx context.Context) float64 {
	s := b.document().Scale
	if s == nil {
		return 0
	}
	if s.On == job.FoilSide {
		apart := s.From.Point().Dist(s.To.Point())
		if apart < 1 {
			return 0
		}
		return s.MM / apart
	}
	f, err := b.Faces(ctx)
	if err != nil || f.Frame.Assumed {
		return 0
	}
	middle := geom.Point{X: float64(f.Alignment.Sizes.Foil.Width) / 2, Y: float64(f.Alignment.Sizes.Foil.Height) / 2}
	mm := f.Frame.MMPerFoilPixel(middle)
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return 0
	}
	return mm
}
