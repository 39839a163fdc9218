package geom

// Lens is one radial term about a centre: a point at undistorted radius r is
// seen at r·(1 + K1·(r/Norm)²).
//
// Source: Brown 1966, first radial term.
type Lens struct {
	Centre Point   `json:"centre"`
	Norm   float64 `json:"norm"` // length that makes the radius a plain number, same unit as Centre
	K1     float64 `json:"k1"`
}

// Distort maps an undistorted point to where the lens shows it.
func (l Lens) Distort(p Point) Point {
	d := p.Sub(l.Centre)
	r := d.Norm() / l.norm()
	return l.Centre.Add(d.Scale(1 + l.K1*r*r))
}

// Undistort inverts Distort by Newton's method on the radius.
//
// Accuracy: 1e-12 of the norm wherever the lens term is monotonic
// (3·K1·r² > -1); beyond that the last iterate is returned.
func (l Lens) Undistort(p Point) Point {
	d := p.Sub(l.Centre)
	seen := d.Norm() / l.norm()
	if seen == 0 || l.K1 == 0 {
		return p
	}
	r := seen
	for range 20 {
		slope := 1 + 3*l.K1*r*r
		if slope <= 0 {
			break
		}
		step := (r*(1+l.K1*r*r) - seen) / slope
		r -= step
		if step < 1e-14 && step > -1e-14 {
			break
		}
	}
	return l.Centre.Add(d.Scale(r / seen))
}

func (l Lens) norm() float64 {
	if l.Norm == 0 {
		return 1
	}
	return l.Norm
}
