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

// A point above the board is seen where Lift says: worked out here in space,
// from the two sides of the board and their cross product.
func TestLift(t *testing.T) {
	size := geom.Point{X: 100, Y: 70}
	for seed := range uint64(10) {
		c := RandomShot(1000, seed, 1).Component.Camera
		m, foot, above := pose(size, seed%2 == 1, c)
		v := View{Foot: foot, Above: above}
		x, y, o := [3]float64{m[0], m[3], m[6]}, [3]float64{m[1], m[4], m[7]}, [3]float64{m[2], m[5], m[8]}
		up := [3]float64{x[1]*y[2] - x[2]*y[1], x[2]*y[0] - x[0]*y[2], x[0]*y[1] - x[1]*y[0]}
		if up[2] > 0 { // toward the camera, which looks along +z
			up = [3]float64{-up[0], -up[1], -up[2]}
		}
		p, h := geom.Point{X: 20, Y: 60}, 15.0
		var q [3]float64
		for i := range q {
			q[i] = x[i]*p.X + y[i]*p.Y + o[i] + up[i]*h
		}
		seen := geom.Point{X: q[0] / q[2], Y: q[1] / q[2]}
		if got := m.Apply(v.Lift(p, h)); got.Dist(seen) > 1e-9 {
			t.Errorf("seed %d: lifted point is drawn at %v, the camera sees it at %v", seed, got, seen)
		}
	}
}
