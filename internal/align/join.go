package align

import (
	"context"
	"math"
)

// What must hold for a map from pairs to be refined on what both photos show.
const (
	// joinMatches is the fewest good matches, a person's pairs not counted.
	joinMatches = 12.0
	// joinWorse is how much farther off the refined map may leave the pairs
	// than their own noise, and joinFar how far it may move a place against
	// the pairs' uncertainty there, in standard deviations.
	joinWorse = 1.5
	joinFar   = 3.5
)

// join refines a map from pairs; the map stays as it is where too little is
// seen in both photos or what is seen speaks against the pairs.
func (t *Sight) join(ctx context.Context, a Alignment, pairs []Pair, opts Options) (Alignment, error) {
	if !a.Mirrored() {
		return a, ctx.Err()
	}
	var kept []Pair
	for _, i := range a.Kept {
		kept = append(kept, pairs[i-1])
	}
	s := newSharpener(t.on, t.under, kept, t.sizes, opts)
	s.snug = false // the pairs, not the edges, are the start
	f, matches, err := s.sharpen(ctx, a.fit.model)
	if err != nil {
		return Alignment{}, err
	}
	if f.cov == nil || f.cov.SymmetricDim() != f.prior.params+f.slips.params() || weigh(matches)-float64(len(kept)) < joinMatches ||
		!a.agreesWith(&f, kept) {
		return a, nil
	}
	b := s.alignmentOf(f, matches, t.on.board.quad, f.clearSides())
	b.Found, b.Confidence = FoundPoints, ""
	b.Kept, b.Left, b.Problems = a.Kept, a.Left, a.Problems
	return b, nil
}

// agreesWith reports whether a refined map leaves the pairs about where they
// were marked, and places about where the pairs put them.
func (a *Alignment) agreesWith(f *fitted, kept []Pair) bool {
	sum := 0.0
	for _, p := range kept {
		d := f.residual(p)
		sum += d.X*d.X + d.Y*d.Y
		q, _ := f.model.apply(p.Component)
		e := a.Uncertainty(p.Component)
		if far := q.Dist(a.ToFoil(p.Component)); !(far < joinFar*math.Hypot(e.Major, 1)) {
			return false
		}
	}
	return math.Sqrt(sum/float64(2*len(kept))) < joinWorse*math.Max(a.NoisePx, 0.5)
}
