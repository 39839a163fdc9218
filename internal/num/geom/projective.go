package geom

import (
	"errors"
	"math"
)

// Projective is a 3×3 map of the projective plane, row by row.
type Projective [9]float64

// ErrSingular is returned where a map has no inverse.
var ErrSingular = errors.New("projective map has no inverse")

// Identity maps every point to itself.
func Identity() Projective { return Projective{1, 0, 0, 0, 1, 0, 0, 0, 1} }

// Apply maps p. A point on the map's horizon comes back infinite.
func (m Projective) Apply(p Point) Point {
	w := m[6]*p.X + m[7]*p.Y + m[8]
	return Point{(m[0]*p.X + m[1]*p.Y + m[2]) / w, (m[3]*p.X + m[4]*p.Y + m[5]) / w}
}

// Mul returns the map that applies n first, then m.
func (m Projective) Mul(n Projective) Projective {
	var r Projective
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				r[3*i+j] += m[3*i+k] * n[3*k+j]
			}
		}
	}
	return r
}

// Det is the determinant. With the last element positive, a negative
// determinant means that the map mirrors.
func (m Projective) Det() float64 {
	return m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
}

// Inverse returns the inverse map, scaled so that its last element is 1
// where that is possible.
//
// Errors: ErrSingular where the determinant vanishes against the entries.
func (m Projective) Inverse() (Projective, error) {
	d := m.Det()
	scale := 0.0
	for _, v := range m {
		scale = math.Max(scale, math.Abs(v))
	}
	if d == 0 || math.IsNaN(d) || math.Abs(d) < 1e-18*scale {
		return Projective{}, ErrSingular
	}
	r := Projective{
		m[4]*m[8] - m[5]*m[7], m[2]*m[7] - m[1]*m[8], m[1]*m[5] - m[2]*m[4],
		m[5]*m[6] - m[3]*m[8], m[0]*m[8] - m[2]*m[6], m[2]*m[3] - m[0]*m[5],
		m[3]*m[7] - m[4]*m[6], m[1]*m[6] - m[0]*m[7], m[0]*m[4] - m[1]*m[3],
	}
	for i := range r {
		r[i] /= d
	}
	return r.Normal(), nil
}

// Normal scales the map so that its last element is 1, where it is not 0.
func (m Projective) Normal() Projective {
	if m[8] == 0 {
		return m
	}
	k := m[8]
	for i := range m {
		m[i] /= k
	}
	return m
}
