package align

import (
	"math"

	"foilside/internal/num/geom"
)

// How an Alignment was found (CONTRACT §3, "found").
const (
	FoundPoints    = "points"
	FoundAutomatic = "automatic"
)

// Alignment is one photo laid over the other.
type Alignment struct {
	Sizes Sizes
	Found string // FoundPoints or FoundAutomatic

	// Plain is the best projective map from component pixel to foil pixel,
	// without any lens; last element 1.
	Plain geom.Projective
	// Exact and Lens are the map that ToFoil uses: undistort with
	// Lens.Component, Exact, distort with Lens.Foil. Exact is Plain where the
	// pairs bear no lens.
	Exact geom.Projective
	Lens  Lenses
	// PlainLens are the lens terms that serve Plain best when it stays as it
	// is; flat where Lens is.
	PlainLens Lenses

	// ResidualPx is the root mean square distance, in foil pixels, between
	// where the exact map puts the pairs kept and where they were marked.
	ResidualPx float64
	// NoisePx is the estimated pointing noise of one coordinate, foil pixels.
	NoisePx float64
	// Confidence says in words what an automatic map rests on.
	Confidence string
	// Refined is set where holes, joints and edges seen between pixels in both
	// photos made the map exact.
	Refined bool
	// Kept and Left count the pairs from 1.
	Kept []int
	Left []Misfit
	// Problems are for the person to see; the map stands all the same.
	Problems []Problem

	fit fitted
	// common is the standard deviation, foil pixels a coordinate, of what
	// shifts all places alike; no pair tells of it.
	common float64
}

// Misfit is a pair that was left out.
type Misfit struct {
	Pair       int     `json:"pair"`        // counted from 1
	DistancePx float64 `json:"distance_px"` // foil pixels from where the other pairs put it
}

// ToFoil maps a component pixel to the foil pixel of the same place. A place
// beyond the map's horizon gives a point that is not Finite.
func (a *Alignment) ToFoil(p geom.Point) geom.Point {
	return a.Lens.Foil.Distort(a.Exact.Apply(a.Lens.Component.Undistort(p)))
}

// ToComponent maps a foil pixel to the component pixel of the same place.
func (a *Alignment) ToComponent(p geom.Point) geom.Point {
	inv, err := a.Exact.Inverse()
	if err != nil {
		nan := math.NaN()
		return geom.Point{X: nan, Y: nan}
	}
	return a.Lens.Component.Distort(inv.Apply(a.Lens.Foil.Undistort(p)))
}

// Mirrored reports whether the map turns the board over, as it must.
func (a *Alignment) Mirrored() bool { return turns(a.Plain, a.Sizes) < 0 }

// turns is the sign of the map's area factor at the middle of the component
// photo.
func turns(m geom.Projective, sizes Sizes) float64 {
	j := m.Jacobian(sizes.Component.centre())
	return j[0]*j[3] - j[1]*j[2]
}

// Ellipse is an error ellipse of one standard deviation.
type Ellipse struct {
	Cov          [2][2]float64 // foil pixels²
	Major, Minor float64       // half axes, foil pixels
	Angle        float64       // of the major axis from x towards y, radians
}

// Uncertainty is how far ToFoil(p) may be off, from the noise of the pairs and
// where they lie; the noise of pointing at p itself is not in it. In an
// automatic map it also holds what leads and solder, which stand off the
// board, shift when they are seen at a slant. The true
// place is within 2.45 half axes with 95 %, also where few pairs leave the
// noise itself in doubt.
func (a *Alignment) Uncertainty(p geom.Point) Ellipse {
	if a.fit.cov == nil {
		return Ellipse{}
	}
	c := a.fit.placeCov(p)
	for i := range c {
		c[i] *= a.fit.spread()
	}
	c[0] += a.common * a.common
	c[2] += a.common * a.common
	middle, half := (c[0]+c[2])/2, math.Hypot((c[0]-c[2])/2, c[1])
	return Ellipse{
		Cov:   [2][2]float64{{c[0], c[1]}, {c[1], c[2]}},
		Major: math.Sqrt(math.Max(0, middle+half)),
		Minor: math.Sqrt(math.Max(0, middle-half)),
		Angle: math.Atan2(2*c[1], c[0]-c[2]) / 2,
	}
}
