package copper

import (
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// Three tracks in a row with something between each two that is rather not
// copper: both places are in doubt, though the second hangs on the first.
func TestDoubtsInARow(t *testing.T) {
	prob := raster.NewPlane(300, 200)
	fill := func(x0, y0, x1, y1 int, v float32) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				prob.Set(x, y, v)
			}
		}
	}
	for _, y := range []int{40, 90, 140} {
		fill(40, y, 260, y+14, 1)
	}
	fill(140, 54, 150, 90, 0.42)
	fill(200, 104, 210, 140, 0.38)
	joints := []geom.Point{{X: 60, Y: 47}, {X: 60, Y: 97}, {X: 60, Y: 147}}
	p := &Plate{W: 300, H: 200, Scale: 1, Prob: prob, opts: Options{Joints: joints}}
	p.prepare(&Seen{})
	c, err := p.Nets(t.Context(), Evidence{})
	if err != nil {
		t.Fatal(err)
	}
	got := map[[2]NetID]bool{}
	for _, d := range c.Doubtful {
		got[d.Nets] = true
	}
	for _, want := range [][2]int{{0, 1}, {1, 2}} {
		a, b := *c.Joints[want[0]].Net, *c.Joints[want[1]].Net
		if !got[[2]NetID{min(a, b), max(a, b)}] {
			t.Errorf("the place between tracks %d and %d is not in doubt: %v", want[0]+1, want[1]+1, c.Doubtful)
		}
	}
}
