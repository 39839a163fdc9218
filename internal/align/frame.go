package align

import (
	"fmt"
	"math"

	"foilside/internal/num/geom"
)

// Side names one of the two photos.
type Side string

// The two sides of a board, as CONTRACT §2 writes them.
const (
	ComponentSide Side = "component"
	FoilSide      Side = "foil"
)

// Scale is two pixels of one photo a known distance apart.
type Scale struct {
	From, To geom.Point
	MM       float64
	On       Side
}

// Frame gives board coordinates: millimetres as seen from the component side,
// x right, y down, the component photo's first pixel as origin.
//
// The component photo, its lens undone, is taken as square to the board. What
// tilt it has shows as a slow change of scale over the board; the Scale fixes
// it where it was measured.
type Frame struct {
	MMPerPixel float64 // of the component photo, undistorted
	// Assumed is set where no scale was given: lengths are then for looking
	// only, and whoever prints one must say so.
	Assumed bool

	alignment *Alignment
}

// assumedMM is the length taken for the longer side of the component photo
// where no scale is given: a hand-sized board.
const assumedMM = 120.0

// NewFrame makes the frame of an alignment. A nil scale gives an assumed one.
//
// Errors: *Problem for a scale whose ends coincide, lie outside the photo, or
// whose length is not a positive number of millimetres.
func NewFrame(a *Alignment, scale *Scale) (Frame, error) {
	if scale == nil {
		longer := float64(max(a.Sizes.Component.Width, a.Sizes.Component.Height))
		return Frame{MMPerPixel: assumedMM / longer, Assumed: true, alignment: a}, nil
	}
	if err := checkScale(a, *scale); err != nil {
		return Frame{}, err
	}
	from, to := scale.From, scale.To
	if scale.On == FoilSide {
		from, to = a.ToComponent(from), a.ToComponent(to)
	}
	apart := a.Lens.Component.Undistort(from).Dist(a.Lens.Component.Undistort(to))
	if !(apart > 0) || math.IsInf(apart, 0) {
		return Frame{}, scaleProblem("its ends lie beyond the horizon of the alignment")
	}
	return Frame{MMPerPixel: scale.MM / apart, alignment: a}, nil
}

// nearestEnds is the least distance between the ends of a scale in pixels: at
// half a pixel of pointing it makes 2.5 % of error.
const nearestEnds = 20.0

func checkScale(a *Alignment, s Scale) error {
	size := a.Sizes.Component
	switch s.On {
	case ComponentSide:
	case FoilSide:
		size = a.Sizes.Foil
	default:
		return scaleProblem(fmt.Sprintf("it must stand on %q or %q, not %q", ComponentSide, FoilSide, s.On))
	}
	if !(s.MM > 0) || math.IsInf(s.MM, 0) {
		return scaleProblem(fmt.Sprintf("%g mm is no length", s.MM))
	}
	for _, p := range []geom.Point{s.From, s.To} {
		if !p.Finite() || !size.contains(p) {
			return scaleProblem(fmt.Sprintf("[%g, %g] lies outside the %s photo, which is %d × %d pixels", p.X, p.Y, s.On, size.Width, size.Height))
		}
	}
	if s.From.Dist(s.To) < nearestEnds {
		return scaleProblem(fmt.Sprintf("its ends are only %.1f pixels apart", s.From.Dist(s.To)))
	}
	return nil
}

func scaleProblem(reason string) error {
	return &Problem{Kind: BadScale, Reason: "the scale can't be used: " + reason,
		Advice: "give two pixels of one photo far apart, and the millimetres between them"}
}

// FromComponent gives the board coordinates, in mm, of a component pixel.
func (f Frame) FromComponent(p geom.Point) geom.Point {
	return f.alignment.Lens.Component.Undistort(p).Scale(f.MMPerPixel)
}

// FromFoil gives the board coordinates, in mm, of a foil pixel.
func (f Frame) FromFoil(p geom.Point) geom.Point {
	return f.FromComponent(f.alignment.ToComponent(p))
}

// ToComponent gives the component pixel of a place on the board in mm.
func (f Frame) ToComponent(mm geom.Point) geom.Point {
	return f.alignment.Lens.Component.Distort(mm.Scale(1 / f.MMPerPixel))
}

// ToFoil gives the foil pixel of a place on the board in mm.
func (f Frame) ToFoil(mm geom.Point) geom.Point {
	return f.alignment.ToFoil(f.ToComponent(mm))
}

// MMPerFoilPixel is the length of one foil pixel on the board near foil pixel
// p, in mm: the root of the area it covers.
func (f Frame) MMPerFoilPixel(p geom.Point) float64 {
	const h = 0.5
	dx := f.FromFoil(p.Add(geom.Point{X: h})).Sub(f.FromFoil(p.Sub(geom.Point{X: h})))
	dy := f.FromFoil(p.Add(geom.Point{Y: h})).Sub(f.FromFoil(p.Sub(geom.Point{Y: h})))
	return math.Sqrt(math.Abs(dx.X*dy.Y - dx.Y*dy.X))
}
