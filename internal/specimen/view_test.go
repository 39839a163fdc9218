package specimen

import (
	"math"
	"testing"

	"foilside/internal/num/geom"
)

func TestMapBetweenKnotsIsExactEnough(t *testing.T) {
	size := geom.Point{X: 100, Y: 70}
	for seed := range uint64(20) {
		s := RandomShot(700, seed, 1)
		v, err := newView(size, true, s.Foil.Camera, s.Width, 0)
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		eachPixel(v, func(i int, mm geom.Point) {
			if i%37 == 0 {
				px := geom.Point{X: float64(i % v.Width), Y: float64(i / v.Width)}
				worst = math.Max(worst, v.ToPixel(mm).Dist(px))
			}
		})
		if worst > 0.01 {
			t.Errorf("seed %d: a pixel is mapped %.4f pixels off", seed, worst)
		}
	}
}

func TestViewSeesTheWholeBoard(t *testing.T) {
	for seed := range uint64(50) {
		s := RandomShot(1000, seed, float64(seed)/49)
		for _, size := range []geom.Point{{X: 100, Y: 70}, {X: 60, Y: 60}, {X: 150, Y: 40}} {
			v, err := newView(size, seed%2 == 0, s.Foil.Camera, s.Width, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []geom.Point{{}, {X: size.X}, {Y: size.Y}, size} {
				p := v.ToPixel(c)
				if p.X < -1 || p.Y < -1 || p.X > float64(v.Width) || p.Y > float64(v.Height) {
					t.Errorf("seed %d, board %v: corner %v lies at pixel %v of %d × %d", seed, size, c, p, v.Width, v.Height)
				}
			}
		}
	}
}

// A point h above the board is seen where the ray through it meets the board;
// worked out here with the camera's place in space.
func TestLift(t *testing.T) {
	s := RandomShot(1000, 3, 1)
	size := geom.Point{X: 100, Y: 70}
	v, err := newView(size, false, s.Component.Camera, s.Width, 0)
	if err != nil {
		t.Fatal(err)
	}
	d := s.Component.Camera.Distance * size.Norm()
	if got := math.Hypot(v.Above, v.Foot.Dist(size.Scale(0.5))); math.Abs(got-d) > 1e-9*d {
		t.Errorf("the camera stands %.3f mm from the board's middle, was put at %.3f", got, d)
	}
	p, h := geom.Point{X: 20, Y: 60}, 15.0
	// On the line from the camera (foot, above) through (p, h), at height 0.
	k := v.Above / (v.Above - h)
	want := geom.Point{X: v.Foot.X + k*(p.X-v.Foot.X), Y: v.Foot.Y + k*(p.Y-v.Foot.Y)}
	if got := v.Lift(p, h); got.Dist(want) > 1e-9 {
		t.Errorf("lifted to %v, want %v", got, want)
	}
	if got := v.Lift(v.Foot, h); got.Dist(v.Foot) > 1e-9 {
		t.Errorf("right under the camera height moves nothing, moved to %v", got)
	}
}
