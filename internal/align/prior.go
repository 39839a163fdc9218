package align

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// What is known before any pair: a person holds the camera roughly square to
// the board, pixels are square, and phone lenses are nearly straight. It
// matters only where the pairs leave the map open: four pairs with three of
// them near a line determine a map in principle and nothing in practice.
const (
	// tiltSD is the standard deviation of a perspective term in unit
	// coordinates: a tilt of 12° in each photo, cameras with a focal length of
	// about the longer side of the photo, gives tan 12° · √2 / 2 = 0.15.
	tiltSD = 0.15
	// shapeSD is that of stretch and shear after a similarity. A tilt of 12°
	// to 20° shortens one way by 2 % to 6 %.
	shapeSD = 0.05
	// heavy is the degrees of freedom of Student's t for both: oblique photos
	// exist, and the pairs must be able to say so.
	heavy = 4.0
	// k1SD is the standard deviation of a lens term at half the diagonal:
	// photos from phones are corrected to well below 3 %.
	k1SD = 0.03
	// alikeSD is that of the difference of both terms: one camera took both
	// photos, mostly. A few pairs tell little of that difference and nothing of
	// the sum, which the map makes up for.
	alikeSD = 0.004
	// alikeMarked is the same where a person's pairs alone tell of lenses.
	alikeMarked = 0.01
	// axisSD is that of a lens's centre from the photo's, in half norms: 1 % of
	// the width.
	axisSD = 0.03
)

// prior holds what is known of one job's map before its pairs.
type prior struct {
	mirrored bool
	params   int  // plainParams, lensParams to fit the lenses too, fullParams their centres as well
	shapeOff bool // leave tilt and shape to the pairs alone
	// trust is one over the noise variance of each pair against that of an
	// ordinary one; nil for 1 each.
	trust []float64
	sizes Sizes // where lens centres are fitted
}

// terms are the prior's residuals in units of their standard deviation: two
// for perspective, two for shape.
func (p prior) terms(m model) [4]float64 {
	h := m.h
	a, b := h[0]-h[2]*h[6], h[1]-h[2]*h[7]
	c, d := h[3]-h[5]*h[6], h[4]-h[5]*h[7]
	size := math.Sqrt(math.Abs(a*d - b*c))
	if size == 0 {
		return [4]float64{math.Inf(1)}
	}
	stretch, shear := (a-d)/size, (b+c)/size
	if p.mirrored {
		stretch, shear = (a+d)/size, (b-c)/size
	}
	return [4]float64{h[6] / tiltSD, h[7] / tiltSD, stretch / shapeSD, shear / shapeSD}
}

// cost is minus twice the log of the prior, up to a constant.
func (p prior) cost(m model) float64 {
	sum := 0.0
	if !p.shapeOff {
		for _, e := range p.terms(m) {
			sum += (heavy + 1) * math.Log1p(e*e/heavy)
		}
	}
	if p.params >= lensParams {
		sum += square(m.lens.Component.K1/k1SD) + square(m.lens.Foil.K1/k1SD)
	}
	if p.params >= lensParams {
		sum += square((m.lens.Component.K1 - m.lens.Foil.K1) / p.alike())
	}
	if p.params == fullParams {
		for _, c := range p.axes(m) {
			sum += square(c / axisSD)
		}
	}
	return sum
}

// axes are the lens centres' distances from the photos' middles, in half norms.
func (p prior) axes(m model) [4]float64 {
	c, f := m.centreStep()
	a := m.lens.Component.Centre.Sub(p.sizes.Component.centre()).Scale(1 / c)
	b := m.lens.Foil.Centre.Sub(p.sizes.Foil.centre()).Scale(1 / f)
	return [4]float64{a.X, a.Y, b.X, b.Y}
}

// addTo adds the prior's share to the normal equations.
func (p prior) addTo(normal *mat.SymDense, right []float64, m model) {
	if !p.shapeOff {
		p.addShape(normal, right, m)
	}
	if p.params >= lensParams {
		for i, k := range []float64{m.lens.Component.K1, m.lens.Foil.K1} {
			r := plainParams + i
			normal.SetSym(r, r, normal.At(r, r)+1/(k1SD*k1SD))
			right[r] -= k / (k1SD * k1SD)
		}
	}
	if p.params >= lensParams {
		p.addAlike(normal, right, m)
	}
	if p.params == fullParams {
		p.addAxes(normal, right, m)
	}
}

// alike is the standard deviation of the difference of both lens terms.
func (p prior) alike() float64 {
	if p.params == fullParams {
		return alikeSD
	}
	return alikeMarked
}

// addAlike adds that both lens terms are much alike.
func (p prior) addAlike(normal *mat.SymDense, right []float64, m model) {
	const a, b = plainParams, plainParams + 1
	w := 1 / square(p.alike())
	d := m.lens.Component.K1 - m.lens.Foil.K1
	normal.SetSym(a, a, normal.At(a, a)+w)
	normal.SetSym(b, b, normal.At(b, b)+w)
	normal.SetSym(a, b, normal.At(a, b)-w)
	right[a] -= w * d
	right[b] += w * d
}

// addAxes adds what holds of the lenses' centres where they are fitted too.
func (p prior) addAxes(normal *mat.SymDense, right []float64, m model) {
	for i, c := range p.axes(m) {
		r := lensParams + i
		normal.SetSym(r, r, normal.At(r, r)+1/(axisSD*axisSD))
		right[r] -= c / (axisSD * axisSD)
	}
}

// addShape adds the terms for tilt and shape, each with the weight that makes
// its t distribution locally a square. Their slopes are differences; the step
// is small against the terms' order of 1 and large against rounding.
func (p prior) addShape(normal *mat.SymDense, right []float64, m model) {
	const h = 1e-6
	at := p.terms(m)
	var slope [4][plainParams]float64
	for j := range plainParams {
		up, down := m, m
		up.h[j] += h
		down.h[j] -= h
		hi, lo := p.terms(up), p.terms(down)
		for i := range slope {
			slope[i][j] = (hi[i] - lo[i]) / (2 * h)
		}
	}
	for i, e := range at {
		weight := (heavy + 1) / (heavy + e*e)
		for r := range plainParams {
			right[r] -= weight * slope[i][r] * e
			for c := r; c < plainParams; c++ {
				normal.SetSym(r, c, normal.At(r, c)+weight*slope[i][r]*slope[i][c])
			}
		}
	}
}

func square(x float64) float64 { return x * x }
