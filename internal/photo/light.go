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
	coeff lightTerms
	given bool
}

// lightTerms are the terms x, y, x², xy, y², x³, x²y, xy², y³ of the surface,
// or their coefficients, and last the constant.
type lightTerms [10]float64

// LightOptions narrows what FindLight looks at.
type LightOptions struct {
	// Within limits the estimate to a polygon (photo pixels), such as the
	// board's outline; nil takes the whole photo.
	Within []geom.Point
}

// FindLight estimates the light that falls on a board.
//
// The photo is cut into cells some 1/48 of its longer side; each gives the
// median of the logarithm of its linear luminance. Between neighbouring cells
// of one material only the light changes, and little; from one material to
// another the step is large. So a third-degree surface is fitted to the steps
// between neighbours, and large steps lose their weight. Only what is as
// smooth as a lamp's fall-off can enter the result: no track can, and neither
// can a ground plane that fills a corner.
//
// Source: small steps are light and large ones material: Land & McCann, J.
// Opt. Soc. Am. 61 (1971); Horn, Comput. Graph. Image Process. 3 (1974). Tukey
// biweight re-weighting: Huber & Ronchetti, Robust Statistics, 2nd ed., ch. 7.
func FindLight(ctx context.Context, img *image.RGBA, opts LightOptions) (Light, error) {
	cells, err := lightCells(ctx, img, opts)
	if err != nil {
		return Light{}, err
	}
	steps := cells.steps()
	if len(steps) < 10*len(lightTerms{}) {
		return Light{}, nil // too little board to tell light from material
	}
	light := cells.light
	light.given = true
	light.fit(steps)
	light.centre(cells)
	return light, nil
}

// cellGrid holds the median log luminance of each cell, NaN where the cell
// doesn't count.
type cellGrid struct {
	light  Light // for its terms only
	size   int   // pixels
	nx, ny int
	value  []float64
}

func lightCells(ctx context.Context, img *image.RGBA, opts LightOptions) (cellGrid, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	size := max(4, max(w, h)/48)
	g := cellGrid{light: Light{w: float64(w), h: float64(h)}, size: size, nx: w / size, ny: h / size}
	g.value = make([]float64, g.nx*g.ny)
	table := linearTable()
	for i := range g.value {
		if err := ctx.Err(); err != nil {
			return g, err
		}
		g.value[i] = math.NaN()
		if opts.Within == nil || geom.Inside(opts.Within, g.middle(i)) {
			g.value[i] = cellMedian(img, i%g.nx*size, i/g.nx*size, size, table)
		}
	}
	return g, nil
}

func (g cellGrid) middle(i int) geom.Point {
	half := float64(g.size-1) / 2
	return geom.Point{X: float64(i%g.nx*g.size) + half, Y: float64(i/g.nx*g.size) + half}
}

// darkest is the luminance below which a camera's noise drowns the picture.
const darkest = 1e-3

// cellMedian is the median log luminance of one cell, from at most some
// 16 × 16 of its pixels.
func cellMedian(img *image.RGBA, x0, y0, size int, table *[256]float32) float64 {
	step := max(1, size/16)
	values := make([]float32, 0, 1024)
	for y := y0; y < y0+size; y += step {
		for x := x0; x < x0+size; x += step {
			px := img.Pix[y*img.Stride+4*x:]
			values = append(values, lumR*table[px[0]]+lumG*table[px[1]]+lumB*table[px[2]])
		}
	}
	slices.Sort(values)
	return math.Log(float64(values[len(values)/2]) + darkest)
}

// steps lists the differences between cells that lie 1 or 3 apart along a row
// or a column: the short ones seldom cross a border, the long ones say more
// about the slope.
func (g cellGrid) steps() []lightStep {
	var all []lightStep
	for i, v := range g.value {
		for _, apart := range []int{1, 3} {
			x, y := i%g.nx, i/g.nx
			if x+apart < g.nx {
				all = g.appendStep(all, i, i+apart, v)
			}
			if y+apart < g.ny {
				all = g.appendStep(all, i, i+apart*g.nx, v)
			}
		}
	}
	return all
}

func (g cellGrid) appendStep(all []lightStep, i, j int, v float64) []lightStep {
	if math.IsNaN(v) || math.IsNaN(g.value[j]) {
		return all
	}
	step := lightStep{value: g.value[j] - v}
	from, to := g.light.terms(g.middle(i)), g.light.terms(g.middle(j))
	for k := range step.terms {
		step.terms[k] = to[k] - from[k]
	}
	return append(all, step)
}

// terms evaluates the surface's terms, with x and y brought to -1 … 1.
func (l Light) terms(p geom.Point) lightTerms {
	x, y := 2*p.X/l.w-1, 2*p.Y/l.h-1
	return lightTerms{x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y, 1}
}

// centre sets the constant so that the log light's mean over the cells is 0,
// which keeps the photo about as bright as it was.
func (l *Light) centre(g cellGrid) {
	sum, n := 0.0, 0.0
	for i, v := range g.value {
		if !math.IsNaN(v) {
			sum += l.coeff.dot(l.terms(g.middle(i)))
			n++
		}
	}
	l.coeff[len(l.coeff)-1] -= sum / n
}

// maxLog bounds the light to 1/8 … 8 of its mean: beyond, the surface is
// extrapolating over the background. ln 8.
const maxLog = 2.0794415416798357

// At is the light at a photo pixel against its mean over the board.
func (l Light) At(p geom.Point) float64 {
	if !l.given {
		return 1
	}
	return math.Exp(math.Max(-maxLog, math.Min(maxLog, l.coeff.dot(l.terms(p)))))
}

// gains fills in 1/light along row y. The surface is smooth, so every 16th
// pixel is computed and the rest interpolated.
func (l Light) gains(gain []float32, y int) {
	if !l.given {
		for i := range gain {
			gain[i] = 1
		}
		return
	}
	const step = 16
	at := func(x int) float32 { return float32(1 / l.At(geom.Point{X: float64(x), Y: float64(y)})) }
	left := at(0)
	for x := 0; x < len(gain); x += step {
		right := at(x + step)
		for i := x; i < min(x+step, len(gain)); i++ {
			gain[i] = left + (right-left)*float32(i-x)/step
		}
		left = right
	}
}

func (a lightTerms) dot(b lightTerms) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
