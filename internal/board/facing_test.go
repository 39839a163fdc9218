package board_test

import (
	"math"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// drawn is a label plane of straight tracks: net n is the n-th track.
type drawn struct{ x0, y0, x1, y1, width float64 }

func labels(w, h, scale int, tracks ...drawn) copper.Labels {
	l := copper.Labels{W: w, H: h, Scale: scale, Of: make([]copper.NetID, w*h)}
	for n, k := range tracks {
		a, b := geom.Point{X: k.x0, Y: k.y0}, geom.Point{X: k.x1, Y: k.y1}
		along := b.Sub(a).Scale(1 / b.Dist(a))
		for i := range l.Of {
			q := geom.Point{X: float64(i % w), Y: float64(i / w)}.Sub(a)
			t, s := q.X*along.X+q.Y*along.Y, q.X*along.Y-q.Y*along.X
			if t >= 0 && t <= b.Dist(a) && math.Abs(s) <= k.width/2 {
				l.Of[i] = copper.NetID(n + 1)
			}
		}
	}
	return l
}

func TestAround(t *testing.T) {
	rows := []struct {
		name   string
		labels copper.Labels
		want   map[copper.NetID]float64 // width in foil pixels
	}{
		{"side by side, 10 between", labels(200, 100, 1, drawn{20, 30, 180, 30, 8}, drawn{20, 48, 180, 48, 8}), map[copper.NetID]float64{2: 9}},
		{"the same on a photo twice as large", labels(200, 100, 2, drawn{20, 30, 180, 30, 8}, drawn{20, 48, 180, 48, 8}), map[copper.NetID]float64{2: 18}},
		// Two lines at 45°, 20 apart from middle to middle, each 8 wide.
		{"slanting", labels(200, 200, 1, drawn{20, 20, 160, 160, 8}, drawn{20 + 20*math.Sqrt2, 20, 180, 180 - 20*math.Sqrt2, 8}), map[copper.NetID]float64{2: 12}},
		{"a third between hides the farther", labels(200, 100, 1, drawn{20, 20, 180, 20, 8}, drawn{20, 40, 180, 40, 8}, drawn{20, 60, 180, 60, 8}), map[copper.NetID]float64{2: 11}},
		{"too far", labels(200, 100, 1, drawn{20, 10, 180, 10, 4}, drawn{20, 90, 180, 90, 4}), map[copper.NetID]float64{}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			got := board.Around(row.labels, 1, 60)
			if len(got) != len(row.want) {
				t.Fatalf("%d neighbours, want %d: %v", len(got), len(row.want), got)
			}
			for _, f := range got {
				scale := float64(row.labels.Scale)
				if math.Abs(f.Width-row.want[f.Net]) > scale {
					t.Errorf("net %d is %.1f away, want %.1f within a working pixel", f.Net, f.Width, row.want[f.Net])
				}
				if row.labels.At(f.From) != 1 || row.labels.At(f.To) != f.Net {
					t.Errorf("the gap goes from net %d to %d", row.labels.At(f.From), row.labels.At(f.To))
				}
			}
		})
	}
}

func TestTracks(t *testing.T) {
	neck := labels(300, 100, 1, drawn{20, 50, 280, 50, 14})
	for y := range 100 { // filed down to 6 pixels for a while
		for x := 140; x < 160; x++ {
			if y < 47 || y > 52 {
				neck.Of[y*300+x] = 0
			}
		}
	}
	rows := []struct {
		name         string
		labels       copper.Labels
		pads         []geom.Point
		usual, least float64
	}{
		{"level", labels(300, 100, 1, drawn{20, 50, 280, 50, 10}), nil, 11, 11},
		{"thin", labels(300, 100, 1, drawn{20, 50, 280, 50, 4}), nil, 5, 5},
		{"at 30 degrees", labels(300, 300, 1, drawn{20, 40, 20 + 200*math.Sqrt(3)/2, 140, 10}), nil, 10, 10},
		{"at 45 degrees, on a photo twice as large", labels(300, 300, 2, drawn{20, 20, 200, 200, 10}), nil, 20, 20},
		{"with a neck", neck, nil, 15, 6},
		{"with a neck at a pad that does not count", neck, []geom.Point{{X: 150, Y: 50}}, 15, 15},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			got, ok := board.Tracks(row.labels, 1, row.pads)
			tol := 1.5 * float64(row.labels.Scale)
			if !ok || math.Abs(got.Usual-row.usual) > tol || math.Abs(got.Least-row.least) > tol {
				t.Errorf("%v, usually %.1f and at least %.1f at %v, want %.0f and %.0f", ok, got.Usual, got.Least, got.Narrow, row.usual, row.least)
			}
		})
	}
	if got, ok := board.Tracks(labels(100, 100, 1), 1, nil); ok {
		t.Errorf("a net that is nowhere has tracks %v", got)
	}
}
