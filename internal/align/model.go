package align

import (
	"foilside/internal/num/geom"
)

// Parameter counts of the model without lenses, with one term each, and with
// the places of both optical axes as well.
const (
	plainParams = 8
	lensParams  = 10
	fullParams  = 14
)

// model is the map being fitted: undistort, matrix, distort. The matrix is
// kept as eight numbers (the last is 1) between unit coordinates, in which all
// of them are of order 1:
//
//	component unit = (pixel - middle of the pairs) / half the photo's longer side
//	foil unit      = the same on the foil photo
type model struct {
	toUnit   geom.Projective // component pixel → component unit
	fromUnit geom.Projective // foil unit → foil pixel
	h        [plainParams]float64
	lens     Lenses
}

// newModel sets up the coordinates; h is still zero.
func newModel(pairs []Pair, sizes Sizes) model {
	component, foil := split(pairs)
	c, f := mean(component), mean(foil)
	hc := float64(max(sizes.Component.Width, sizes.Component.Height)) / 2
	hf := float64(max(sizes.Foil.Width, sizes.Foil.Height)) / 2
	return model{
		toUnit:   geom.Projective{1 / hc, 0, -c.X / hc, 0, 1 / hc, -c.Y / hc, 0, 0, 1},
		fromUnit: geom.Projective{hf, 0, f.X, 0, hf, f.Y, 0, 0, 1},
		lens:     noLenses(sizes),
	}
}

func mean(points []geom.Point) geom.Point {
	var sum geom.Point
	for _, p := range points {
		sum = sum.Add(p)
	}
	return sum.Scale(1 / float64(len(points)))
}

// unit is the map between unit coordinates.
func (m model) unit() geom.Projective {
	return geom.Projective{m.h[0], m.h[1], m.h[2], m.h[3], m.h[4], m.h[5], m.h[6], m.h[7], 1}
}

// matrix is the map between undistorted pixels.
func (m model) matrix() geom.Projective {
	return m.fromUnit.Mul(m.unit()).Mul(m.toUnit).Normal()
}

// setMatrix takes over a map between undistorted pixels; false where the
// middle of the pairs lies on its horizon.
func (m *model) setMatrix(p geom.Projective) bool {
	fromPixel, err1 := m.fromUnit.Inverse()
	toPixel, err2 := m.toUnit.Inverse()
	if err1 != nil || err2 != nil {
		return false
	}
	u := fromPixel.Mul(p).Mul(toPixel)
	if u[8] == 0 {
		return false
	}
	u = u.Normal()
	copy(m.h[:], u[:plainParams])
	return true
}

// apply maps a component pixel to a foil pixel; front tells whether it lies on
// the seen side of the horizon.
func (m model) apply(p geom.Point) (q geom.Point, front bool) {
	v := m.toUnit.Apply(m.lens.Component.Undistort(p))
	n := m.unit()
	return m.lens.Foil.Distort(m.fromUnit.Apply(n.Apply(v))), n.W(v) > minW
}

// minW is the least third coordinate taken as in front of the horizon. It is 1
// at the middle of the pairs; at 0.05 the foil photo would show the place at a
// twentieth of the scale.
const minW = 0.05

// jacobian is the derivative of apply at p by the first params parameters: the
// eight of h, both k1, the component lens's centre in half norms, the foil
// lens's. Row x first, then row y.
func (m model) jacobian(p geom.Point, params int) (x, y [fullParams]float64) {
	u := m.lens.Component.Undistort(p)
	v := m.toUnit.Apply(u)
	n := m.unit()
	q, w := n.Apply(v), n.W(v)
	t := m.fromUnit.Apply(q)
	bend, byFoil := m.lens.Foil.DistortJacobian(t)
	scale := m.fromUnit[0]
	rowX := [plainParams]float64{v.X, v.Y, 1, 0, 0, 0, -q.X * v.X, -q.X * v.Y}
	rowY := [plainParams]float64{0, 0, 0, v.X, v.Y, 1, -q.Y * v.X, -q.Y * v.Y}
	for i := range plainParams {
		a, b := rowX[i]*scale/w, rowY[i]*scale/w
		x[i], y[i] = bend[0]*a+bend[1]*b, bend[2]*a+bend[3]*b
	}
	if params == plainParams {
		return x, y
	}
	k := m.lens.Component.UndistortByK1(u)
	j := m.matrix().Jacobian(u)
	a, b := j[0]*k.X+j[1]*k.Y, j[2]*k.X+j[3]*k.Y
	x[8], y[8] = bend[0]*a+bend[1]*b, bend[2]*a+bend[3]*b
	x[9], y[9] = byFoil.X, byFoil.Y
	if params == lensParams {
		return x, y
	}
	c, f := m.centreStep()
	byCentre := m.lens.Component.UndistortByCentre(u)
	for k := range 2 {
		du, dv := byCentre[k]*c, byCentre[2+k]*c
		a, b := j[0]*du+j[1]*dv, j[2]*du+j[3]*dv
		x[10+k], y[10+k] = bend[0]*a+bend[1]*b, bend[2]*a+bend[3]*b
	}
	x[12], y[12] = (1-bend[0])*f, -bend[2]*f
	x[13], y[13] = -bend[1]*f, (1-bend[3])*f
	return x, y
}

// centreStep is the length, in pixels of each photo, that a lens centre moves
// for a step of 1 in its parameters.
func (m model) centreStep() (component, foil float64) {
	return m.lens.Component.Norm / 2, m.lens.Foil.Norm / 2
}

// move adds a step to the first len(step) parameters.
func (m model) move(step []float64) model {
	for i := range plainParams {
		m.h[i] += step[i]
	}
	if len(step) >= lensParams {
		m.lens.Component.K1 += step[8]
		m.lens.Foil.K1 += step[9]
	}
	if len(step) == fullParams {
		c, f := m.centreStep()
		m.lens.Component.Centre = m.lens.Component.Centre.Add(geom.Point{X: step[10], Y: step[11]}.Scale(c))
		m.lens.Foil.Centre = m.lens.Foil.Centre.Add(geom.Point{X: step[12], Y: step[13]}.Scale(f))
	}
	return m
}
