package bench

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"foilside/internal/align"
	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/num/geom"
)

// BothFaces is the copper of both faces as one net list.
type BothFaces struct {
	board.FacesJoined
	// Component is the copper of the component side, in its photograph's pixels.
	Component *copper.Copper `json:"component"`
}

// BothFaces joins the copper of the component side to that of the foil side,
// through the holes. It is nil for a job that doesn't say that there is any
// (copper: {upper: plated} or plain).
func (b *Bench) BothFaces(ctx context.Context) (*BothFaces, error) {
	d := b.document()
	if d.Copper.Upper == "" {
		return nil, nil
	}
	foil, err := b.Copper(ctx)
	if err != nil {
		return nil, err
	}
	return b.bothFaces(ctx, d, foil)
}

// bothFaces joins the component side's copper to the given copper of the foil
// side.
func (b *Bench) bothFaces(ctx context.Context, d job.Document, foil *copper.Copper) (*BothFaces, error) {
	over, err := b.Faces(ctx)
	if err != nil {
		return nil, err
	}
	photo, err := b.Photo(ctx, job.ComponentSide)
	if err != nil {
		return nil, err
	}
	upper, err := remember(ctx, &b.memo, "upper", photo.SHA256, func(ctx context.Context) (*copper.Copper, error) {
		opts := copper.Options{Progress: b.reporter("copper of the component side")}
		seen, err := b.seen(ctx, photo, nil, opts)
		if err != nil {
			return nil, err
		}
		plate, err := seen.Look(ctx, copper.Evidence{}, opts)
		if err != nil {
			return nil, copperFault(err)
		}
		return plate.Nets(ctx, copper.Evidence{})
	})
	if err != nil {
		return nil, err
	}
	k := key(photo.SHA256, over.Alignment.Exact, over.Alignment.Lens, foil.Nets, foil.Joints, d.Copper.Upper)
	return remember(ctx, &b.memo, "both faces", k, func(context.Context) (*BothFaces, error) {
		joined, err := board.JoinFaces(board.FacesInput{
			Foil: foil, Upper: upper, Holes: board.Holes(d.Copper.Upper),
			ToUpper: over.Alignment.ToComponent, Sigma: sigmaOnComponent(&over.Alignment),
		})
		return &BothFaces{joined, upper}, BadInput(err)
	})
}

// sigmaOnComponent is how far ToComponent may be off at a foil pixel, in
// component pixels.
func sigmaOnComponent(a *align.Alignment) func(foil geom.Point) float64 {
	return func(foil geom.Point) float64 {
		p := a.ToComponent(foil)
		scale := a.ToFoil(p.Add(geom.Point{X: 1})).Dist(foil)
		if scale <= 0 {
			return 0
		}
		return a.Uncertainty(p).Major / scale
	}
}

// throughWires are the connections that the component side's copper makes
// between foil-side nets that carry names, as wires of the document. What
// keeps them from being known is told as a problem.
func (b *Bench) throughWires(ctx context.Context, d job.Document, foil *copper.Copper, landed board.Landed) ([]job.Wire, []circuit.Problem, error) {
	if d.Copper.Upper == "" {
		return nil, nil, nil
	}
	both, err := b.bothFaces(ctx, d, withPlaced(foil, landed))
	var f *Fault
	switch {
	case errors.As(err, &f):
		return nil, []circuit.Problem{{Warning: true,
			Text: "the copper of the component side joins nothing yet: " + f.Error()}}, nil
	case err != nil:
		return nil, nil, err
	}
	var problems []circuit.Problem
	if n := len(both.Doubtful); n > 0 {
		first := both.Doubtful[0]
		problems = append(problems, circuit.Problem{Warning: true, Text: fmt.Sprintf(
			"%d joints may or may not join the copper of the two faces; check the first, at foil pixel %.0f, %.0f, for continuity from face to face", n, first.X, first.Y)})
	}
	return joinedWires(both.FacesJoined, landed), problems, nil
}

// withPlaced is the copper with a joint wherever a lead was placed on it: a
// person sees joints that the tracer missed.
func withPlaced(c *copper.Copper, landed board.Landed) *copper.Copper {
	out := *c
	out.Joints = slices.Clone(c.Joints)
	for _, p := range landed.Placed {
		if slices.ContainsFunc(out.Joints, func(j copper.Joint) bool { return geom.Point{X: j.X, Y: j.Y}.Dist(p.At) < 1 }) {
			continue
		}
		net := p.Copper
		out.Joints = append(out.Joints, copper.Joint{X: p.At.X, Y: p.At.Y, Net: &net})
	}
	return &out
}

// joinedWires puts a wire from the first name of every net over both faces to
// each of its other names.
func joinedWires(j board.FacesJoined, landed board.Landed) []job.Wire {
	var out []job.Wire
	for _, n := range j.Nets {
		var first circuit.NetID
		for _, id := range n.Foil {
			name, ok := landed.Names[id]
			switch {
			case !ok:
			case first == "":
				first = name
			case name != first:
				out = append(out, job.Wire{From: job.Place{Net: first}, To: job.Place{Net: name}})
			}
		}
	}
	return out
}
