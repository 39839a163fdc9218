package align

import (
	"math"

	"foilside/internal/num/geom"
)

// Covariance is that of where ToFoil puts a component pixel, foil pixels²: the
// matrix of Uncertainty.
func (a *Alignment) Covariance(p geom.Point) [2][2]float64 { return a.Uncertainty(p).Cov }

// ErrorMap is the map's own error over the component photo, to be drawn.
type ErrorMap struct {
	Columns int          `json:"columns"`
	Rows    int          `json:"rows"`
	Places  []ErrorPlace `json:"places"` // row by row; those that the map can't show are left out
}

// ErrorPlace is the error at one place.
type ErrorPlace struct {
	Component [2]float64 `json:"component"` // pixel
	Foil      [2]float64 `json:"foil"`      // pixel
	XX        float64    `json:"xx"`        // covariance, foil pixels²
	XY        float64    `json:"xy"`
	YY        float64    `json:"yy"`
	// Error95 is the longer half axis of the ellipse that holds the true place
	// with 95 %, foil pixels.
	Error95 float64 `json:"error95_px"`
}

// Steps of the error map along the photo's longer side.
const errorSteps = 12

// ErrorMap gives the error on a grid over the component photo.
func (a *Alignment) ErrorMap() ErrorMap {
	size := a.Sizes.Component
	step := float64(max(size.Width, size.Height)) / errorSteps
	m := ErrorMap{Columns: max(1, int(math.Round(float64(size.Width)/step))), Rows: max(1, int(math.Round(float64(size.Height)/step)))}
	for r := range m.Rows {
		for c := range m.Columns {
			p := geom.Point{X: (float64(c)+0.5)*float64(size.Width)/float64(m.Columns) - 0.5,
				Y: (float64(r)+0.5)*float64(size.Height)/float64(m.Rows) - 0.5}
			q, e := a.ToFoil(p), a.Uncertainty(p)
			if q.Finite() && !math.IsInf(e.Major, 0) && !math.IsNaN(e.Major) {
				m.Places = append(m.Places, ErrorPlace{Component: [2]float64{p.X, p.Y}, Foil: [2]float64{q.X, q.Y},
					XX: e.Cov[0][0], XY: e.Cov[0][1], YY: e.Cov[1][1], Error95: inside95 * e.Major})
			}
		}
	}
	return m
}

// inside95 is the root of the χ² quantile of 95 % with two degrees of freedom.
const inside95 = 2.4477
