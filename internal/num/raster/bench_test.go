package raster_test

import (
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// benchPlane is 12 megapixels of the pattern that crosscheck/raster_speed.py
// makes too: 64-pixel cells, a disc in each, and a ramp.
func benchPlane() raster.Plane {
	p := raster.NewPlane(4000, 3000)
	for y := range p.H {
		for x := range p.W {
			dx, dy := x%64-32, y%64-32
			v := float32((x + y) % 50)
			if dx*dx+dy*dy < 400 {
				v += 150
			}
			p.Set(x, y, v)
		}
	}
	return p
}

// The primitives of alignment, each timed against OpenCV's by
// crosscheck/raster_speed.py.
func BenchmarkPrimitiveWarp(b *testing.B) {
	p := benchPlane()
	back := geom.Projective{0.98, 0.05, 20, -0.04, 1.01, 15, 1e-5, -5e-6, 1}
	for b.Loop() {
		raster.Warp(p, p.W, p.H, 0, back.Apply)
	}
}

func BenchmarkPrimitiveBlur(b *testing.B) {
	p := benchPlane()
	for b.Loop() {
		raster.Gaussian(p, 1.5)
	}
}

func BenchmarkPrimitiveComponents(b *testing.B) {
	m := benchPlane().Threshold(120)
	for b.Loop() {
		raster.Components(m, false)
	}
}

// BenchmarkPrimitiveContours walks the border of the board's mask, one piece
// with holes, as the outline search does.
func BenchmarkPrimitiveContours(b *testing.B) {
	l := raster.Components(benchPlane().Threshold(120).Not(), false)
	for b.Loop() {
		raster.Contours(l, 1)
	}
}
