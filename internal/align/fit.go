package align

import (
	"math"

	"foilside/internal/num/geom"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// noiseDegrees is the weight, in degrees of freedom, of what is known about
// pointing noise before the pairs say anything.
const noiseDegrees = 2.0

// noiseShare is the expected pointing noise of one coordinate against the
// extent of the pairs: 0.1 mm on a board of 100 mm. People's marks on five
// boards left 0.02 % to 0.7 %.
const noiseShare = 0.001

// fitted is a model at its best, with how sure it is.
type fitted struct {
	model  model
	prior  prior
	used   []int         // indices of the pairs fitted
	noise  float64       // standard deviation of one coordinate, foil pixels
	sum    float64       // sum of squared residuals, foil pixels²
	degree float64       // degrees of freedom left in sum
	expect float64       // noise expected beforehand, foil pixels
	cov    *mat.SymDense // of the parameters
	sides  []sideMatch   // sides of the board that take part beside the pairs
	slips  slips         // what moves some of them alike
}

// fit finds the model that explains the used pairs best, given the prior, and
// the noise along with it (they depend on each other, so a few rounds).
//
// Source: maximum a posteriori with a scaled inverse χ² noise prior, Gelman et
// al., Bayesian Data Analysis, 3rd ed., §3.2; Levenberg–Marquardt, Nocedal &
// Wright, Numerical Optimization, 2nd ed., §10.3.
func fit(start model, pairs []Pair, used []int, p prior) (fitted, bool) {
	f := fitted{model: start, prior: p, used: used, expect: noiseShare * extent(pairs, used)}
	f.noise = f.expect
	for range 8 {
		before := f.noise
		if !f.descend(pairs) || !f.assess(pairs) {
			return f, false
		}
		if math.Abs(f.noise-before) < 1e-6*before {
			break
		}
	}
	return f, true
}

// extent is the diagonal of the box round the foil points of the pairs.
func extent(pairs []Pair, used []int) float64 {
	points := make([]geom.Point, len(used))
	for k, i := range used {
		points[k] = pairs[i].Foil
	}
	return boxDiagonal(points)
}

// cost is what descend makes small; infinite where a used pair lies behind the
// horizon or a lens folds its photo.
func (f *fitted) cost(m model, slip slips, pairs []Pair) float64 {
	if !m.lens.usable() {
		return math.Inf(1)
	}
	sum := 0.0
	for _, i := range f.used {
		q, front := m.apply(pairs[i].Component)
		if !front {
			return math.Inf(1)
		}
		d := q.Add(slip.of(i)).Sub(pairs[i].Foil)
		sum += f.weightOf(i) * (d.X*d.X + d.Y*d.Y)
	}
	sum /= f.noise * f.noise
	for i := range f.sides {
		sum += f.sides[i].cost(m, slip.rim)
	}
	return sum + f.prior.cost(m) + slip.cost()
}

// weightOf is the weight of a pair's squared distance.
func (f *fitted) weightOf(i int) float64 {
	if f.prior.trust == nil {
		return 1
	}
	return f.prior.trust[i]
}

// descend is Levenberg–Marquardt from the present model; false where that is
// no usable start.
func (f *fitted) descend(pairs []Pair) bool {
	now := f.cost(f.model, f.slips, pairs)
	if math.IsInf(now, 0) || math.IsNaN(now) {
		return false
	}
	damping := 1e-4
	for range 100 {
		normal, right := f.equations(pairs)
		step, ok := solveDamped(normal, right, damping)
		if ok {
			next, slip := f.model.move(step[:f.prior.params]), f.slips.moved(step[f.prior.params:])
			if c := f.cost(next, slip, pairs); c < now {
				done := now-c < 1e-13*(1+now)
				f.model, f.slips, now, damping = next, slip, c, damping/10
				if done {
					return true
				}
				continue
			}
		}
		if damping *= 10; damping > 1e8 {
			return true
		}
	}
	return true
}

// equations are the normal equations at the present model: what the pairs say
// over the noise, and the prior.
func (f *fitted) equations(pairs []Pair) (*mat.SymDense, []float64) {
	n := f.prior.params + f.slips.params()
	normal, right := mat.NewSymDense(n, nil), make([]float64, n)
	for _, i := range f.used {
		weight := f.weightOf(i) / (f.noise * f.noise)
		q, _ := f.model.apply(pairs[i].Component)
		x, y := f.rows(i, pairs[i].Component)
		d := pairs[i].Foil.Sub(q).Sub(f.slips.of(i))
		for r := range n {
			right[r] += weight * (x[r]*d.X + y[r]*d.Y)
			for c := r; c < n; c++ {
				normal.SetSym(r, c, normal.At(r, c)+weight*(x[r]*x[c]+y[r]*y[c]))
			}
		}
	}
	for i := range f.sides {
		f.sides[i].addTo(normal, right, f.model, f.prior.params, f.slips.rim)
	}
	f.prior.addTo(normal, right, f.model)
	f.slips.addTo(normal, right, f.prior.params)
	return normal, right
}

// rows are the derivatives of where a pair's component pixel is put, by the
// map's parameters and then by the slips.
func (f *fitted) rows(i int, p geom.Point) (x, y [fullParams + slipParams]float64) {
	a, b := f.model.jacobian(p, f.prior.params)
	copy(x[:], a[:f.prior.params])
	copy(y[:], b[:f.prior.params])
	if f.slips.params() > 0 && f.slips.joints[i] {
		x[f.prior.params], y[f.prior.params+1] = 1, 1
	}
	return x, y
}

func solveDamped(normal *mat.SymDense, right []float64, damping float64) ([]float64, bool) {
	n := len(right)
	damped := mat.NewSymDense(n, nil)
	damped.CopySym(normal)
	for r := range n {
		damped.SetSym(r, r, normal.At(r, r)*(1+damping))
	}
	var chol mat.Cholesky
	if !chol.Factorize(damped) {
		return nil, false
	}
	var step mat.VecDense
	if err := chol.SolveVecTo(&step, mat.NewVecDense(n, right)); err != nil {
		return nil, false // the step would be dominated by rounding: damp more
	}
	return step.RawVector().Data, true
}

// findCovariance computes the parameters' covariance at the optimum.
func (f *fitted) findCovariance(pairs []Pair) bool {
	normal, _ := f.equations(pairs)
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return false
	}
	cov := mat.NewSymDense(normal.SymmetricDim(), nil)
	if err := chol.InverseTo(cov); err != nil {
		return false
	}
	f.cov = cov
	return true
}

// assess computes covariance, degrees of freedom and noise at the optimum.
func (f *fitted) assess(pairs []Pair) bool {
	if !f.findCovariance(pairs) {
		return false
	}
	f.sum, f.degree = 0, 0
	for _, i := range f.used {
		w, d := f.weightOf(i), f.residual(pairs[i])
		f.sum += w * (d.X*d.X + d.Y*d.Y)
		l := f.leverage(pairs[i])
		f.degree += 2 - w*(l[0]+l[2])
	}
	f.degree = math.Max(f.degree, 0)
	f.noise = math.Sqrt((noiseDegrees*f.expect*f.expect + f.sum) / (noiseDegrees + f.degree))
	return true
}

// residual is where the map puts a pair, seen from where it was marked.
func (f *fitted) residual(p Pair) geom.Point {
	q, _ := f.model.apply(p.Component)
	return q.Sub(p.Foil)
}

// leverage is the covariance of the mapped place of p over the noise: xx, xy,
// yy.
func (f *fitted) leverage(p Pair) [3]float64 {
	c := f.placeCov(p.Component)
	v := f.noise * f.noise
	return [3]float64{c[0] / v, c[1] / v, c[2] / v}
}

// placeCov is the covariance of where the map puts a component pixel, foil
// pixels²: xx, xy, yy.
func (f *fitted) placeCov(p geom.Point) [3]float64 {
	x, y := f.model.jacobian(p, f.prior.params)
	var out [3]float64
	for r := range f.prior.params {
		for c := range f.prior.params {
			v := f.cov.At(r, c)
			out[0] += x[r] * v * x[c]
			out[1] += x[r] * v * y[c]
			out[2] += y[r] * v * y[c]
		}
	}
	return out
}

// spread is the factor by which a covariance must grow so that the normal
// ellipse of 95 % covers what Student's distribution does with as few degrees
// of freedom as the noise is known by.
func (f *fitted) spread() float64 {
	const chi95 = 5.991464547107979 // χ² with two degrees of freedom
	return 2 * distuv.F{D1: 2, D2: noiseDegrees + f.degree}.Quantile(0.95) / chi95
}
