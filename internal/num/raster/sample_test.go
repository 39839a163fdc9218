package raster

import (
	"math"
	"testing"

	"foilside/internal/num/geom"

	"pgregory.net/rapid"
)

func TestSampleIsExactOnABilinearSurface(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coef := rapid.SliceOfN(rapid.Float64Range(-2, 2), 4, 4).Draw(t, "coefficients")
		f := func(x, y float64) float64 { return coef[0] + coef[1]*x + coef[2]*y + coef[3]*x*y }
		p := NewPlane(6, 5)
		for y := range p.H {
			for x := range p.W {
				p.Set(x, y, float32(f(float64(x), float64(y))))
			}
		}
		at := geom.Point{X: rapid.Float64Range(0, 5).Draw(t, "x"), Y: rapid.Float64Range(0, 4).Draw(t, "y")}
		if got := float64(Sample(p, at)); math.Abs(got-f(at.X, at.Y)) > 1e-4 {
			t.Fatalf("at %v: got %v, want %v", at, got, f(at.X, at.Y))
		}
	})
}

func TestWarp(t *testing.T) {
	p := NewPlane(3, 2)
	copy(p.Pix, []float32{1, 2, 3, 4, 5, 6})
	for _, c := range []struct {
		name string
		back func(geom.Point) geom.Point
		want []float32
	}{
		{"stays", func(q geom.Point) geom.Point { return q }, []float32{1, 2, 3, 4, 5, 6}},
		{"mirrored", func(q geom.Point) geom.Point { return geom.Point{X: 2 - q.X, Y: q.Y} }, []float32{3, 2, 1, 6, 5, 4}},
		{"moved out", func(q geom.Point) geom.Point { return geom.Point{X: q.X + 2, Y: q.Y} }, []float32{3, -1, -1, 6, -1, -1}},
		{"horizon", func(q geom.Point) geom.Point { return geom.Point{X: math.Inf(1), Y: math.NaN()} }, []float32{-1, -1, -1, -1, -1, -1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Warp(p, 3, 2, -1, c.back)
			for i, w := range c.want {
				if got.Pix[i] != w {
					t.Errorf("pixel %d: got %v, want %v", i, got.Pix[i], w)
				}
			}
		})
	}
}

// A shrunk ramp is the ramp at the stated centres, and means are kept.
func TestShrinkKeepsPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := NewPlane(rapid.IntRange(4, 40).Draw(t, "w"), rapid.IntRange(4, 30).Draw(t, "h"))
		for y := range p.H {
			for x := range p.W {
				p.Set(x, y, float32(3*x-2*y))
			}
		}
		k := rapid.Float64Range(1.0001, 4).Draw(t, "factor")
		s := Shrink(p, k)
		for y := range s.H {
			for x := range s.W {
				want := 3*((float64(x)+0.5)*k-0.5) - 2*((float64(y)+0.5)*k-0.5)
				// The mean over a cell of whole-pixel steps departs from the ramp
				// by at most the slope over the cut pixels: (3+2)/4.
				if got := float64(s.At(x, y)); math.Abs(got-want) > 1.25 {
					t.Fatalf("(%d, %d) factor %v: got %v, want %v", x, y, k, got, want)
				}
			}
		}
	})
}
