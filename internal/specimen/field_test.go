package specimen

import (
	"math"
	"testing"

	"foilside/internal/num/geom"
)

func TestSweepVisitsEverythingNear(t *testing.T) {
	g := gridOver(geom.Point{X: -1, Y: -1}, geom.Point{X: 11, Y: 9}, 7)
	for _, k := range []struct {
		name string
		a, b geom.Point
		r    float64
	}{
		{"a point", geom.Point{X: 3, Y: 3}, geom.Point{X: 3, Y: 3}, 1.3},
		{"level", geom.Point{X: 1, Y: 4}, geom.Point{X: 8, Y: 4}, 0.7},
		{"upright, from below", geom.Point{X: 5, Y: 8}, geom.Point{X: 5, Y: 1}, 0.4},
		{"slanted", geom.Point{X: 1, Y: 7}, geom.Point{X: 9, Y: 2}, 0.9},
		{"over the edge", geom.Point{X: -3, Y: -2}, geom.Point{X: 2, Y: 14}, 1},
	} {
		t.Run(k.name, func(t *testing.T) {
			seen := map[int]int{}
			g.sweep(k.a, k.b, k.r, func(i int, p geom.Point) {
				seen[i]++
				want := geom.Point{X: g.origin.X + float64(i%g.w)/g.scale, Y: g.origin.Y + float64(i/g.w)/g.scale}
				if p.Dist(want) > 1e-9 {
					t.Fatalf("pixel %d is told to lie at %v, lies at %v", i, p, want)
				}
			})
			for i := range g.w * g.h {
				p := geom.Point{X: g.origin.X + float64(i%g.w)/g.scale, Y: g.origin.Y + float64(i/g.w)/g.scale}
				if _, d := along(k.a, k.b, p); d < k.r-1e-9 && seen[i] != 1 {
					t.Fatalf("pixel at %v, %.3f mm off, is visited %d times", p, d, seen[i])
				}
			}
		})
	}
}

func TestFieldHoldsTheLeastDistance(t *testing.T) {
	g := gridOver(geom.Point{}, geom.Point{X: 12, Y: 10}, 8)
	f := newField(g)
	type line struct {
		a, b   geom.Point
		wa, wb float64
	}
	lines := []line{
		{geom.Point{X: 2, Y: 2}, geom.Point{X: 9, Y: 3}, 1, 1},
		{geom.Point{X: 4, Y: 8}, geom.Point{X: 8, Y: 6}, 2, 0.6},
	}
	for i, l := range lines {
		f.taper(l.a, l.b, l.wa, l.wb, uint16(i+1))
	}
	for i := range f.d {
		p := geom.Point{X: float64(i%g.w) / g.scale, Y: float64(i/g.w) / g.scale}
		best, label := math.Inf(1), uint16(0)
		for k, l := range lines {
			u, d := along(l.a, l.b, p)
			if d -= (l.wa + u*(l.wb-l.wa)) / 2; d < best {
				best, label = d, uint16(k+1)
			}
		}
		if best < band/2 && (math.Abs(float64(f.d[i])-best) > 1e-5 || f.label[i] != label) {
			t.Fatalf("at %v the field holds %.3f of shape %d, want %.3f of shape %d", p, f.d[i], f.label[i], best, label)
		}
	}
}

func TestPolygonWithHole(t *testing.T) {
	g := gridOver(geom.Point{}, geom.Point{X: 12, Y: 12}, 9)
	f := newField(g)
	square := func(lo, hi float64) []geom.Point {
		return []geom.Point{{X: lo, Y: lo}, {X: hi, Y: lo}, {X: hi, Y: hi}, {X: lo, Y: hi}}
	}
	f.polygon([][]geom.Point{square(1.03, 11.03), square(4.03, 8.03)}, 5)
	for i, d := range f.d {
		x, y := float64(i%g.w)/g.scale, float64(i/g.w)/g.scale
		in := func(lo, hi float64) bool { return x > lo && x < hi && y > lo && y < hi }
		want := in(1.03, 11.03) && !in(4.03, 8.03)
		if (d < 0) != want {
			t.Fatalf("at (%.2f, %.2f): distance %.3f, inside the copper: %v", x, y, d, want)
		}
	}
	at := func(x, y float64) float64 { i, _ := g.at(geom.Point{X: x, Y: y}); return float64(f.d[i]) }
	if d := at(2.5, 1.3); d > -0.2 || d < -0.4 {
		t.Errorf("0.3 mm inside an edge the field holds %.3f", d)
	}
	if d := at(6, 4.3); d < 0.2 || d > 0.4 {
		t.Errorf("0.3 mm inside the hole the field holds %.3f", d)
	}
}

func TestContoursFollowTheLevel(t *testing.T) {
	g := grid{scale: 4, w: 60, h: 60}
	v := make([]float64, g.w*g.h)
	ring := func(p geom.Point) float64 { // copper between radii 2 and 5
		r := p.Dist(geom.Point{X: 7, Y: 7})
		return math.Min(5-r, r-2)
	}
	for i := range v {
		v[i] = ring(geom.Point{X: float64(i%g.w) / 4, Y: float64(i/g.w) / 4})
	}
	cs := contours(g, v)
	if len(cs) != 2 {
		t.Fatalf("a ring has %d contours, want 2", len(cs))
	}
	sum := 0.0
	for _, c := range cs {
		sum += signedArea(c)
		for _, p := range c {
			if math.Abs(ring(p)) > 0.02 {
				t.Errorf("contour point %v lies at level %.3f", p, ring(p))
			}
		}
	}
	// The outline counts for, the hole against: π·(5² − 2²).
	if want := math.Pi * 21; math.Abs(sum-want) > 0.02*want {
		t.Errorf("the contours enclose %.2f mm², want %.2f", sum, want)
	}
}

func TestSimplifyStaysWithinTolerance(t *testing.T) {
	var c []geom.Point
	for i := range 400 {
		s, co := math.Sincos(2 * math.Pi * float64(i) / 400)
		c = append(c, geom.Point{X: 10 * co, Y: 6 * s})
	}
	out := simplify(c, 0.05)
	if len(out) > 80 {
		t.Errorf("%d of 400 points are left", len(out))
	}
	for _, p := range c {
		best := math.Inf(1)
		for i, a := range out {
			_, d := along(a, out[(i+1)%len(out)], p)
			best = math.Min(best, d)
		}
		if best > 0.05+1e-9 {
			t.Errorf("point %v is %.3f off the simplified line", p, best)
		}
	}
}

func TestStrokeGap(t *testing.T) {
	for _, k := range []struct {
		name string
		p, q stroke
		want float64
	}{
		{"side by side", stroke{geom.Point{}, geom.Point{X: 10}, 1, 1}, stroke{geom.Point{Y: 3}, geom.Point{X: 10, Y: 3}, 2, 2}, 1.5},
		{"crossing", stroke{geom.Point{}, geom.Point{X: 10, Y: 10}, 1, 1}, stroke{geom.Point{Y: 10}, geom.Point{X: 10}, 1, 1}, 0},
		{"end to end", stroke{geom.Point{}, geom.Point{X: 4}, 1, 1}, stroke{geom.Point{X: 7}, geom.Point{X: 9}, 1, 1}, 2},
		{"point beside a taper's end", stroke{geom.Point{}, geom.Point{X: 10}, 4, 1}, stroke{geom.Point{X: 10, Y: 5}, geom.Point{X: 10, Y: 5}, 1, 1}, 4},
	} {
		t.Run(k.name, func(t *testing.T) {
			if got := k.p.gap(k.q); math.Abs(got-k.want) > 1e-9 {
				t.Errorf("gap %.3f, want %.3f", got, k.want)
			}
			if got := k.q.gap(k.p); math.Abs(got-k.want) > 1e-9 {
				t.Errorf("the other way round %.3f, want %.3f", got, k.want)
			}
		})
	}
}

func TestIslandsPartWhatDoesNotTouch(t *testing.T) {
	b := Board{Size: geom.Point{X: 40, Y: 20}, Pads: []Pad{
		{Net: "a", At: geom.Point{X: 5, Y: 5}, Diameter: 2}, {Net: "a", At: geom.Point{X: 15, Y: 5}, Diameter: 2},
		{Net: "a", At: geom.Point{X: 30, Y: 5}, Diameter: 2}, {Net: "b", At: geom.Point{X: 5, Y: 15}, Diameter: 2},
	}, Tracks: []Track{{Net: "a", Width: 1, Path: []geom.Point{{X: 5, Y: 5}, {X: 15, Y: 5}}}}}
	w, islands, labels := wireUp(&b)
	if len(islands) != 3 || len(labels) != 3 {
		t.Fatalf("%d islands, want 3: two of net a, one of net b", len(islands))
	}
	if w.Pads[0].Net != w.Pads[1].Net || w.Pads[0].Net != w.Tracks[0].Net {
		t.Error("pads on one track are on different islands")
	}
	if w.Pads[2].Net == w.Pads[0].Net || w.Pads[3].Net == w.Pads[0].Net {
		t.Error("pads apart share an island")
	}
	if b.Pads[0].Net != "a" {
		t.Error("wireUp changed the board that it was given")
	}
}

func TestManyIslandsHaveNamesOfTheirOwn(t *testing.T) {
	seen := map[string]bool{}
	for i := range uint16(2000) {
		if n := islandName(i); seen[n] {
			t.Fatalf("island %d shares the name %s", i, n)
		} else {
			seen[n] = true
		}
	}
}
