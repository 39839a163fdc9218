package bench

import (
	"context"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// NetLook is one net of the foil side looked at closely.
type NetLook struct {
	Tracks     *board.Track // nil where it has no track
	Neighbours []board.Facing
	MMPerPixel float64 // of the foil photo on the board, 0 where unknown
}

// NetLook measures a net's tracks and how near its neighbours come.
func (b *Bench) NetLook(ctx context.Context, net copper.NetID) (*NetLook, error) {
	c, err := b.Copper(ctx)
	if err != nil {
		return nil, err
	}
	if net < 1 || int(net) > len(c.Nets) {
		return nil, badf("the copper has no net N%d; it has %d", net, len(c.Nets))
	}
	mm := b.mmPerFoilPixel(ctx)
	var pads []geom.Point
	for _, j := range c.Joints {
		if j.Net != nil && *j.Net == net {
			pads = append(pads, geom.Point{X: j.X, Y: j.Y})
		}
	}
	out := &NetLook{MMPerPixel: mm, Neighbours: board.Around(c.Labels, net, neighbourhood(c.Labels, mm))}
	if t, ok := board.Tracks(c.Labels, net, pads); ok {
		out.Tracks = &t
	}
	return out, nil
}

// neighbourhood is how far away a net counts as a neighbour, in foil pixels:
// 8 mm, beyond which no voltage in scope creeps over a board, or without a
// scale a tenth of the photo's width.
func neighbourhood(l copper.Labels, mm float64) float64 {
	tenth := float64(l.W*l.Scale) / 10
	if mm <= 0 {
		return tenth
	}
	return min(8/mm, 2*tenth)
}

// Answered is the evidence that a person's answer to the doubtful place at a
// foil pixel amounts to: where it is joined, the two places of the pieces that
// are one, else a line across it.
func (b *Bench) Answered(ctx context.Context, at geom.Point, joined bool) (copper.Segment, error) {
	c, err := b.Copper(ctx)
	if err != nil {
		return copper.Segment{}, err
	}
	for _, d := range c.Doubtful {
		if at.Dist(geom.Point{X: d.X, Y: d.Y}) > 1 {
			continue
		}
		if joined {
			return copper.Segment{From: d.Between[0], To: d.Between[1]}, nil
		}
		return c.Across(d), nil
	}
	return copper.Segment{}, badf("no place at %.0f, %.0f is in doubt any more; look at the list of doubtful places again", at.X, at.Y)
}
