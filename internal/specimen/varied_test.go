package specimen

import (
	"bytes"
	"context"
	"image"
	"slices"
	"testing"

	"foilside/internal/num/geom"
)

func variedBoard(t *testing.T, seed uint64, width int) (Board, Face) {
	t.Helper()
	b, _, err := Varied(context.Background(), seed)
	if err != nil {
		t.Fatal(err)
	}
	f, err := RenderVaried(context.Background(), seed, width)
	if err != nil {
		t.Fatal(err)
	}
	return b, f
}

func TestVariedIsTheSameEveryTime(t *testing.T) {
	for _, seed := range []uint64{3, 8} {
		_, a := variedBoard(t, seed, 300)
		_, b := variedBoard(t, seed, 300)
		if !bytes.Equal(a.JPEG, b.JPEG) || !bytes.Equal(a.Class.Pix, b.Class.Pix) || !bytes.Equal(a.Copper.Pix, b.Copper.Pix) {
			t.Errorf("seed %d gave two different photographs", seed)
		}
	}
}

// The truth is held against the board's own geometry, place by place.
func TestVariedTruthFollowsTheBoard(t *testing.T) {
	for seed := range uint64(5) {
		b, f := variedBoard(t, seed, 500)
		c := &classCheck{b: &b, shapes: shapesOf(&b)}
		for y := 0; y < f.View.Height; y += 11 {
			for x := 0; x < f.View.Width; x += 11 {
				mm := f.View.ToBoard(geom.Point{X: float64(x), Y: float64(y)})
				c.at(mm, Class(f.Class.GrayAt(x, y).Y))
			}
		}
		if c.wrong*200 > c.seen {
			t.Errorf("seed %d: %d of %d places are not what the board says", seed, c.wrong, c.seen)
		}
	}
}

// classCheck counts the places whose class the board's shapes contradict.
// Places within 0.3 mm of an edge, and under things that lie on the board,
// are left out.
type classCheck struct {
	b           *Board
	shapes      []shape
	seen, wrong int
}

func (c *classCheck) at(mm geom.Point, got Class) {
	d := c.b.boardDistance(mm)
	switch {
	case d > 0.3:
		c.count(got == Background || got == WireClass)
	case d > -0.3 || got == WireClass || c.covered(mm):
	default:
		cu := c.copperDistance(mm)
		if cu < -0.3 {
			c.count(got == CopperClass || got == SolderClass || got == HoleClass)
		} else if cu > 0.3 {
			c.count(got == BareBoard || got == SolderClass && c.nearPad(mm) || got == HoleClass && c.inMount(mm) || got == CopperClass && len(c.b.Etched) > 0)
		}
	}
}

func (c *classCheck) count(ok bool) {
	c.seen++
	if !ok {
		c.wrong++
	}
}

func (c *classCheck) copperDistance(mm geom.Point) float64 {
	best := far
	spot := stroke{a: mm, b: mm}
	for _, s := range c.shapes {
		for _, k := range s.strokes {
			best = min(best, k.gap(spot))
		}
		if len(s.contours) > 0 {
			edge := far
			for _, k := range s.all() {
				edge = min(edge, k.gap(spot))
			}
			if inside(s.contours, mm) {
				edge = -edge
			}
			best = min(best, edge)
		}
	}
	return best
}

func (c *classCheck) nearPad(mm geom.Point) bool {
	return slices.ContainsFunc(c.b.Pads, func(p Pad) bool { return p.At.Dist(mm) < p.Diameter/2+5 }) || len(c.b.Look.Wires) > 0
}

func (c *classCheck) inMount(mm geom.Point) bool {
	return slices.ContainsFunc(c.b.Mounts, func(m Mount) bool { return m.At.Dist(mm) < m.Hole/2+0.3 })
}

func (c *classCheck) covered(mm geom.Point) bool {
	for _, k := range c.b.Look.Covers {
		if k.At.Dist(mm) < k.Size.Norm()/2+0.3 {
			return true
		}
	}
	for _, n := range c.b.Look.Nuts {
		if n.At.Dist(mm) < n.Radius+0.3 {
			return true
		}
	}
	for _, f := range c.b.Look.Fingers {
		if _, d := along(f.A, f.B, mm); d < f.Radius+0.3 {
			return true
		}
	}
	return false
}

// Photographs of varied boards differ: no two of these have the same mean
// colour of bare board within 3 steps of 255.
func TestVariedBoardsDiffer(t *testing.T) {
	var seen [][3]float64
	for seed := range uint64(6) {
		_, f := variedBoard(t, seed, 300)
		img, err := f.Image()
		if err != nil {
			t.Fatal(err)
		}
		m := meanColour(img, f.Class, BareBoard)
		for k, o := range seen {
			if max(abs(m[0]-o[0]), abs(m[1]-o[1]), abs(m[2]-o[2])) < 3 {
				t.Errorf("boards %d and %d look alike: %.0f and %.0f", k, seed, o, m)
			}
		}
		seen = append(seen, m)
	}
}

func meanColour(img image.Image, class *image.Gray, c Class) [3]float64 {
	var sum [3]float64
	n := 0.0
	for i, k := range class.Pix {
		if Class(k) == c {
			r, g, b, _ := img.At(i%class.Stride, i/class.Stride).RGBA()
			sum[0], sum[1], sum[2], n = sum[0]+float64(r>>8), sum[1]+float64(g>>8), sum[2]+float64(b>>8), n+1
		}
	}
	return [3]float64{sum[0] / n, sum[1] / n, sum[2] / n}
}

func TestVariedUpperShowsCopperAndParts(t *testing.T) {
	seen := map[Class]int{}
	for seed := range uint64(2) {
		f, err := RenderVariedUpper(context.Background(), seed, 300)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range f.Class.Pix {
			seen[Class(c)]++
		}
	}
	for _, c := range []Class{Background, BareBoard, CopperClass, SolderClass, HoleClass, WireClass} {
		if seen[c] < 50 {
			t.Errorf("%d pixels of class %d", seen[c], c)
		}
	}
}
