package raster

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawPlane makes small planes with flat stretches, spikes and noise.
func drawPlane(t *rapid.T) Plane {
	p := NewPlane(rapid.IntRange(1, 17).Draw(t, "w"), rapid.IntRange(1, 13).Draw(t, "h"))
	for i := range p.Pix {
		p.Pix[i] = float32(rapid.IntRange(0, 6).Draw(t, "v"))
	}
	return p
}

func drawMask(t *rapid.T) Mask {
	return drawPlane(t).Threshold(float32(rapid.IntRange(1, 6).Draw(t, "threshold")))
}

func clamp(v, n int) int { return min(max(v, 0), n-1) }

func near(t interface {
	Fatalf(string, ...any)
}, got, want Plane, tol float64) {
	for i := range want.Pix {
		g, w := float64(got.Pix[i]), float64(want.Pix[i])
		if g != w && !(math.Abs(g-w) <= tol) {
			t.Fatalf("pixel (%d, %d): got %v, want %v", i%want.W, i/want.W, g, w)
		}
	}
}

// window is the slow twin of every box kernel: fold over the replicated box.
func window(p Plane, r int, fold func(vals []float64) float64) Plane {
	out := NewPlane(p.W, p.H)
	for y := range p.H {
		for x := range p.W {
			var vals []float64
			for dy := -r; dy <= r; dy++ {
				for dx := -r; dx <= r; dx++ {
					vals = append(vals, float64(p.At(clamp(x+dx, p.W), clamp(y+dy, p.H))))
				}
			}
			out.Set(x, y, float32(fold(vals)))
		}
	}
	return out
}

func TestBoxKernelsEqualTheirSlowTwins(t *testing.T) {
	largest := func(v []float64) float64 {
		m := v[0]
		for _, x := range v {
			m = math.Max(m, x)
		}
		return m
	}
	smallest := func(v []float64) float64 {
		m := v[0]
		for _, x := range v {
			m = math.Min(m, x)
		}
		return m
	}
	mean := func(v []float64) float64 {
		s := 0.0
		for _, x := range v {
			s += x
		}
		return s / float64(len(v))
	}
	for _, c := range []struct {
		name string
		fast func(Plane, int) Plane
		slow func([]float64) float64
		tol  float64
	}{
		{"dilate", Dilate, largest, 0},
		{"erode", Erode, smallest, 0},
		{"mean", BoxMean, mean, 1e-5},
	} {
		t.Run(c.name, rapid.MakeCheck(func(t *rapid.T) {
			p, r := drawPlane(t), rapid.IntRange(0, 9).Draw(t, "r")
			near(t, c.fast(p, r), window(p, r, c.slow), c.tol)
		}))
	}
}

func TestOpeningAndClosing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, r := drawPlane(t), rapid.IntRange(0, 4).Draw(t, "r")
		opened, closed := Open(p, r), Close(p, r)
		for i, v := range p.Pix {
			if opened.Pix[i] > v || closed.Pix[i] < v {
				t.Fatalf("pixel %d: opened %v <= %v <= closed %v does not hold", i, opened.Pix[i], v, closed.Pix[i])
			}
		}
		near(t, Open(opened, r), opened, 0)
		near(t, Close(closed, r), closed, 0)
	})
}

// planeOf is a mask as a plane, for the kernels of planes.
func planeOf(m Mask) Plane {
	p := NewPlane(m.W, m.H)
	for i, v := range m.Pix {
		p.Pix[i] = float32(v)
	}
	return p
}

func TestMaskKernelsEqualThoseOfPlanes(t *testing.T) {
	for _, c := range []struct {
		name  string
		mask  func(Mask, int) Mask
		plane func(Plane, int) Plane
	}{
		{"dilated", Mask.Dilated, Dilate}, {"eroded", Mask.Eroded, Erode},
		{"opened", Mask.Opened, Open}, {"closed", Mask.Closed, Close},
	} {
		t.Run(c.name, rapid.MakeCheck(func(t *rapid.T) {
			m := NewMask(rapid.IntRange(1, 70).Draw(t, "w"), rapid.IntRange(1, 20).Draw(t, "h"))
			most := rapid.IntRange(1, 20).Draw(t, "most")
			for i := range m.Pix {
				if rapid.IntRange(0, most).Draw(t, "v") == 0 {
					m.Pix[i] = 1
				}
			}
			r := rapid.IntRange(0, 19).Draw(t, "r")
			near(t, planeOf(c.mask(m, r)), c.plane(planeOf(m), r), 0)
		}))
	}
}

func TestGaussianEqualsDirectSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlane(t)
		sigma := rapid.Float64Range(0.3, 3).Draw(t, "sigma")
		r := int(math.Ceil(4 * sigma))
		want := NewPlane(p.W, p.H)
		for y := range p.H {
			for x := range p.W {
				s, n := 0.0, 0.0
				for dy := -r; dy <= r; dy++ {
					for dx := -r; dx <= r; dx++ {
						w := math.Exp(-float64(dx*dx+dy*dy) / (2 * sigma * sigma))
						s += w * float64(p.At(clamp(x+dx, p.W), clamp(y+dy, p.H)))
						n += w
					}
				}
				want.Set(x, y, float32(s/n))
			}
		}
		near(t, Gaussian(p, sigma), want, 2e-5)
	})
}

// Three boxes match a Gaussian's variance; the worst error of their step
// response against it is under 2 % from sigma 4 up (measured here).
func TestSmoothFollowsGaussian(t *testing.T) {
	for _, sigma := range []float64{4, 5.5, 7, 12} {
		p := NewPlane(121, 3)
		for y := range p.H {
			for x := 60; x < p.W; x++ {
				p.Set(x, y, 1)
			}
		}
		near(t, Smooth(p, sigma), Gaussian(p, sigma), 0.02)
	}
}

func TestDistanceEqualsBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMask(t)
		got, from := NearestSet(m)
		for y := range m.H {
			for x := range m.W {
				best := math.Inf(1)
				for i, v := range m.Pix {
					if v != 0 {
						best = math.Min(best, math.Hypot(float64(i%m.W-x), float64(i/m.W-y)))
					}
				}
				g, f := float64(got.At(x, y)), int(from[y*m.W+x])
				if g != float64(float32(best)) {
					t.Fatalf("(%d, %d): got %v, want %v", x, y, g, best)
				}
				if f < 0 != math.IsInf(best, 1) {
					t.Fatalf("(%d, %d): nearest index %d at distance %v", x, y, f, best)
				}
				if f >= 0 && (m.Pix[f] == 0 || math.Abs(math.Hypot(float64(f%m.W-x), float64(f/m.W-y))-best) > 1e-9) {
					t.Fatalf("(%d, %d): pixel %d is not the nearest", x, y, f)
				}
			}
		}
	})
}

// flood labels pieces one by one in reading order: the slow twin.
func flood(m Mask, eight bool) []int32 {
	of := make([]int32, len(m.Pix))
	next := int32(0)
	for i, v := range m.Pix {
		if v == 0 || of[i] != 0 {
			continue
		}
		next++
		of[i] = next
		for todo := []int{i}; len(todo) > 0; {
			j := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					x, y := j%m.W+dx, j/m.W+dy
					if !eight && dx != 0 && dy != 0 || !m.Yes(x, y) || of[y*m.W+x] != 0 {
						continue
					}
					of[y*m.W+x] = next
					todo = append(todo, y*m.W+x)
				}
			}
		}
	}
	return of
}

func TestComponentsEqualFlood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, eight := drawMask(t), rapid.Bool().Draw(t, "eight")
		got := Components(m, eight)
		counts := make([]int, len(got.Areas))
		for i, want := range flood(m, eight) {
			if got.Of[i] != want {
				t.Fatalf("pixel (%d, %d): label %d, want %d", i%m.W, i/m.W, got.Of[i], want)
			}
			counts[want]++
		}
		for l, n := range counts {
			if got.Areas[l] != n {
				t.Fatalf("label %d: area %d, want %d", l, got.Areas[l], n)
			}
		}
	})
}

func TestContoursEncloseThePiece(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Components(drawMask(t), rapid.Bool().Draw(t, "eight"))
		for label := 1; label < len(l.Areas); label++ {
			area, corners := 0.0, 0
			for _, o := range Contours(l, int32(label)) {
				area += o.Area()
				corners += len(o)
			}
			if area != float64(l.Areas[label]) {
				t.Fatalf("label %d: outlines enclose %v pixels, want %d", label, area, l.Areas[label])
			}
			if corners < 4 {
				t.Fatalf("label %d: %d corners", label, corners)
			}
		}
	})
}
