package geom

// DistortJacobian is the derivative of Distort at the undistorted point p, row
// by row, and its derivative by K1.
func (l Lens) DistortJacobian(p Point) (byPoint [4]float64, byK1 Point) {
	d := p.Sub(l.Centre).Scale(1 / l.norm())
	r2 := d.X*d.X + d.Y*d.Y
	a, k := 1+l.K1*r2, 2*l.K1
	byPoint = [4]float64{a + k*d.X*d.X, k * d.X * d.Y, k * d.X * d.Y, a + k*d.Y*d.Y}
	return byPoint, d.Scale(r2 * l.norm())
}

// UndistortByK1 is the derivative of the undistorted point u by K1, with its
// seen point held still: distort and undistort cancel, so it is minus the
// inverse of the one's Jacobian times its derivative by K1.
func (l Lens) UndistortByK1(u Point) Point {
	j, k := l.DistortJacobian(u)
	det := j[0]*j[3] - j[1]*j[2]
	if det == 0 {
		return Point{}
	}
	return Point{-(j[3]*k.X - j[1]*k.Y) / det, -(j[0]*k.Y - j[2]*k.X) / det}
}

// UndistortByCentre is the derivative of the undistorted point u by the lens's
// centre, row by row, with its seen point held still: the unit matrix less the
// inverse of Distort's derivative at u.
func (l Lens) UndistortByCentre(u Point) [4]float64 {
	j, _ := l.DistortJacobian(u)
	det := j[0]*j[3] - j[1]*j[2]
	if det == 0 {
		return [4]float64{}
	}
	return [4]float64{1 - j[3]/det, j[1] / det, j[2] / det, 1 - j[0]/det}
}

// Monotonic reports whether the lens maps the disc of the given radius one to
// one, so that Undistort has one answer there.
func (l Lens) Monotonic(radius float64) bool {
	r := radius / l.norm()
	return 1+3*l.K1*r*r > 0
}
