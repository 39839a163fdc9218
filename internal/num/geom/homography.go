package geom

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrDegenerate is returned where points don't determine a map: too few, or
// all but one of them on a line.
var ErrDegenerate = errors.New("points don't determine a projective map")

// Homography is the projective map that takes from[i] to to[i] best in the
// algebraic sense, by the direct linear transform on normalised points. Where
// there are more than four pairs it is a start for least squares, not its end.
//
// Shapes:   len(from) == len(to) ≥ 4.
// Accuracy: exact pairs come back to some 1e-12 of their spread.
// Errors:   ErrDegenerate.
// Source:   Hartley, IEEE PAMI 19 (1997); Hartley & Zisserman, Multiple View
// Geometry, 2nd ed., algorithm 4.2.
func Homography(from, to []Point) (Projective, error) {
	n := len(from)
	if n < 4 || n != len(to) {
		return Projective{}, ErrDegenerate
	}
	toUnit, ok1 := Normaliser(from)
	ofUnit, ok2 := Normaliser(to)
	if !ok1 || !ok2 {
		return Projective{}, ErrDegenerate
	}
	a := mat.NewDense(max(2*n, 9), 9, nil)
	for i := range from {
		p, q := toUnit.Apply(from[i]), ofUnit.Apply(to[i])
		a.SetRow(2*i, []float64{p.X, p.Y, 1, 0, 0, 0, -q.X * p.X, -q.X * p.Y, -q.X})
		a.SetRow(2*i+1, []float64{0, 0, 0, p.X, p.Y, 1, -q.Y * p.X, -q.Y * p.Y, -q.Y})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return Projective{}, ErrDegenerate
	}
	values := svd.Values(nil)
	// The null space must be one-dimensional: 1e-9 is far above rounding
	// (normalised entries are of order 1) and far below a usable layout.
	if values[7] < 1e-9*values[0] {
		return Projective{}, ErrDegenerate
	}
	var v mat.Dense
	svd.VTo(&v)
	var unit Projective
	for i := range unit {
		unit[i] = v.At(i, 8)
	}
	back, err := ofUnit.Inverse()
	// unit has norm 1; three points on a line on one side only make it singular.
	if err != nil || math.Abs(unit.Det()) < 1e-12 {
		return Projective{}, ErrDegenerate
	}
	return back.Mul(unit).Mul(toUnit).Normal(), nil
}

// Normaliser is the similarity that brings the points' centroid to the origin
// and their root mean square distance from it to √2; false where they all fall
// on one point.
func Normaliser(points []Point) (Projective, bool) {
	var c Point
	for _, p := range points {
		c = c.Add(p.Scale(1 / float64(len(points))))
	}
	sum := 0.0
	for _, p := range points {
		d := p.Sub(c)
		sum += d.X*d.X + d.Y*d.Y
	}
	rms := math.Sqrt(sum / float64(len(points)))
	if !(rms > 0) || math.IsInf(rms, 0) {
		return Projective{}, false
	}
	k := math.Sqrt2 / rms
	return Projective{k, 0, -k * c.X, 0, k, -k * c.Y, 0, 0, 1}, true
}

// FourPoint is the projective map that takes each from[i] to to[i] exactly;
// false where three of either lie on a line.
//
// Source: by way of the standard projective basis, Semple & Kneebone,
// Algebraic Projective Geometry, ch. II.
func FourPoint(from, to [4]Point) (Projective, bool) {
	a, ok1 := basisTo(from)
	b, ok2 := basisTo(to)
	if !ok1 || !ok2 {
		return Projective{}, false
	}
	inv, err := a.Inverse()
	if err != nil {
		return Projective{}, false
	}
	return b.Mul(inv), true
}

// basisTo maps the projective basis (1,0,0), (0,1,0), (0,0,1), (1,1,1) to the
// four points.
func basisTo(p [4]Point) (Projective, bool) {
	// Barycentric weights of p[3] in the triangle of the others, times its area.
	k0 := Turn(p[1], p[2], p[3])
	k1 := Turn(p[2], p[0], p[3])
	k2 := Turn(p[0], p[1], p[3])
	whole := Turn(p[0], p[1], p[2])
	size := math.Max(math.Abs(k0)+math.Abs(k1)+math.Abs(k2), math.Abs(whole))
	for _, k := range []float64{k0, k1, k2, whole} {
		if !(math.Abs(k) > 1e-9*size) {
			return Projective{}, false
		}
	}
	return Projective{
		k0 * p[0].X, k1 * p[1].X, k2 * p[2].X,
		k0 * p[0].Y, k1 * p[1].Y, k2 * p[2].Y,
		k0, k1, k2,
	}, true
}

// Turn is twice the signed area of the triangle a, b, c: positive where they
// run clockwise as seen with y down.
func Turn(a, b, c Point) float64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// W is the third homogeneous coordinate that Apply divides by: its sign tells
// the side of the map's horizon on which p lies.
func (m Projective) W(p Point) float64 { return m[6]*p.X + m[7]*p.Y + m[8] }

// Jacobian is the derivative of Apply at p, row by row: ∂x'/∂x, ∂x'/∂y,
// ∂y'/∂x, ∂y'/∂y.
func (m Projective) Jacobian(p Point) [4]float64 {
	w, q := m.W(p), m.Apply(p)
	return [4]float64{
		(m[0] - q.X*m[6]) / w, (m[1] - q.X*m[7]) / w,
		(m[3] - q.Y*m[6]) / w, (m[4] - q.Y*m[7]) / w,
	}
}
