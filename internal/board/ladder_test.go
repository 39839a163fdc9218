package board_test

import (
	"context"
	"sync"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// rungs is how many tracks a ladder has.
const rungs = 5

// ladder is a photographed board of five tracks side by side, with a joint at
// either end of each. Between the first two there is said to be a doubtful
// bridge, in the third a doubtful break; the fourth and fifth are sure.
type ladder struct {
	copper *copper.Copper
	web    *board.Web
	joint  [rungs][2]geom.Point // foil pixels
}

// ladderBoard is the board: tracks 2 mm wide, 4 mm apart, 40 mm long.
func ladderBoard() specimen.Board {
	b := specimen.Board{Name: "ladder", Size: geom.Point{X: 56, Y: 30}, Laminate: specimen.Phenolic, Finish: specimen.Tinned}
	nets := []string{"a", "b", "c", "d", "e"}
	for k, net := range nets {
		ends := []geom.Point{{X: 8, Y: 7 + 4*float64(k)}, {X: 48, Y: 7 + 4*float64(k)}}
		b.Tracks = append(b.Tracks, specimen.Track{Net: net, Width: 2, Path: ends})
		for _, at := range ends {
			b.Pads = append(b.Pads, specimen.Pad{Net: net, At: at, Diameter: 2.4, Hole: 0.9, Solder: specimen.Solder{Spread: 1.1, Height: 0.6, Convex: 0.3, Dull: 0.4}})
		}
	}
	return b
}

// photographed is made once for all tests: they only read it.
var photographed = sync.OnceValues(func() (*ladder, error) {
	ctx := context.Background()
	s, err := specimen.Render(ctx, ladderBoard(), specimen.PlainShot(1000, 1))
	if err != nil {
		return nil, err
	}
	p, err := photo.Decode(ctx, s.Foil.JPEG, "ladder")
	if err != nil {
		return nil, err
	}
	l := &ladder{}
	var opts copper.Options
	for i, j := range s.Truth.Joints {
		l.joint[i/2][i%2] = j.Foil
		opts.Joints = append(opts.Joints, j.Foil)
	}
	middle := func(a, b geom.Point) geom.Point { return a.Add(b).Scale(0.5) }
	ev := copper.Evidence{Copper: []geom.Point{middle(l.left(0), l.right(0))}, Bare: []geom.Point{middle(middle(l.left(0), l.right(0)), middle(l.left(1), l.right(1)))}}
	plate, err := copper.Look(ctx, p.Pixels, ev, opts)
	if err != nil {
		return nil, err
	}
	if l.copper, err = plate.Nets(ctx, ev); err != nil {
		return nil, err
	}
	doubt := func(a, b geom.Point, p float64, pairs int) copper.Doubt {
		x, y := *l.copper.At(a).Net, *l.copper.At(b).Net
		at := middle(a, b)
		return copper.Doubt{X: at.X, Y: at.Y, Nets: [2]copper.NetID{min(x, y), max(x, y)}, ProbabilityJoined: p, Pairs: pairs, Between: [2]geom.Point{a, b}}
	}
	if len(l.copper.Nets) != rungs {
		return l, nil
	}
	l.copper.Doubtful = []copper.Doubt{doubt(l.left(0), l.left(1), 0.3, 4), doubt(l.left(2), l.right(2), 0.8, 1)}
	ev.Measured = board.Apart(l.copper)
	parted, err := plate.Nets(ctx, ev)
	if err != nil {
		return nil, err
	}
	l.web = board.NewWeb(l.copper, parted)
	return l, nil
})

func newLadder(t *testing.T) *ladder {
	t.Helper()
	l, err := photographed()
	if err != nil {
		t.Fatal(err)
	}
	if len(l.copper.Nets) != rungs {
		t.Fatalf("%d nets, want the five tracks", len(l.copper.Nets))
	}
	return l
}

// left and right are the joints at the ends of a track.
func (l *ladder) left(track int) geom.Point  { return l.joint[track][0] }
func (l *ladder) right(track int) geom.Point { return l.joint[track][1] }

// track is the track whose joint a place is, -1 for none.
func (l *ladder) track(at geom.Point) int {
	for k, ends := range l.joint {
		if at.Dist(ends[0]) < 1 || at.Dist(ends[1]) < 1 {
			return k
		}
	}
	return -1
}
