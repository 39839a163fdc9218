package photo

import (
	"context"
	"image"
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// Light is how brightly each place of a photo is lit, as a smooth surface: the
// logarithm of the light is a polynomial of third degree over the photo. The
// zero value is even light.
type Light struct {
	w, h  float64
	coeff [lightTerms]float64
	given bool
}

// lightTerms counts the terms 1, x, y, x², xy, y², x³, x²y, xy², y³.
const lightTerms = 10

// LightOptions narrows what FindLight looks at.
type LightOptions struct {
	// Within limits the estimate to a polygon (photo pixels), such as the
	// board's outline; nil takes the whole photo.
	Within []geom.Point
}

// FindLight estimates the light that falls on a board.
//
// The photo is cut into cells some 1/48 of its longer side; each gives the
// median of the logarithm of its linear luminance. A third-degree surface is
// fitted to the cells so that those which differ by their material rather
// than their light (a ground plane, a heat sink) lose their weight. Only what
// is as smooth as a lamp's fall-off can enter the result: no track can.
//
// Source: log-domain background as in homomorphic filtering (Oppenheim,
// Schafer, Stockham 1968); Tukey biweight re-weighting (Huber & Ronchetti,
// Robust Statistics, 2nd ed., ch. 7).
func FindLight(ctx context.Context, img *image.RGBA, opts LightOptions) (Light, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	cell := max(4, max(w, h)/48)
	light := Light{w: float64(w), h: float64(h), given: true}
	var samples []lightSample
	table := linearTable()
	for y := 0; y+cell <= h; y += cell {
		if err := ctx.Err(); err != nil {
			return Light{}, err
		}
		for x := 0; x+cell <= w; x += cell {
			at := geom.Point{X: float64(x) + float64(cell)/2, Y: float64(y) + float64(cell)/2}
			if opts.Within != nil && !geom.Inside(opts.Within, at) {
				continue
			}
			samples = append(samples, lightSample{light.terms(at.X, at.Y), cellMedian(img, x, y, cell, table)})
		}
	}
	if len(samples) < 3*lightTerms {
		return Light{}, nil // too little board to tell light from material
	}
	light.fit(samples)
	light.centre(samples)
	return light, nil
}

// lightSample is one cell: the surface's terms at its middle and the logarithm
// of its luminance.
type lightSample struct {
	terms [lightTerms]float64
	value float64
}

// cellMedian is the median log luminance of one cell, from at most 16 × 16 of
// its pixels.
func cellMedian(img *image.RGBA, x0, y0, cell int, table *[256]float32) float64 {
	step := max(1, cell/16)
	values := make([]float64, 0, 324)
	for y := y0; y < y0+cell; y += step {
		for x := x0; x < x0+cell; x += step {
			px := img.Pix[y*img.Stride+4*x:]
			values = append(values, float64(lumR*table[px[0]]+lumG*table[px[1]]+lumB*table[px[2]]))
		}
	}
	slices.Sort(values)
	// 1/1000 of white is where a camera's noise drowns the picture.
	return math.Log(values[len(values)/2] + 1e-3)
}

// terms evaluates the surface's terms, with x and y brought to -1 … 1.
func (l Light) terms(px, py float64) [lightTerms]float64 {
	x, y := 2*px/l.w-1, 2*py/l.h-1
	return [lightTerms]float64{1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y}
}

// centre moves the surface so that the light's mean over the samples is 1,
// which keeps L* where it was on average.
func (l *Light) centre(samples []lightSample) {
	sum := 0.0
	for _, s := range samples {
		sum += dot(l.coeff, s.terms)
	}
	l.coeff[0] -= sum / float64(len(samples))
}

// maxLog bounds the light to 1/8 … 8 of its mean: beyond, the surface is
// extrapolating over background.
const maxLog = 2.0794415416798357 // ln 8

// At is the light at a photo pixel against its mean over the board.
func (l Light) At(x, y float64) float64 {
	if !l.given {
		return 1
	}
	return math.Exp(math.Max(-maxLog, math.Min(maxLog, dot(l.coeff, l.terms(x, y)))))
}

// gains fills in 1/light along row y. The surface is smooth, so every 16th
// pixel is computed and the rest interpolated (error below 1e-4).
func (l Light) gains(gain []float32, y int) {
	if !l.given {
		for i := range gain {
			gain[i] = 1
		}
		return
	}
	const step = 16
	left := float32(1 / l.At(0, float64(y)))
	for x := 0; x < len(gain); x += step {
		right := float32(1 / l.At(float64(x+step), float64(y)))
		for i := x; i < min(x+step, len(gain)); i++ {
			gain[i] = left + (right-left)*float32(i-x)/step
		}
		left = right
	}
}

func dot(a, b [lightTerms]float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
