package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

func copperVerb(c *call) *cobra.Command {
	var at []string
	cmd := c.onJob("copper JOB", "turn the copper of the foil-side photograph into nets",
		`Finds the nets, the joints on them and the places that decide whether two pieces
of copper are one, the place most worth checking first. With --at it tells which
net a foil pixel is on; a hole or a pad's middle takes the copper around it.
Where the job says that the component side has copper too (copper: {upper: plated}
or plain), it also tells which nets of the two faces are one. Close-ups and backlit
photographs (photos: {further: [near.jpg, {file: lamp.jpg, backlit: yes}]}) are used
where they show more.`,
		"  foilside copper amplifier.foilside --at 412,318 --at 498,320 --json",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			places, err := parsePlaces(at)
			if err != nil {
				return bench.BadInput(err)
			}
			got, err := b.Copper(ctx)
			if err != nil {
				return err
			}
			if err := c.noteUnused(ctx, b); err != nil {
				return err
			}
			answer := copperAnswer{Copper: *got}
			if answer.Faces, err = b.BothFaces(ctx); err != nil {
				return err
			}
			answer.Asked = []copper.Answer{}
			for _, p := range places {
				answer.Asked = append(answer.Asked, got.At(p))
			}
			return c.answer(answer, func() { c.printCopper(answer) })
		})
	cmd.Flags().StringArrayVar(&at, "at", nil, "foil pixel x,y to ask about (repeatable)")
	return cmd
}

// noteUnused says which of the further photographs aren't used, and why.
func (c *call) noteUnused(ctx context.Context, b *bench.Bench) error {
	further, err := b.Further(ctx)
	for _, f := range further {
		if f.Unusable != nil {
			c.note("%s is not used: %v", f.File, f.Unusable)
		}
	}
	return err
}

// copperAnswer is the foil side's copper and, where the job says that there is
// copper on the component side, what joins the two.
type copperAnswer struct {
	copper.Copper
	Faces *bench.BothFaces `json:"faces,omitempty"`
}

func (c *call) printCopper(got copperAnswer) {
	c.line("%d nets, %d joints, %d doubtful places", len(got.Nets), len(got.Joints), len(got.Doubtful))
	for _, a := range got.Asked {
		net := "no net"
		if a.Net != nil {
			net = fmt.Sprintf("net %d", *a.Net)
		}
		c.line("at %g,%g: %s (confidence %.2f)", a.X, a.Y, net, a.Confidence)
	}
	for i, d := range got.Doubtful {
		if i == 10 {
			c.line("… and %d more doubtful places", len(got.Doubtful)-10)
			break
		}
		c.line("doubtful at %.0f,%.0f: nets %d and %d, joined with probability %.2f", d.X, d.Y, d.Nets[0], d.Nets[1], d.ProbabilityJoined)
	}
	if f := got.Faces; f != nil {
		c.line("both faces: %d nets through %d joints, %d of them doubtful", len(f.Nets), len(f.Bonds), len(f.Doubtful))
	}
}

// parsePlaces reads x,y pairs.
func parsePlaces(texts []string) ([]geom.Point, error) {
	var out []geom.Point
	for _, t := range texts {
		xs, ys, ok := strings.Cut(t, ",")
		x, errX := strconv.ParseFloat(strings.TrimSpace(xs), 64)
		y, errY := strconv.ParseFloat(strings.TrimSpace(ys), 64)
		p := geom.Point{X: x, Y: y}
		if !ok || errX != nil || errY != nil || !p.Finite() {
			return nil, fmt.Errorf("--at %s is no place; write two pixel numbers with a comma: --at 412,318", t)
		}
		out = append(out, p)
	}
	return out, nil
}
