package raster

import "math"

// Distance is the exact Euclidean distance in pixels from each pixel's centre
// to the centre of the nearest pixel that is set; +Inf everywhere where none is.
//
// Source: Felzenszwalb and Huttenlocher 2012, "Distance transforms of sampled
// functions", Theory of Computing 8.
func Distance(m Mask) Plane {
	d, _ := NearestSet(m)
	return d
}

// NearestSet is Distance with, for each pixel, the index y·W+x of the nearest
// pixel that is set (-1 where none is). Between equally near ones the choice
// is fixed but arbitrary.
func NearestSet(m Mask) (Plane, []int32) {
	d := NewPlane(m.W, m.H)
	from := make([]int32, m.W*m.H)
	Rows(m.W, func(x0, x1 int) { nearestInColumns(m, d, from, x0, x1) })
	Rows(m.H, func(y0, y1 int) {
		e := newEnvelope(m.W)
		for y := y0; y < y1; y++ {
			e.row(d.Row(y), from[y*m.W:(y+1)*m.W])
		}
	})
	return d, from
}

// nearestInColumns finds for columns x0..x1 the vertical distance to the
// nearest set pixel of the same column, +Inf where the column has none. It goes
// by rows, down and up again, so that memory is read in order.
func nearestInColumns(m Mask, d Plane, from []int32, x0, x1 int) {
	inf := float32(math.Inf(1))
	last := make([]int32, x1-x0) // row of the last set pixel met, or -1
	for x := range last {
		last[x] = -1
	}
	for y := range m.H {
		set, dist, near := m.Pix[y*m.W+x0:y*m.W+x1], d.Row(y)[x0:x1], from[y*m.W+x0:y*m.W+x1]
		for x := range last {
			if set[x] != 0 {
				last[x] = int32(y)
			}
			near[x], dist[x] = -1, inf
			if l := last[x]; l >= 0 {
				near[x], dist[x] = l*int32(m.W)+int32(x0+x), float32(int32(y)-l)
			}
		}
	}
	for x := range last {
		last[x] = -1
	}
	for y := m.H - 1; y >= 0; y-- {
		set, dist, near := m.Pix[y*m.W+x0:y*m.W+x1], d.Row(y)[x0:x1], from[y*m.W+x0:y*m.W+x1]
		for x := range last {
			if set[x] != 0 {
				last[x] = int32(y)
			}
			l := last[x]
			if l < 0 {
				continue
			}
			if v := float32(l - int32(y)); v < dist[x] {
				near[x], dist[x] = l*int32(m.W)+int32(x0+x), v
			}
		}
	}
}

// envelope is the working room for the lower envelope of one row's parabolas.
type envelope struct {
	at    []int     // columns of the parabolas on the envelope
	start []float64 // where each begins to be the lowest
	f     []float64 // squared column distance at each column
	from  []int32
}

func newEnvelope(n int) *envelope {
	return &envelope{make([]int, n), make([]float64, n), make([]float64, n), make([]int32, n)}
}

// row turns vertical distances into full ones.
func (e *envelope) row(d []float32, from []int32) {
	copy(e.from, from)
	k := -1
	for q, v := range d {
		if math.IsInf(float64(v), 1) {
			continue
		}
		e.f[q] = float64(v) * float64(v)
		s := math.Inf(-1)
		for k >= 0 {
			s = e.meet(e.at[k], q)
			if s > e.start[k] {
				break
			}
			k--
			s = math.Inf(-1)
		}
		k++
		e.at[k], e.start[k] = q, s
	}
	if k < 0 {
		return
	}
	j := 0
	for q := range d {
		for j < k && e.start[j+1] < float64(q) {
			j++
		}
		p := e.at[j]
		d[q] = float32(math.Sqrt(float64((q-p)*(q-p)) + e.f[p]))
		from[q] = e.from[p]
	}
}

// meet is where the parabolas of columns p < q have the same height.
func (e *envelope) meet(p, q int) float64 {
	return ((e.f[q] + float64(q*q)) - (e.f[p] + float64(p*p))) / float64(2*(q-p))
}
