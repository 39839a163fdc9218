package align

import "foilside/internal/num/geom"

// Report is an alignment as the command line answers it (CONTRACT §3).
type Report struct {
	// Matrix and Lens are the plain map with the terms that serve it best; for
	// a map refined between pixels they are the exact map, which a plain one
	// misses by pixels where a lens bends.
	Matrix geom.Projective `json:"matrix"`
	Lens   LensReport      `json:"lens"`
	// Plain is the best map without any lens.
	Plain geom.Projective `json:"plain"`
	// Exact is the map the program itself uses, matrix and lens fitted
	// together.
	Exact      ExactReport `json:"exact"`
	ResidualPx float64     `json:"residual_px"`
	ResidualMM *float64    `json:"residual_mm"` // null where the scale is assumed
	MMPerPixel *float64    `json:"mm_per_foil_pixel"`
	NoisePx    float64     `json:"noise_px"`
	Found      string      `json:"found"`
	// Confidence says in words what an automatic map rests on.
	Confidence string `json:"confidence,omitempty"`
	// ErrorPx is the map's own error over the component photo.
	ErrorPx  ErrorMap  `json:"error_px"`
	Left     []Misfit  `json:"left_out"`
	Problems []Problem `json:"problems"`
}

// ExactReport is a matrix between undistorted pixels with its lenses.
type ExactReport struct {
	Matrix geom.Projective `json:"matrix"`
	Lens   LensReport      `json:"lens"`
}

// LensReport holds the lens term of each photo.
type LensReport struct {
	Component LensTerm `json:"component"`
	Foil      LensTerm `json:"foil"`
}

// LensTerm is one radial term: a point at undistorted radius r from the centre
// is seen at r·(1 + k1·(r/norm)²).
type LensTerm struct {
	Centre [2]float64 `json:"centre"` // pixels
	Norm   float64    `json:"norm"`   // pixels
	K1     float64    `json:"k1"`
}

// Report gives the alignment in the words of CONTRACT §3.
func (a *Alignment) Report(f Frame) Report {
	r := Report{Matrix: a.Plain, Lens: reportLenses(a.PlainLens), Plain: a.Plain,
		Exact:      ExactReport{Matrix: a.Exact, Lens: reportLenses(a.Lens)},
		ErrorPx:    a.ErrorMap(),
		ResidualPx: a.ResidualPx, NoisePx: a.NoisePx, Found: a.Found, Confidence: a.Confidence,
		Left: append([]Misfit{}, a.Left...), Problems: append([]Problem{}, a.Problems...)}
	if a.Refined {
		r.Matrix, r.Lens = r.Exact.Matrix, r.Exact.Lens
	}
	if !f.Assumed {
		perPixel := f.MMPerFoilPixel(a.ToFoil(a.Sizes.Component.centre()))
		mm := a.ResidualPx * perPixel
		r.MMPerPixel, r.ResidualMM = &perPixel, &mm
	}
	return r
}

func reportLenses(l Lenses) LensReport {
	term := func(l geom.Lens) LensTerm {
		return LensTerm{Centre: [2]float64{l.Centre.X, l.Centre.Y}, Norm: l.Norm, K1: l.K1}
	}
	return LensReport{Component: term(l.Component), Foil: term(l.Foil)}
}
