package raster

import (
	"math"

	"foilside/internal/num/geom"
)

// Sample is the bilinear value at the point, which is moved into the plane
// where it lies outside.
func Sample(p Plane, at geom.Point) float32 {
	x := math.Min(math.Max(at.X, 0), float64(p.W-1))
	y := math.Min(math.Max(at.Y, 0), float64(p.H-1))
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, p.W-1), min(y0+1, p.H-1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	top := p.At(x0, y0)*(1-fx) + p.At(x1, y0)*fx
	bottom := p.At(x0, y1)*(1-fx) + p.At(x1, y1)*fx
	return top*(1-fy) + bottom*fy
}

// Warp fills a w×h plane by sampling src at back(pixel). Pixels that come from
// outside src, or from no finite place, are outside.
func Warp(src Plane, w, h int, outside float32, back func(geom.Point) geom.Point) Plane {
	out := NewPlane(w, h)
	maxX, maxY := float64(src.W)-0.5, float64(src.H)-0.5
	Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := out.Row(y)
			for x := range row {
				row[x] = outside
				p := back(geom.Point{X: float64(x), Y: float64(y)})
				if p.X >= -0.5 && p.Y >= -0.5 && p.X <= maxX && p.Y <= maxY {
					row[x] = Sample(src, p)
				}
			}
		}
	})
	return out
}

// Shrink averages the plane over cells of factor×factor pixels, factor >= 1
// and not necessarily whole. The result is floor(W/factor) × floor(H/factor),
// at least 1×1; the centre of its pixel (i, j) lies at
// ((i+½)·factor-½, (j+½)·factor-½) of the source.
func Shrink(p Plane, factor float64) Plane {
	if factor <= 1 {
		return p.Clone()
	}
	xs, ys := cells(p.W, factor), cells(p.H, factor)
	out := NewPlane(len(xs), len(ys))
	Rows(out.H, func(y0, y1 int) {
		acc := make([]float32, p.W)
		for y := y0; y < y1; y++ {
			clear(acc)
			for i, wy := range ys[y].weights {
				for x, v := range p.Row(ys[y].first + i) {
					acc[x] += wy * v
				}
			}
			row := out.Row(y)
			for x, c := range xs {
				s := float32(0)
				for i, wx := range c.weights {
					s += wx * acc[c.first+i]
				}
				row[x] = s
			}
		}
	})
	return out
}

// cell is the run of source pixels that one shrunk pixel averages.
type cell struct {
	first   int
	weights []float32 // sum 1
}

func cells(n int, factor float64) []cell {
	out := make([]cell, max(1, int(float64(n)/factor)))
	for i := range out {
		a, b := float64(i)*factor, math.Min(float64(i+1)*factor, float64(n))
		first, last := int(a), min(int(math.Ceil(b)), n)
		w := make([]float32, last-first)
		for j := range w {
			lo, hi := math.Max(a, float64(first+j)), math.Min(b, float64(first+j+1))
			w[j] = float32((hi - lo) / (b - a))
		}
		out[i] = cell{first, w}
	}
	return out
}
