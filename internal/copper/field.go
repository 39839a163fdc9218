package copper

import (
	"math"

	"foilside/internal/num/raster"
)

// bonds holds how strongly each pixel is tied to its right and lower
// neighbour: 1 in flat colour, near 0 across an edge.
type bonds struct {
	right, down raster.Plane
}

// newBonds compares neighbours' colours against the photo's own noise.
//
// Source: Boykov and Jolly 2001 (contrast-sensitive pairwise term).
func newBonds(lab [3]raster.Plane) bonds {
	w, h := lab[0].W, lab[0].H
	b := bonds{raster.NewPlane(w, h), raster.NewPlane(w, h)}
	diff := func(i, j int) float32 {
		s := float32(0)
		for _, p := range lab {
			d := p.Pix[i] - p.Pix[j]
			s += d * d
		}
		return s
	}
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range w {
				i := y*w + x
				if x+1 < w {
					b.right.Pix[i] = diff(i, i+1)
				}
				if y+1 < h {
					b.down.Pix[i] = diff(i, i+w)
				}
			}
		}
	})
	sum := 0.0
	for i := range b.right.Pix {
		sum += float64(b.right.Pix[i] + b.down.Pix[i])
	}
	// A difference of the mean square halves the bond or so.
	scale := float32(-1 / (sum/float64(w*h) + 1e-3))
	for _, p := range []raster.Plane{b.right, b.down} {
		raster.Rows(h, func(y0, y1 int) {
			for i := y0 * w; i < y1*w; i++ {
				p.Pix[i] = float32(math.Exp(float64(scale * p.Pix[i])))
			}
		})
	}
	for y := range h {
		b.right.Set(w-1, y, 0)
	}
	for x := range w {
		b.down.Set(x, h-1, 0)
	}
	return b
}

// settle lets neighbours agree: the mean-field marginals of a two-label
// random field with the given log odds and bonds of the given strength.
//
// Source: Koller and Friedman 2009, ch. 11.5 (structured mean field, fully
// factored).
func (b bonds) settle(u raster.Plane, strength float32, rounds int) raster.Plane {
	w, h := u.W, u.H
	table := newOddsTable()
	m := raster.NewPlane(w, h) // mean of the label, -1 bare … +1 copper
	next := raster.NewPlane(w, h)
	raster.Rows(h, func(y0, y1 int) {
		for i := y0 * w; i < y1*w; i++ {
			m.Pix[i] = 2*table.at(u.Pix[i]) - 1
		}
	})
	for range rounds {
		raster.Rows(h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				b.settleRow(next.Row(y), u.Row(y), m, y, strength, table)
			}
		})
		m, next = next, m
	}
	raster.Rows(h, func(y0, y1 int) {
		for i := y0 * w; i < y1*w; i++ {
			m.Pix[i] = (m.Pix[i] + 1) / 2
		}
	})
	return m
}

// settleRow computes row y of the next round from the means m.
func (b bonds) settleRow(next, u []float32, m raster.Plane, y int, strength float32, table *oddsTable) {
	row, right, down := m.Row(y), b.right.Row(y), b.down.Row(y)
	up, upBond := row, b.down.Row(b.down.H-1) // the last row of bonds is zero
	if y > 0 {
		up, upBond = m.Row(y-1), b.down.Row(y-1)
	}
	below := m.Row(min(y+1, m.H-1))
	last := len(row) - 1
	for x := range row {
		s := upBond[x]*up[x] + down[x]*below[x] + right[x]*row[min(x+1, last)]
		if x > 0 {
			s += right[x-1] * row[x-1]
		}
		next[x] = 2*table.at(u[x]+strength*s) - 1
	}
}
