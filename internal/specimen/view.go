package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// View is how one photograph sees the board: exact both ways.
type View struct {
	Width  int             `json:"width"`
	Height int             `json:"height"`
	Matrix geom.Projective `json:"matrix"` // board mm → pixel before the lens
	Lens   geom.Lens       `json:"lens"`
	Foot   geom.Point      `json:"foot"`  // board mm under the camera
	Above  float64         `json:"above"` // camera's distance from the board's plane, mm
	inv    geom.Projective
}

// ToPixel maps a place on the board's surface to the photograph.
func (v View) ToPixel(mm geom.Point) geom.Point {
	return v.Lens.Distort(v.Matrix.Apply(mm))
}

// ToBoard maps a pixel to the board's surface.
func (v View) ToBoard(px geom.Point) geom.Point {
	return v.inv.Apply(v.Lens.Undistort(px))
}

// Lift returns the place on the board's surface that the camera sees at the
// same pixel as the point h above mm.
func (v View) Lift(mm geom.Point, h float64) geom.Point {
	k := v.Above / (v.Above - h)
	return v.Foot.Add(mm.Sub(v.Foot).Scale(k))
}

// Camera says from where and with which lens one face is photographed.
type Camera struct {
	Tilt     float64    `json:"tilt"`           // between the optical axis and the board's normal, radians
	TiltAxis float64    `json:"tiltAxis"`       // direction of the tilt in the picture, radians
	Spin     float64    `json:"spin"`           // turn of the board in the picture, radians
	Distance float64    `json:"distance"`       // from the board's middle, in board diagonals
	Margin   float64    `json:"margin"`         // bench around the board, share of the picture
	K1       float64    `json:"k1"`             // radial lens term at half the picture's diagonal
	Zoom     float64    `json:"zoom,omitempty"` // above 0: a close-up, this much larger than the whole board would be
	Aim      geom.Point `json:"aim,omitzero"`   // a close-up's middle, board mm
	Off      geom.Point `json:"off"`            // lens centre off the picture's centre, share of the width
}

// newView places a board of the given size in a picture width pixels wide.
// Height 0 gives the picture the height that the board needs.
func newView(size geom.Point, mirrored bool, c Camera, width, height int) (View, error) {
	m, foot, above := pose(size, mirrored, c)
	lo, hi := extent(m, size)
	span := hi.Sub(lo)
	if height == 0 {
		height = int(math.Round(float64(width) * ((1-2*c.Margin)*span.Y/span.X + 2*c.Margin*math.Min(1, span.Y/span.X))))
	}
	w, h := float64(width), float64(height)
	k := math.Min(w*(1-2*c.Margin)/span.X, (h-2*c.Margin*math.Min(w, h))/span.Y)
	mid := lo.Add(hi).Scale(0.5)
	if c.Zoom > 0 {
		k *= c.Zoom
		mid = m.Apply(c.Aim)
	}
	fit := geom.Projective{k, 0, w/2 - 0.5 - k*mid.X, 0, k, h/2 - 0.5 - k*mid.Y, 0, 0, 1}
	v := View{Width: width, Height: height, Matrix: fit.Mul(m).Normal(), Foot: foot, Above: above}
	v.Lens = geom.Lens{
		Centre: geom.Point{X: w/2 - 0.5 + c.Off.X*w, Y: h/2 - 0.5 + c.Off.Y*w},
		Norm:   math.Hypot(w, h) / 2, K1: c.K1,
	}
	var err error
	v.inv, err = v.Matrix.Inverse()
	return v, err
}

// pose returns the map from board mm to the plane of a pinhole camera with
// focal length 1, and where that camera stands over the board.
func pose(size geom.Point, mirrored bool, c Camera) (m geom.Projective, foot geom.Point, above float64) {
	flip := 1.0
	if mirrored {
		flip = -1
	}
	toMiddle := geom.Projective{flip, 0, -flip * size.X / 2, 0, 1, -size.Y / 2, 0, 0, 1}
	toMiddle = turn(c.Spin).Mul(toMiddle)
	ct, st := math.Cos(c.Tilt), math.Sin(c.Tilt)
	d := c.Distance * size.Norm()
	// About the tilt's own axes the board's plane point (u, v) lies at
	// (u·cos, v, d + u·sin) before the camera.
	tilt := geom.Projective{ct, 0, 0, 0, 1, 0, st, 0, d}
	m = turn(c.TiltAxis).Mul(tilt).Mul(turn(-c.TiltAxis)).Mul(toMiddle)
	// The camera sits at distance d along the board's own normal turned by the tilt.
	back, err := turn(-c.TiltAxis).Mul(toMiddle).Inverse()
	if err != nil {
		return m, size.Scale(0.5), d
	}
	return m, back.Apply(geom.Point{X: -d * st}), d * ct
}

func turn(a float64) geom.Projective {
	s, c := math.Sincos(a)
	return geom.Projective{c, -s, 0, s, c, 0, 0, 0, 1}
}

// extent is the box of the board's corners under m.
func extent(m geom.Projective, size geom.Point) (lo, hi geom.Point) {
	lo = geom.Point{X: math.Inf(1), Y: math.Inf(1)}
	hi = lo.Scale(-1)
	for _, p := range []geom.Point{{}, {X: size.X}, {Y: size.Y}, size} {
		q := m.Apply(p)
		lo = geom.Point{X: math.Min(lo.X, q.X), Y: math.Min(lo.Y, q.Y)}
		hi = geom.Point{X: math.Max(hi.X, q.X), Y: math.Max(hi.Y, q.Y)}
	}
	return lo, hi
}
