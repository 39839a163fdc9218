package bayes

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// diagonalShare is how far the covariance of a few draws is drawn towards its
// diagonal: a dozen draws in several dimensions claim correlations that the
// next draw would not keep. Tuned: TestCloudIsNotOverconfident.
const diagonalShare = 0.1

// freedom of the Student kernels. Tuned: the same test.
const freedom = 5

// ErrShape means that points, observation and noise differ in length.
var ErrShape = errors.New("bayes: points, observation and noise differ in length")

// Fit is how well an observation of several values agrees with a Cloud.
type Fit struct {
	All     float64     // log density of all values together
	Without []float64   // log density of all values but the i-th
	Pairs   [][]float64 // [i][j], j < i: log density of all values but these two
	Draw    []float64   // log density of all values and draw k; All is their sum
}

// Cloud is the joint density of d values as simulated draws tell it: each draw
// is a Student kernel whose scale is the draws' own covariance, shrunk, plus
// the noise of the observation. Kernels are pulled towards the mean so that
// the mixture has the draws' variance and not more. The Student tails stand
// for what a dozen draws cannot tell of their own covariance, and for a model
// that is a little wrong.
//
// With few draws or many values it tends to one distribution about the mean,
// with many draws of few values to the draws themselves; so it holds for
// linear circuits with a dozen draws and still keeps two modes apart.
//
// Source: M. West, "Approximating posterior distributions by mixture",
// J. R. Statist. Soc. B 55 (1993) 409–422 (shrinkage kernels); bandwidth by
// B. W. Silverman, "Density Estimation" (1986), eq. 4.14. Both from memory.
type Cloud struct {
	centres   [][]float64
	logWeight []float64
	precision *mat.SymDense // of one kernel
	logDet    float64       // of one kernel's scale
}

// NewCloud builds the density.
//
// Shapes: points[k][i] is value i in draw k; noise[i] > 0 is the standard
// deviation of observing it. logWeight[k] may be nil for equal weights.
// Errors: ErrShape.
func NewCloud(points [][]float64, logWeight, noise []float64) (*Cloud, error) {
	d := len(noise)
	if len(points) == 0 || logWeight != nil && len(logWeight) != len(points) {
		return nil, ErrShape
	}
	for _, p := range points {
		if len(p) != d {
			return nil, ErrShape
		}
	}
	c := &Cloud{logWeight: normalised(logWeight, len(points))}
	mean, cov := moments(points, c.logWeight)
	h2, inflate := bandwidth(cov, noise, len(points))
	c.centres = pulled(points, mean, math.Sqrt(1-h2))
	return c, c.invert(kernel(cov, noise, h2*inflate))
}

// normalised returns log weights that sum to 1, equal ones for nil.
func normalised(logWeight []float64, n int) []float64 {
	out := make([]float64, n)
	norm := math.Log(float64(n))
	if logWeight != nil {
		copy(out, logWeight)
		norm = LogSumExp(logWeight)
	}
	for i := range out {
		out[i] -= norm
	}
	return out
}

func moments(points [][]float64, logWeight []float64) (mean []float64, cov *mat.SymDense) {
	d := len(points[0])
	mean = make([]float64, d)
	for k, p := range points {
		w := math.Exp(logWeight[k])
		for i, v := range p {
			mean[i] += w * v
		}
	}
	cov = mat.NewSymDense(max(d, 1), nil)
	var squares float64
	for k, p := range points {
		w := math.Exp(logWeight[k])
		squares += w * w
		for i := range d {
			for j := i; j < d; j++ {
				cov.SetSym(i, j, cov.At(i, j)+w*(p[i]-mean[i])*(p[j]-mean[j]))
			}
		}
	}
	if squares < 1 { // n/(n-1) for equal weights
		cov.ScaleSym(1/(1-squares), cov)
	}
	return mean, cov
}

// bandwidth is the share of the draws' covariance that goes into a kernel, and
// by how much that covariance is to be taken larger since a few draws tell it
// too small: (n−1)/(n−1−d), as in the predictive distribution of a normal law
// with unknown covariance. Only values whose spread stands out of the noise
// count as dimensions.
func bandwidth(cov *mat.SymDense, noise []float64, n int) (h2, inflate float64) {
	d := 0.0
	for i, s := range noise {
		v := cov.At(i, i)
		d += v / (v + s*s)
	}
	h := math.Pow(4/(d+2), 1/(d+4)) * math.Pow(float64(n), -1/(d+4))
	free := math.Max(float64(n-1), 1)
	return math.Min(h*h, 1), free / (free - math.Min(d, free/2))
}

func kernel(cov *mat.SymDense, noise []float64, h2 float64) *mat.SymDense {
	d := len(noise)
	out := mat.NewSymDense(max(d, 1), nil)
	for i := range d {
		for j := i + 1; j < d; j++ {
			out.SetSym(i, j, (1-diagonalShare)*h2*cov.At(i, j))
		}
		out.SetSym(i, i, h2*cov.At(i, i)+noise[i]*noise[i])
	}
	return out
}

func pulled(points [][]float64, mean []float64, a float64) [][]float64 {
	out := make([][]float64, len(points))
	for k, p := range points {
		out[k] = make([]float64, len(p))
		for i, v := range p {
			out[k][i] = mean[i] + a*(v-mean[i])
		}
	}
	return out
}

func (c *Cloud) invert(kernel *mat.SymDense) error {
	if len(c.centres[0]) == 0 {
		return nil
	}
	var chol mat.Cholesky
	if !chol.Factorize(kernel) {
		return errors.New("bayes: the noise is not positive")
	}
	c.precision = &mat.SymDense{}
	if err := chol.InverseTo(c.precision); err != nil {
		var ill mat.Condition
		if !errors.As(err, &ill) {
			return err
		}
	}
	c.logDet = chol.LogDet()
	return nil
}

// Fit returns the log density of the observation, and what it would be with
// each one value left out, and each two.
//
// Shapes: len(x) is the noise's. extra[k], where not nil, is added to the log
// density of draw k: the likelihood of observations that are no numbers.
func (c *Cloud) Fit(x, extra []float64) Fit {
	d := len(x)
	f := newFit(d, len(c.centres))
	whole, less, least := studentOf(d), studentOf(d-1), studentOf(d-2)
	r, pr := make([]float64, d), make([]float64, d)
	for k, centre := range c.centres {
		for i := range r {
			r[i] = x[i] - centre[i]
		}
		q := c.quadratic(r, pr)
		base := c.logWeight[k]
		if extra != nil {
			base += extra[k]
		}
		f.all[k] = base + whole.log(q, c.logDet)
		for i := range d {
			// Leaving a value out of a matrix A drops its row and column:
			// det A becomes det A·Pᵢᵢ, the quadratic form loses (P·r)ᵢ²/Pᵢᵢ.
			pii := c.precision.At(i, i)
			f.without[i][k] = base + less.log(q-pr[i]*pr[i]/pii, c.logDet+math.Log(pii))
			for j := range i {
				pjj, pij := c.precision.At(j, j), c.precision.At(i, j)
				det := pii*pjj - pij*pij
				lost := (pjj*pr[i]*pr[i] - 2*pij*pr[i]*pr[j] + pii*pr[j]*pr[j]) / det
				f.pairs[i][j][k] = base + least.log(q-lost, c.logDet+math.Log(det))
			}
		}
	}
	return f.sum()
}

// fitting collects log densities by draw.
type fitting struct {
	all     []float64
	without [][]float64
	pairs   [][][]float64
}

func newFit(d, draws int) *fitting {
	f := &fitting{all: make([]float64, draws), without: make([][]float64, d), pairs: make([][][]float64, d)}
	room := make([]float64, draws*(d+d*(d-1)/2))
	cut := func() []float64 {
		one := room[:draws:draws]
		room = room[draws:]
		return one
	}
	for i := range d {
		f.without[i] = cut()
		f.pairs[i] = make([][]float64, i)
		for j := range i {
			f.pairs[i][j] = cut()
		}
	}
	return f
}

func (f *fitting) sum() Fit {
	d := len(f.without)
	out := Fit{All: LogSumExp(f.all), Draw: f.all, Without: make([]float64, d), Pairs: make([][]float64, d)}
	for i := range d {
		out.Without[i] = LogSumExp(f.without[i])
		out.Pairs[i] = make([]float64, i)
		for j := range i {
			out.Pairs[i][j] = LogSumExp(f.pairs[i][j])
		}
	}
	return out
}

// quadratic returns rᵀ·P·r and leaves P·r in pr.
func (c *Cloud) quadratic(r, pr []float64) float64 {
	var sum float64
	for i := range r {
		pr[i] = 0
		for j := range r {
			pr[i] += c.precision.At(i, j) * r[j]
		}
		sum += r[i] * pr[i]
	}
	return sum
}

// student is what is fixed about a Student distribution of some dimension.
type student struct {
	d         int
	base, top float64
}

func studentOf(d int) student {
	if d <= 0 {
		return student{}
	}
	top := 0.5 * (freedom + float64(d))
	peak, _ := math.Lgamma(top)
	base, _ := math.Lgamma(0.5 * freedom)
	return student{d, peak - base - 0.5*float64(d)*math.Log(freedom*math.Pi), top}
}

// log is the log density at quadratic form q with the log determinant of the
// scale matrix; without dimensions it is 0.
func (s student) log(q, logDet float64) float64 {
	if s.d == 0 {
		return 0
	}
	return s.base - 0.5*logDet - s.top*math.Log1p(math.Max(q, 0)/freedom)
}
