package copper

import (
	"math"

	"foilside/internal/num/raster"
)

// blendReach is how far in working pixels the two copper looks may lie apart
// for the pixels between to be their mixture: an edge is about that soft.
const blendReach = 3

// bridgeBlends raises the probability of pixels whose colour is a mixture of
// copper on one side and copper on the opposite side: the soft edge between a
// track and its solder looks like neither, but no board shows through. A real
// gap is a valley whose colour lies off the line between its two banks.
func bridgeBlends(q raster.Plane, lab [3]raster.Plane, noise float64) raster.Plane {
	out := q.Clone()
	raster.Rows(q.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range q.W {
				i := y*q.W + x
				if q.Pix[i] > 0.9 {
					continue
				}
				out.Pix[i] = max(q.Pix[i], blendAt(q, lab, x, y, noise))
			}
		}
	})
	return out
}

// blendAt is the best claim that (x, y) mixes the copper on its two sides.
func blendAt(q raster.Plane, lab [3]raster.Plane, x, y int, noise float64) float32 {
	best := float32(0)
	for _, d := range [4][2]int{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
		for r := 1; r <= blendReach; r++ {
			for s := 1; s <= blendReach; s++ {
				ax, ay, bx, by := x-r*d[0], y-r*d[1], x+s*d[0], y+s*d[1]
				if min(ax, ay, bx, by) < 0 || max(ax, bx) >= q.W || max(ay, by) >= q.H {
					continue
				}
				claim := min(q.At(ax, ay), q.At(bx, by))
				if claim <= best || claim < 0.5 {
					continue
				}
				if off := offLine(lab, y*q.W+x, ay*q.W+ax, by*q.W+bx); off > 0 {
					claim *= float32(math.Exp(-off * off / (2 * noise * noise)))
				}
				best = max(best, claim)
			}
		}
	}
	return best
}

// offLine is the distance in L*a*b* of pixel p's colour from the segment
// between those of a and b.
func offLine(lab [3]raster.Plane, p, a, b int) float64 {
	var ab, ap [3]float64
	dot, len2 := 0.0, 0.0
	for i, l := range lab {
		ab[i] = float64(l.Pix[b] - l.Pix[a])
		ap[i] = float64(l.Pix[p] - l.Pix[a])
		dot += ab[i] * ap[i]
		len2 += ab[i] * ab[i]
	}
	t := 0.0
	if len2 > 0 {
		t = math.Min(1, math.Max(0, dot/len2))
	}
	s := 0.0
	for i := range ab {
		d := ap[i] - t*ab[i]
		s += d * d
	}
	return math.Sqrt(s)
}
