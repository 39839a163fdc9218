package align

import (
	"context"
	"fmt"
	"slices"

	"foilside/internal/num/geom"
)

// standOff is the shift, against the longer side, that all spots of a board
// may have in common: leads bend and solder ends a millimetre off the board, so
// that a slant of 15° moves them by 0.3 mm of 100 (TestStudyAutomatic).
const standOff = 0.003

// settleOn makes the alignment of the chosen candidate.
func (s *scene) settleOn(ctx context.Context, c candidate, hints []Pair, sizes Sizes, opts Options) (Alignment, error) {
	if s.sharp != nil {
		if a, ok, err := s.sharp.refined(ctx, s, c); ok || err != nil {
			return a, err
		}
	}
	lay := s.bySpots
	if s.outlined {
		lay = s.byOutlines
	}
	a, err := lay(ctx, c, hints, s.partners(&c), sizes, opts)
	if err != nil {
		return Alignment{}, err
	}
	a.Found = FoundAutomatic
	a.Left, a.Kept = nil, nil // the pairs are the program's own
	a.common = standOff * s.longer
	if crossesHorizon(&a) {
		a.Problems = append(a.Problems, horizonProblem())
	}
	if len(hints) > 0 {
		a.Problems = append(a.Problems, restsOnMarks(len(hints)))
	}
	return a, nil
}

// bySpots fits the spots as if they were marked pairs.
func (s *scene) bySpots(ctx context.Context, c candidate, hints, partners []Pair, sizes Sizes, opts Options) (Alignment, error) {
	pairs := slices.Concat(hints, partners)
	if len(pairs) < 2*MinPairs {
		return Alignment{}, unsure("too few holes or joints are seen from both sides")
	}
	base := newModel(pairs, sizes)
	base.setMatrix(c.model.matrix())
	start, ok := fit(base, pairs, everyIndex(len(pairs)), prior{mirrored: true, params: plainParams})
	if ok {
		start, ok = settle(start, pairs)
	}
	if !ok {
		return Alignment{}, unsure("the map found doesn't hold")
	}
	start = start.freed(pairs)
	exact, plain, chance := start, start, 0.0
	if !opts.NoLens {
		var err error
		if exact, plain, chance, err = withLens(ctx, start, pairs); err != nil {
			return Alignment{}, err
		}
	}
	a := assemble(exact, plain, chance, pairs, sizes)
	a.Confidence = fmt.Sprintf("%d places seen from both sides agree", len(exact.used))
	return a, nil
}

// What takes part beside the corners, in the information that one corner
// gives.
const (
	// allSpots: the spots together. They share what they stand off the board,
	// so a hundred of them tell little more of the map than ten.
	allSpots = 2.0
	// oneMark: a person's mark, three times as exact as a corner.
	oneMark = 9.0
)

// byOutlines fits the corners of both outlines, the person's marks, and the
// spots with the weight that their common shift leaves them. The spots have
// told which turn it is, and whether the corners hold: one far from where the
// spots put it counts for less.
func (s *scene) byOutlines(ctx context.Context, c candidate, hints, partners []Pair, sizes Sizes, _ Options) (Alignment, error) {
	pairs := slices.Concat(hints, partners)
	trust := make([]float64, len(pairs))
	for i := range trust {
		trust[i] = oneMark
		if i >= len(hints) {
			trust[i] = allSpots / float64(len(partners))
		}
	}
	c.spread = cornerSD * s.longer // the corners' own measure
	pairs, trust = s.addCorners(&c, pairs, trust)
	f := fitted{model: newModel(pairs, sizes), prior: prior{mirrored: true, params: plainParams, trust: trust},
		used: everyIndex(len(pairs)), noise: c.spread, expect: c.spread}
	f.model.setMatrix(c.model.matrix())
	if !f.descend(pairs) || !f.findCovariance(pairs) {
		return Alignment{}, unsure("the map found doesn't hold")
	}
	f.degree = cornerHeavy
	a := assemble(f, f, 0, pairs, sizes)
	a.Confidence = fmt.Sprintf("the board's outline and %d places seen from both sides agree", len(partners))
	return a, ctx.Err()
}

// partners pairs blobs that are each other's nearest under the map.
func (s *scene) partners(c *candidate) []Pair {
	type claim struct {
		by   int
		dist float64
	}
	claims := map[int]claim{} // by foil blob
	for i, k := range c.partner {
		if k < 0 {
			continue
		}
		p, _ := c.model.apply(s.component[i].at)
		d := p.Dist(s.partnerAt(k))
		if old, has := claims[k]; !has || d < old.dist {
			claims[k] = claim{i, d}
		}
	}
	var pairs []Pair
	for i, k := range c.partner {
		if k >= 0 && claims[k].by == i {
			pairs = append(pairs, Pair{s.component[i].at, s.partnerAt(k)})
		}
	}
	return pairs
}

// partnerAt is the place of a foil blob as candidates number them.
func (s *scene) partnerAt(k int) geom.Point { return s.foil[k%2].blobs[k/2].at }
