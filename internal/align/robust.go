package align

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"

	"gonum.org/v1/gonum/stat/distuv"
)

// wrongRate is the chance, over all pairs of a job together, that a good pair
// is taken for a wrong one.
const wrongRate = 0.01

// leastKept is the fewest pairs that must remain when one is left out: four
// determine a map and could be made to fit by any choice, the fifth checks.
const leastKept = 5

// robustFit finds which pairs belong to one map and fits those.
//
// With up to five pairs all are used: whichever was left out, the rest would
// fit. From six on, it starts with the pairs that the best map of any four
// places well, then admits and dismisses pairs until the set rests: a pair
// outside must be as near as the map's own uncertainty and the noise allow, a
// pair inside must be no farther than it would be from a map without it.
//
// Source: least quantile of squares, Rousseeuw & Leroy, Robust Regression and
// Outlier Detection, ch. 3; externally studentised residuals, Cook & Weisberg,
// Residuals and Influence in Regression, §2.2, here for two coordinates at
// once.
func robustFit(ctx context.Context, base model, pairs []Pair, p prior) (fitted, bool, error) {
	used := everyIndex(len(pairs))
	if len(pairs) <= leastKept {
		f, ok := fitBest(base, pairs, used, p)
		if ok {
			f = f.freed(pairs)
		}
		return f, ok, ctx.Err()
	}
	core, err := bestCore(ctx, pairs)
	if err != nil {
		return fitted{}, false, err
	}
	f, ok := fitBest(base, pairs, core, p)
	if !ok {
		return f, false, nil
	}
	if f, ok = settle(f, pairs); ok {
		f = f.freed(pairs)
	}
	return f, ok, nil
}

// needless is the number of parameters' worth of information below which the
// prior on tilt and shape is dropped: where the pairs tell, it only biases.
const needless = 0.1

// freed fits again without the prior on tilt and shape where the pairs hardly
// need it. That makes the map plain least squares.
func (f fitted) freed(pairs []Pair) fitted {
	fromPairs := 2*float64(len(f.used)) - f.degree
	if plainParams-fromPairs > needless {
		return f
	}
	p := f.prior
	p.shapeOff = true
	if g, ok := fit(f.model, pairs, f.used, p); ok {
		return g
	}
	return f
}

func everyIndex(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// settle admits and dismisses pairs until the set no longer changes. A set
// that goes round in a circle ends at the round limit, with one of its sets.
func settle(f fitted, pairs []Pair) (fitted, bool) {
	for range 20 {
		next := f.fitting(pairs)
		if len(next) < leastKept || slices.Equal(next, f.used) {
			return f, true
		}
		g, ok := fit(f.model, pairs, next, f.prior)
		if !ok {
			return f, false
		}
		f = g
	}
	return f, true
}

// fitting lists the pairs that the map explains.
func (f *fitted) fitting(pairs []Pair) []int {
	inside := make([]bool, len(pairs))
	for _, i := range f.used {
		inside[i] = true
	}
	limit := distuv.F{D1: 2, D2: noiseDegrees + f.degree}.Quantile(1 - wrongRate/float64(len(pairs)))
	var list []int
	for i := range pairs {
		if f.surprise(pairs[i], f.weightOf(i), inside[i]) <= limit {
			list = append(list, i)
		}
	}
	return list
}

// surprise is the F statistic of one pair: its squared distance from where a
// map fitted without it would put it, in units of the variance expected there.
func (f *fitted) surprise(p Pair, weight float64, inside bool) float64 {
	d := f.residual(p).Scale(math.Sqrt(weight))
	l := f.leverage(p)
	sign := weight
	if inside {
		sign = -weight
	}
	xx, xy, yy := 1+sign*l[0], sign*l[1], 1+sign*l[2]
	det := xx*yy - xy*xy
	if _, front := f.model.apply(p.Component); !front || !(det > 1e-9) {
		if inside {
			return 0 // the map hangs on this pair: nothing else can judge it
		}
		return math.Inf(1)
	}
	form := (yy*d.X*d.X - 2*xy*d.X*d.Y + xx*d.Y*d.Y) / det
	sum, degree := f.sum, f.degree
	if inside {
		sum, degree = math.Max(0, f.sum-form), math.Max(0, f.degree-2)
	}
	variance := (noiseDegrees*f.expect*f.expect + sum) / (noiseDegrees + degree)
	return form / (2 * variance)
}

// maxSubsets bounds the fours of pairs that are tried: with half of the pairs
// wrong, 1000 random fours miss an all-right one once in 10^28 runs.
const maxSubsets = 1000

// bestCore returns the pairs nearest to the map, among those through any four
// pairs, that leaves the least squared distance to the h-th nearest.
func bestCore(ctx context.Context, pairs []Pair) ([]int, error) {
	h := max((len(pairs)+MinPairs+1)/2, leastKept)
	component, _ := split(pairs)
	middle := mean(component)
	least, best := math.Inf(1), [4]int{}
	errs, sorted := make([]float64, len(pairs)), make([]float64, len(pairs))
	for four := range fours(len(pairs)) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !distances(errs, middle, pairs, four) {
			continue
		}
		copy(sorted, errs)
		slices.Sort(sorted)
		if sorted[h-1] < least {
			least, best = sorted[h-1], four
		}
	}
	all := everyIndex(len(pairs))
	if math.IsInf(least, 1) {
		return all, nil
	}
	distances(errs, middle, pairs, best)
	slices.SortStableFunc(all, func(a, b int) int { return cmp.Compare(errs[a], errs[b]) })
	core := all[:h]
	slices.Sort(core)
	return core, nil
}

// distances fills in each pair's squared distance under the map through four
// of them; infinite behind its horizon.
func distances(errs []float64, middle geom.Point, pairs []Pair, four [4]int) bool {
	var from, to [4]geom.Point
	for k, i := range four {
		from[k], to[k] = pairs[i].Component, pairs[i].Foil
	}
	h, ok := geom.FourPoint(from, to)
	if !ok {
		return false
	}
	least := h.W(middle)
	for i, p := range pairs {
		d := h.Apply(p.Component).Sub(p.Foil)
		errs[i] = d.X*d.X + d.Y*d.Y
		if !(h.W(p.Component)/least > minW) || math.IsNaN(errs[i]) {
			errs[i] = math.Inf(1)
		}
	}
	return true
}

// fours yields every choice of four from n where there are few, otherwise
// maxSubsets random ones from a fixed seed, so that results repeat.
func fours(n int) func(yield func([4]int) bool) {
	return func(yield func([4]int) bool) {
		if n*(n-1)/2*(n-2)/3*(n-3)/4 <= maxSubsets {
			for a := range n {
				for b := range a {
					for c := range b {
						for d := range c {
							if !yield([4]int{a, b, c, d}) {
								return
							}
						}
					}
				}
			}
			return
		}
		rng := rand.New(rand.NewPCG(uint64(n), 4))
		for range maxSubsets {
			perm := rng.Perm(n)
			if !yield([4]int(perm[:4])) {
				return
			}
		}
	}
}
