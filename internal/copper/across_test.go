package copper

import (
	"math"
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// Two tracks 30 pixels apart with something between them that may be copper:
// the line across it lies at right angles to the way from one to the other,
// and as a cut it settles the place.
func TestTheLineAcrossADoubtfulPlace(t *testing.T) {
	rows := []struct {
		name   string
		turned bool
		prob   float32
		wide   int
	}{
		{"hardly copper, upwards", false, 0.3, 10},
		{"likely copper, upwards", false, 0.8, 10},
		{"wide, upwards", false, 0.6, 40},
		{"hardly copper, sideways", true, 0.3, 10},
		{"likely copper, sideways", true, 0.8, 10},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			prob, turn := raster.NewPlane(300, 300), func(x, y int) (int, int) { return x, y }
			if row.turned {
				turn = func(x, y int) (int, int) { return y, x }
			}
			fill := func(x0, y0, x1, y1 int, v float32) {
				for y := y0; y < y1; y++ {
					for x := x0; x < x1; x++ {
						px, py := turn(x, y)
						prob.Set(px, py, v)
					}
				}
			}
			fill(40, 62, 260, 72, 1)
			fill(40, 102, 260, 122, 1)
			fill(140, 72, 140+row.wide, 102, row.prob)
			fill(140, 87, 140+row.wide, 88, row.prob-0.05) // the deciding place
			ends := [2]geom.Point{{X: 60, Y: 67}, {X: 60, Y: 112}}
			if row.turned {
				ends = [2]geom.Point{{X: 67, Y: 60}, {X: 112, Y: 60}}
			}
			p := &Plate{W: 300, H: 300, Scale: 1, Prob: prob, opts: Options{Joints: ends[:]}}
			p.prepare(&Seen{})
			c, err := p.Nets(t.Context(), Evidence{})
			if err != nil {
				t.Fatal(err)
			}
			if len(c.Doubtful) != 1 {
				t.Fatalf("%d places in doubt, want the one between the tracks", len(c.Doubtful))
			}
			line := c.Across(c.Doubtful[0])
			dx, dy := math.Abs(line.From.X-line.To.X), math.Abs(line.From.Y-line.To.Y)
			if row.turned {
				dx, dy = dy, dx
			}
			if dy > dx/4 || dx < float64(row.wide) {
				t.Errorf("the line from %v to %v does not cross what joins the tracks", line.From, line.To)
			}
			cut, err := p.Nets(t.Context(), Evidence{Cuts: []Segment{line}})
			if err != nil {
				t.Fatal(err)
			}
			if *cut.Joints[0].Net == *cut.Joints[1].Net || len(cut.Doubtful) != 0 {
				t.Errorf("after the cut the joints are on %d and %d, with %d places in doubt", *cut.Joints[0].Net, *cut.Joints[1].Net, len(cut.Doubtful))
			}
		})
	}
}
