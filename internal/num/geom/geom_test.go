package geom

import (
	"errors"
	"math"
	"testing"

	"foilside/internal/num/approx"

	"pgregory.net/rapid"
)

func near(a, b Point, abs float64) bool {
	return approx.AbsOrRel(a.X, b.X, abs, 0) && approx.AbsOrRel(a.Y, b.Y, abs, 0)
}

// tilted is a map as two photographs of a board give: mirrored, turned, with
// some perspective.
func tilted(t *rapid.T) Projective {
	turn := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "turn")
	size := rapid.Float64Range(0.3, 3).Draw(t, "size")
	c, s := size*math.Cos(turn), size*math.Sin(turn)
	return Projective{-c, s, rapid.Float64Range(0, 4000).Draw(t, "dx"),
		s, c, rapid.Float64Range(0, 4000).Draw(t, "dy"),
		rapid.Float64Range(-1e-4, 1e-4).Draw(t, "px"), rapid.Float64Range(-1e-4, 1e-4).Draw(t, "py"), 1}
}

// spread is four points of which no three are near a line, and n more.
func spread(t *rapid.T, n int) []Point {
	points := []Point{{100, 90}, {2900, 130}, {2800, 1900}, {180, 2000}}
	for range n {
		points = append(points, Point{rapid.Float64Range(0, 3000).Draw(t, "x"), rapid.Float64Range(0, 2000).Draw(t, "y")})
	}
	return points
}

func TestHomographyRecoversExactMaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := tilted(t)
		from := spread(t, rapid.IntRange(0, 8).Draw(t, "more"))
		to := make([]Point, len(from))
		for i, p := range from {
			to[i] = m.Apply(p)
		}
		got, err := Homography(from, to)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range from {
			if !near(got.Apply(p), m.Apply(p), 1e-6) {
				t.Fatalf("%v lands on %v, want %v", p, got.Apply(p), m.Apply(p))
			}
		}
		quad, ok := FourPoint([4]Point(from), [4]Point(to))
		if !ok || !near(quad.Apply(Point{1500, 1000}), m.Apply(Point{1500, 1000}), 1e-6) {
			t.Fatalf("four points alone give %v, %v", quad, ok)
		}
	})
}

func TestHomographyNeedsFourPointsInGeneralPosition(t *testing.T) {
	line := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {9, 9}}
	square := []Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	oneOff := []Point{{0, 0}, {1, 1}, {2, 2}, {5, 1}}
	for _, c := range []struct {
		name     string
		from, to []Point
	}{
		{"three pairs", square[:3], square[:3]},
		{"lengths differ", square, line},
		{"all on a line", line, line},
		{"three of four on a line", oneOff, square},
		{"one point four times", []Point{{1, 1}, {1, 1}, {1, 1}, {1, 1}}, square},
	} {
		t.Run(c.name, func(t *testing.T) {
			if m, err := Homography(c.from, c.to); !errors.Is(err, ErrDegenerate) {
				t.Errorf("got %v, %v; want ErrDegenerate", m, err)
			}
		})
	}
	if _, ok := FourPoint([4]Point(oneOff), [4]Point(square)); ok {
		t.Error("FourPoint accepted three points on a line")
	}
}

func TestInverseUndoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := tilted(t)
		inv, err := m.Inverse()
		if err != nil {
			t.Fatal(err)
		}
		p := Point{rapid.Float64Range(0, 3000).Draw(t, "x"), rapid.Float64Range(0, 2000).Draw(t, "y")}
		if m.W(p) < 0.1 {
			t.Skip("near the horizon")
		}
		if !near(inv.Apply(m.Apply(p)), p, 1e-6) {
			t.Fatalf("%v came back as %v", p, inv.Apply(m.Apply(p)))
		}
	})
	if _, err := (Projective{1, 2, 3, 2, 4, 6, 0, 0, 1}).Inverse(); !errors.Is(err, ErrSingular) {
		t.Errorf("a singular map gives %v", err)
	}
}

func TestLensUndistortUndoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Lens{Point{2000, 1500}, 2500, rapid.Float64Range(-0.15, 0.3).Draw(t, "k1")}
		p := Point{rapid.Float64Range(0, 4000).Draw(t, "x"), rapid.Float64Range(0, 3000).Draw(t, "y")}
		if back := l.Undistort(l.Distort(p)); !near(back, p, 1e-8) {
			t.Fatalf("k1 %v: %v came back as %v", l.K1, p, back)
		}
	})
}

// The definition of CONTRACT §2, by hand: radius half the norm and k1 0.04
// moves a point out by 1 %.
func TestLensByHand(t *testing.T) {
	l := Lens{Point{100, 100}, 200, 0.04}
	if got := l.Distort(Point{200, 100}); !near(got, Point{201, 100}, 1e-12) {
		t.Errorf("got %v, want 201, 100", got)
	}
	if l.Monotonic(1e9) != true || (Lens{Norm: 1, K1: -0.4}).Monotonic(1) {
		t.Error("Monotonic: outward lenses always are, k1 -0.4 isn't at the norm")
	}
}

func TestJacobiansAgainstDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := tilted(t)
		l := Lens{Point{2000, 1500}, 2500, rapid.Float64Range(-0.1, 0.2).Draw(t, "k1")}
		p := Point{rapid.Float64Range(0, 3000).Draw(t, "x"), rapid.Float64Range(0, 2000).Draw(t, "y")}
		if m.W(p) < 0.1 {
			t.Skip("near the horizon")
		}
		checkJacobian(t, "map", m.Jacobian(p), m.Apply, p)
		byPoint, byK1 := l.DistortJacobian(p)
		checkJacobian(t, "lens", byPoint, l.Distort, p)
		const h = 1e-5
		up, down := l, l
		up.K1, down.K1 = l.K1+h, l.K1-h
		if want := up.Distort(p).Sub(down.Distort(p)).Scale(1 / (2 * h)); !near(byK1, want, 1e-3) {
			t.Fatalf("lens by k1: %v, want %v", byK1, want)
		}
		u := l.Undistort(p)
		if want := up.Undistort(p).Sub(down.Undistort(p)).Scale(1 / (2 * h)); !near(l.UndistortByK1(u), want, 1e-3) {
			t.Fatalf("undistorted by k1: %v, want %v", l.UndistortByK1(u), want)
		}
	})
}

func checkJacobian(t *rapid.T, name string, got [4]float64, f func(Point) Point, p Point) {
	t.Helper()
	const h = 1e-3
	dx := f(p.Add(Point{h, 0})).Sub(f(p.Add(Point{-h, 0}))).Scale(1 / (2 * h))
	dy := f(p.Add(Point{0, h})).Sub(f(p.Add(Point{0, -h}))).Scale(1 / (2 * h))
	want := []float64{dx.X, dy.X, dx.Y, dy.Y}
	if e := approx.Weighted(got[:], want, 1e-6, 1e-4); e > 1 {
		t.Fatalf("%s: Jacobian %v, want %v", name, got, want)
	}
}

func TestPolygon(t *testing.T) {
	ell := []Point{{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}}
	if got := Area(ell); got != 12 {
		t.Errorf("area %v, want 12 (clockwise with y down)", got)
	}
	for _, c := range []struct {
		name string
		p    Point
		in   bool
	}{
		{"in the foot", Point{3, 1}, true},
		{"in the post", Point{1, 3}, true},
		{"in the notch", Point{3, 3}, false},
		{"left of it", Point{-1, 1}, false},
		{"right of it", Point{5, 1}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Inside(ell, c.p); got != c.in {
				t.Errorf("got %v", got)
			}
		})
	}
	if Turn(Point{0, 0}, Point{1, 0}, Point{0, 1}) != 1 {
		t.Error("right then down turns clockwise")
	}
}

func TestHullAndBox(t *testing.T) {
	points := []Point{{0, 0}, {4, 0}, {4, 2}, {0, 2}, {1, 1}, {2, 0}, {3, 1.5}, {4, 2}}
	hull := Hull(points)
	if len(hull) != 4 || Area(hull) != 8 {
		t.Errorf("hull %v, want the four corners clockwise", hull)
	}
	if len(Hull(points[:1])) != 1 || len(Hull(nil)) != 0 {
		t.Error("fewer than three points are their own hull")
	}
	// The same rectangle turned by 30° and moved.
	c, s := math.Cos(math.Pi/6), math.Sin(math.Pi/6)
	for i, p := range points {
		points[i] = Point{c*p.X - s*p.Y + 7, s*p.X + c*p.Y - 3}
	}
	box := SmallestBox(Hull(points))
	if !approx.AbsOrRel(Area(box[:]), 8, 1e-9, 0) {
		t.Errorf("box %v has area %v, want 8 clockwise", box, Area(box[:]))
	}
	for _, p := range points {
		if q := box[0].Add(p.Sub(box[0]).Scale(0.999)); !Inside(grown(box, 1e-6), q) {
			t.Errorf("%v lies outside the box %v", p, box)
		}
	}
}

// grown moves the corners of a box away from its middle by a share.
func grown(box [4]Point, share float64) []Point {
	middle := box[0].Add(box[2]).Scale(0.5)
	var out []Point
	for _, p := range box {
		out = append(out, p.Add(p.Sub(middle).Scale(share)))
	}
	return out
}
