package align

import (
	"context"
	"math"
)

// lensPairs is the fewest kept pairs at which a lens is considered at all.
const lensPairs = 9

// lensEvidence is the log Bayes factor a lens needs: 1 begins what Kass &
// Raftery (J. Am. Stat. Assoc. 90, 1995) call positive evidence.
const lensEvidence = 1.0

// withLens fits the model with lenses from a plain fit and returns it where
// the pairs bear it, with the plain fit to the same pairs; false where they
// don't.
func withLens(ctx context.Context, plain fitted, pairs []Pair) (exact, same fitted, better bool, err error) {
	if len(plain.used) < lensPairs {
		return plain, plain, false, ctx.Err()
	}
	p := plain.prior
	p.params = lensParams
	exact, ok := fit(plain.model, pairs, plain.used, p)
	if ok {
		// Corners that only a lens explains come back in.
		exact, ok = settle(exact, pairs)
	}
	if !ok || len(exact.used) < len(plain.used) {
		return plain, plain, false, ctx.Err()
	}
	same, ok = fit(plain.model, pairs, exact.used, plain.prior)
	if !ok || evidence(exact, same) < lensEvidence {
		return plain, plain, false, ctx.Err()
	}
	return exact, same, true, ctx.Err()
}

// evidence is the log Bayes factor of the lens model over the plain one, both
// fitted to the same pairs: what the squares gain, less what the prior spends
// on two more parameters.
//
// Source: Laplace approximation, MacKay, Information Theory, Inference, and
// Learning Algorithms, ch. 28; the noise integrated out.
func evidence(lens, plain fitted) float64 {
	floor := noiseDegrees * plain.expect * plain.expect
	n := noiseDegrees + 2*float64(len(plain.used))
	gain := n / 2 * math.Log((floor+plain.sum)/(floor+lens.sum))
	k := lens.model.lens
	gain -= (square(k.Component.K1/k1SD) + square(k.Foil.K1/k1SD)) / 2
	// Determinant of the two terms' posterior covariance against the prior's.
	det := lens.cov.At(8, 8)*lens.cov.At(9, 9) - square(lens.cov.At(8, 9))
	return gain + 0.5*math.Log(math.Max(det, math.SmallestNonzeroFloat64)/square(k1SD*k1SD))
}
