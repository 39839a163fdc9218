package copper

import "foilside/internal/num/raster"

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
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for _, p := range lab {
				row := p.Row(y)
				addSquare(b.right.Row(y)[:w-1], row, row[1:])
				if y+1 < h {
					addSquare(b.down.Row(y), row, p.Row(y+1))
				}
			}
		}
	})
	sum := 0.0
	for i, v := range b.right.Pix {
		sum += float64(v + b.down.Pix[i])
	}
	// A difference of the mean square halves the bond or so.
	scale := float32(1 / (sum/float64(w*h) + 1e-3))
	table := newDecayTable()
	for _, p := range []raster.Plane{b.right, b.down} {
		raster.Rows(h, func(y0, y1 int) {
			for i, v := range p.Pix[y0*w : y1*w] {
				p.Pix[y0*w+i] = table.at(scale * v)
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

// addSquare adds the squares of a-b.
func addSquare(to, a, b []float32) {
	a, b = a[:len(to)], b[:len(to)]
	for i := range to {
		d := a[i] - b[i]
		to[i] += d * d
	}
}

// settle lets neighbours agree: the mean-field marginals of a two-label
// random field with the given log odds and bonds of the given strength.
//
// Source: Koller and Friedman 2009, ch. 11.5 (structured mean field, fully
// factored).
func (b bonds) settle(u raster.Plane, strength float32, rounds int) raster.Plane {
	w, h := u.W, u.H
	table := newLeanTable()
	m := raster.NewPlane(w, h) // mean of the label, -1 bare … +1 copper
	next := raster.NewPlane(w, h)
	raster.Rows(h, func(y0, y1 int) {
		for i, v := range u.Pix[y0*w : y1*w] {
			m.Pix[y0*w+i] = table.at(v)
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
		for i, v := range m.Pix[y0*w : y1*w] {
			m.Pix[y0*w+i] = (v + 1) / 2
		}
	})
	return m
}

// settleRow computes row y of the next round from the means m.
func (b bonds) settleRow(next, u []float32, m raster.Plane, y int, strength float32, table *leanTable) {
	n := len(next)
	row, right, down := m.Row(y)[:n], b.right.Row(y)[:n], b.down.Row(y)[:n]
	up, upBond := row, b.down.Row(b.down.H - 1)[:n] // the last row of bonds is zero
	if y > 0 {
		up, upBond = m.Row(y - 1)[:n], b.down.Row(y - 1)[:n]
	}
	below := m.Row(min(y+1, m.H-1))[:n]
	left := float32(0) // what the left neighbour says
	for x, v := range u[:n] {
		s := upBond[x]*up[x] + down[x]*below[x] + left
		left = right[x] * row[x]
		if x+1 < n { // the last bond to the right is zero
			s += right[x] * row[x+1]
		}
		next[x] = table.at(v + strength*s)
	}
}
