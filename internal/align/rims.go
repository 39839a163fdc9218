package align

import (
	"math"

	"foilside/internal/num/geom"

	"gonum.org/v1/gonum/mat"
)

// sideMatch is one side of the board, seen as an edge in both photos. What the
// component edge misses the foil edge by, once mapped, is told by three
// numbers: its mean, its slope and its bend along the side.
type sideMatch struct {
	component, foil edge
	weight          [3]float64 // one over the variance of each
	off             float64    // how far the side misses, in standard deviations
}

// Standard deviations, foil pixels, beside the places' noise, of the mean and
// the slope of a side: the two faces of a board don't end at quite the same
// place, and a bevel, a shadow or the rim's far side may pass for the rim, the
// more so the fainter the edge is. Found on made boards, whose sides were off by
// 0.1 px where the change of colour is 100 and more, and by 1 px where it is 25.
const (
	sideSD      = 0.08
	faintSide   = 12.0    // pixels times the change of colour across the edge
	sideShare   = 0.00003 // of the foil quad's longer side
	slopeShare  = 0.5     // of the mean's
	bendShare   = 0.3
	sideHeavy   = 2.0 // degrees of freedom of its Student's t
	sidePlaces  = 9
	sideTooWide = 12.0 // standard deviations from which a side is none
	// sideReach is how far, of the longer side, a side may miss before the map
	// is fitted to it: a lens bends sides by so much and more.
	sideReach = 0.004
)

// sd is the standard deviation of where an edge lies across its side.
func (e edge) sd() float64 { return sideSD + faintSide/math.Max(1, e.strength) }

// misses are mean, slope and bend of a side under a map, and their derivatives
// where wanted. They are inner products with Legendre polynomials, each scaled
// so that it is the size of what it stands for.
func (s *sideMatch) misses(m model, params int, derive bool) (r [3]float64, rows [3][fullParams]float64) {
	for k := range sidePlaces {
		u := -0.9 + 1.8*float64(k)/(sidePlaces-1)
		p := s.component.place(u)
		q, _ := m.apply(p)
		off, across := s.foil.distance(q)
		shape := [3]float64{1, 3 * u, 5 * (3*u*u - 1) / 2}
		for i, w := range shape {
			r[i] += w * off / sidePlaces
		}
		if !derive {
			continue
		}
		x, y := m.jacobian(p, params)
		for i, w := range shape {
			for j := range params {
				rows[i][j] += w * (across.X*x[j] + across.Y*y[j]) / sidePlaces
			}
		}
	}
	return r, rows
}

// cost is the weighted sum of squared misses, beside the slip of all rims.
func (s *sideMatch) cost(m model, rim float64) float64 {
	r, _ := s.misses(m, 0, false)
	r[0] -= rim
	return s.weight[0]*r[0]*r[0] + s.weight[1]*r[1]*r[1] + s.weight[2]*r[2]*r[2]
}

// addTo adds a side's share to the normal equations.
// The last unknown, where there are more than params, is the slip of all rims.
func (s *sideMatch) addTo(normal *mat.SymDense, right []float64, m model, params int, rim float64) {
	n := len(right)
	r, byMap := s.misses(m, params, true)
	r[0] -= rim
	for i, w := range s.weight {
		rows := make([]float64, n)
		copy(rows, byMap[i][:params])
		if i == 0 && n > params {
			rows[n-1] = -1
		}
		for a := range n {
			right[a] -= w * rows[a] * r[i]
			for b := a; b < n; b++ {
				normal.SetSym(a, b, normal.At(a, b)+w*rows[a]*rows[b])
			}
		}
	}
}

// weigh sets the weights under a map: Student's t for each side.
func (s *sideMatch) weigh(m model, rim, longer float64) {
	mean := square(s.component.sd()) + square(s.foil.sd()) + square(sideShare*longer)
	r, _ := s.misses(m, 0, false)
	r[0] -= rim
	places := (square(s.component.noise) + square(s.foil.noise)) / (0.5 * edgePlaces)
	v := [3]float64{mean, square(slopeShare) * mean, square(bendShare) * mean}
	form := 0.0
	for i := range v {
		v[i] += places * float64(2*i+1)
		form += r[i] * r[i] / v[i]
	}
	for i := range v {
		s.weight[i] = (sideHeavy + 3) / (sideHeavy + form) / v[i]
	}
	s.off = math.Sqrt(form)
}

// pairSides finds, for each component side, the foil side that the map lays it
// on.
func (s *sharpener) pairSides(m model) []sideMatch {
	var list []sideMatch
	for _, on := range s.edgesOn {
		c := rim(on)
		if c.support < longSupport {
			continue
		}
		q, front := m.apply(c.place(0))
		for _, under := range s.edgesUnder {
			f := rim(under)
			if !front || f.support < longSupport || !alongside(m, c, f, q) {
				continue
			}
			t := sideMatch{component: c, foil: f}
			if r, _ := t.misses(m, 0, false); math.Abs(r[0]) < math.Max(4, sideReach*s.longer) {
				list = append(list, t)
			}
		}
	}
	return list
}

// alongside reports whether a foil edge runs as the mapped component edge does
// and near it.
func alongside(m model, c, f edge, middle geom.Point) bool {
	a, _ := m.apply(c.place(-0.5))
	b, _ := m.apply(c.place(0.5))
	d := b.Sub(a)
	turn := math.Abs(d.X*f.along.Y-d.Y*f.along.X) / d.Norm()
	off, _ := f.distance(middle)
	return turn < 0.1 && math.Abs(off) < 0.05*f.length
}
