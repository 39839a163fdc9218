package align

import (
	"context"
	"math"
)

// Numbers of the choice between lens and none.
const (
	// lensPairs is the fewest kept pairs at which a lens is considered at all.
	lensPairs = 6
	// leastChance is the probability of a lens below which it is left out, and
	// fewChance the same with fewer than manyPairs kept: what such few say of a
	// lens may as well be their noise.
	leastChance = 0.1
	fewChance   = 0.5
	manyPairs   = 9
)

// withLens returns the exact map, with lenses as far as the pairs bear them,
// the plain map of the same pairs, and the probability of a lens.
//
// The lens terms are their posterior mean over both possibilities, lens or
// none: the fitted terms times the probability that there is a lens. Few pairs
// or a weak sign of a lens give a little of it, which on average places other
// points better than all of it or nothing.
//
// Source: Bayesian model averaging, Hoeting et al., Stat. Sci. 14 (1999).
func withLens(ctx context.Context, plain fitted, pairs []Pair) (exact, same fitted, chance float64, err error) {
	if len(plain.used) < lensPairs {
		return plain, plain, 0, ctx.Err()
	}
	p := plain.prior
	p.params = lensParams
	lens, ok := fit(plain.model, pairs, plain.used, p)
	if ok {
		// Corners that only a lens explains come back in.
		lens, ok = settle(lens, pairs)
	}
	if !ok || len(lens.used) < len(plain.used) {
		return plain, plain, 0, ctx.Err()
	}
	same, ok = fit(plain.model, pairs, lens.used, plain.prior)
	if !ok {
		return plain, plain, 0, ctx.Err()
	}
	chance = 1 / (1 + math.Exp(-evidence(lens, same)))
	if chance < leastChance || chance < fewChance && len(plain.used) < manyPairs {
		return plain, plain, 0, ctx.Err()
	}
	start := lens.model
	start.lens.Component.K1 *= chance
	start.lens.Foil.K1 *= chance
	exact, ok = fit(start, pairs, lens.used, plain.prior)
	if !ok {
		return plain, plain, 0, ctx.Err()
	}
	return exact, same, chance, ctx.Err()
}

// evidence is the log Bayes factor of the lens model over the plain one, both
// fitted to the same pairs: what the squares gain, less what the prior spends
// on two more parameters.
//
// Source: Laplace approximation, MacKay, Information Theory, Inference, and
// Learning Algorithms, ch. 28; the noise integrated out.
func evidence(lens, plain fitted) float64 {
	floor := noiseDegrees * plain.expect * plain.expect
	n := noiseDegrees + plain.degree
	gain := n / 2 * math.Log((floor+plain.sum)/(floor+lens.sum))
	k := lens.model.lens
	gain -= (square(k.Component.K1/k1SD) + square(k.Foil.K1/k1SD) + square((k.Component.K1-k.Foil.K1)/alikeMarked)) / 2
	// Determinant of the two terms' posterior covariance against the prior's.
	det := lens.cov.At(8, 8)*lens.cov.At(9, 9) - square(lens.cov.At(8, 9))
	before := square(k1SD) / (1/square(k1SD) + 2/square(alikeMarked))
	return gain + 0.5*math.Log(math.Max(det, math.SmallestNonzeroFloat64)/before)
}
