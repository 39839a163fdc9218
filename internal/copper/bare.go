package copper

import "foilside/internal/num/raster"

const (
	// bareCell is the side in working pixels of the cells on which the look of
	// bare board is averaged, a third of bareNear.
	bareCell = 4
	// bareMost is the most copper probability of a pixel that tells how bare
	// board looks.
	bareMost = 0.3
	// bareFaint is the weight of the whole photo's mean where no bare board is
	// near.
	bareFaint = 1e-4
)

// bareField is the local colour of bare board: the mean of the interior bare
// pixels around, weighted by distance, on cells.
type bareField struct {
	cells [3]raster.Plane
}

func newBareField(lab [3]raster.Plane, q raster.Plane, inside raster.Mask) bareField {
	w, h := (q.W+bareCell-1)/bareCell, (q.H+bareCell-1)/bareCell
	weight := raster.NewPlane(w, h)
	var f bareField
	for k := range f.cells {
		f.cells[k] = raster.NewPlane(w, h)
	}
	raster.Rows(h, func(y0, y1 int) {
		for y := y0 * bareCell; y < min(y1*bareCell, q.H); y++ {
			for x := range q.W {
				i, c := y*q.W+x, y/bareCell*w+x/bareCell
				if inside.Pix[i] == 0 || q.Pix[i] > bareMost {
					continue
				}
				weight.Pix[c]++
				for k := range lab {
					f.cells[k].Pix[c] += lab[k].Pix[i]
				}
			}
		}
	})
	const perCell = bareCell * bareCell
	near := raster.Gaussian(weight, bareNear/bareCell)
	total := sumOf(weight) + 1e-6
	for k := range f.cells {
		mean := float32(sumOf(f.cells[k]) / total)
		smooth := raster.Gaussian(f.cells[k], bareNear/bareCell)
		for i, v := range smooth.Pix {
			smooth.Pix[i] = (v/perCell + bareFaint*mean) / (near.Pix[i]/perCell + bareFaint)
		}
		f.cells[k] = smooth
	}
	return f
}

func sumOf(p raster.Plane) float64 {
	s := 0.0
	for _, v := range p.Pix {
		s += float64(v)
	}
	return s
}

// colourRow is a row of L*, of a* and of b*.
type colourRow [3][]float32

func newColourRow(w int) colourRow {
	return colourRow{make([]float32, w), make([]float32, w), make([]float32, w)}
}

// row fills in the field along working row y, between the cells' middles.
func (f bareField) row(y int, to colourRow) {
	r0, r1, fy := between(y, f.cells[0].H)
	for k, p := range f.cells {
		a, b := p.Row(r0), p.Row(r1)
		for x := range to[k] {
			x0, x1, fx := between(x, p.W)
			top := a[x0] + fx*(a[x1]-a[x0])
			to[k][x] = top + fy*(b[x0]+fx*(b[x1]-b[x0])-top)
		}
	}
}

// between is the two cells whose middles lie on either side of a pixel, and its
// share of the way.
func between(x, n int) (int, int, float32) {
	const half = bareCell/2 - 0.5
	at := max(float32(x)-half, 0) / bareCell
	i := min(int(at), n-1)
	return i, min(i+1, n-1), at - float32(i)
}
