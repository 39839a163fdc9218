package align

import (
	"context"
	"math"

	"foilside/internal/num/geom"
)

// candidate is one map under trial, with how well it explains the blobs.
type candidate struct {
	turn   turn
	guess  geom.Projective // what the outlines make of the turn
	model  model
	spread float64 // standard deviation of a matched blob's place, foil pixels
	shares shares
	gain   float64 // log likelihood over that of chance, less what the outline has against the map
	spots  float64 // what of it spots, holes and joints say
	busy   float64 // what the looks of the component photo say for joints lying where they do
	// partner is each component blob's foil blob where that is more likely a
	// partner than chance, otherwise -1.
	partner []int
}

// shares are, for each class of component blobs, the shares that have a bright
// and a dark foil blob as partner. A hole may be dark from one side and bright
// from the other; how it is on this board is found with the map.
type shares [classes][2]float64

// classes: dark or bright, each in three grades of contrast.
const classes = 6

// Spreads, against the foil quad's longer side, from the first round of a
// refinement to the last.
const (
	firstSpread = 0.006
	lastSpread  = 0.0012
	rounds      = 24
)

// refine moves a map so that it explains as many component blobs as it can by
// foil blobs near their mapped places: each is either a partner's, with a
// Gaussian spread, or chance. Expectation–maximisation with a spread that
// shrinks from round to round.
//
// Source: mixture of Gaussian and uniform, as in Myronenko & Song, IEEE PAMI
// 32 (2010), with a homography for the motion.
func (s *scene) refine(ctx context.Context, t turn, start, guess geom.Projective) (candidate, bool, error) {
	c := candidate{turn: t, guess: guess, model: s.base, spread: firstSpread * s.longer}
	if !c.model.setMatrix(start) {
		return c, false, nil
	}
	for k := range c.shares {
		c.shares[k] = [2]float64{0.15, 0.15}
	}
	shrink := math.Pow(lastSpread/firstSpread, 1.0/(rounds-1))
	for round := range rounds {
		if err := ctx.Err(); err != nil {
			return c, false, err
		}
		pairs, weights := s.expect(&c)
		if len(pairs) < 8 {
			return c, false, nil
		}
		pairs, weights = s.addCorners(&c, pairs, weights)
		f := fitted{model: c.model, prior: prior{mirrored: t.mirrored, params: plainParams, trust: weights},
			used: everyIndex(len(pairs)), noise: c.spread}
		if !f.descend(pairs) {
			return c, false, nil
		}
		c.model = f.model
		if round < rounds-1 {
			c.spread *= shrink
		}
	}
	s.expect(&c)
	c.gain -= s.against(&c)
	return c, true, nil
}

// Where both outlines were seen, their corners take part in the fit.
const (
	// cornerSD is the standard deviation of a corner's place against the
	// longer side: a third of a millimetre on 100 mm.
	cornerSD = 0.003
	// cornerHeavy is the degrees of freedom of its Student's t: a plug or a
	// shadow may bend one side.
	cornerHeavy = 3.0
)

// addCorners adds the corners of both outlines as pairs, as far as they are to
// be trusted against a blob.
func (s *scene) addCorners(c *candidate, pairs []Pair, weights []float64) ([]Pair, []float64) {
	if !s.outlined {
		return pairs, weights
	}
	sd := cornerSD * s.longer
	for _, p := range s.corners {
		at := c.guess.Apply(p)
		q, _ := c.model.apply(p)
		off := square(q.Dist(at) / sd)
		pairs = append(pairs, Pair{p, at})
		weights = append(weights, square(c.spread/sd)*(cornerHeavy+2)/(cornerHeavy+off))
	}
	return pairs, weights
}

// against is what the outlines have against a map, as a loss of log
// likelihood: of their corners, or of the distance from the guess where the
// photo's edge stood in for an outline.
func (s *scene) against(c *candidate) float64 {
	if !s.outlined {
		return s.reach.against(s.apart(c.model.matrix(), c.guess))
	}
	sum := 0.0
	for _, p := range s.corners {
		q, _ := c.model.apply(p)
		off := square(q.Dist(c.guess.Apply(p)) / (cornerSD * s.longer))
		sum += (cornerHeavy + 2) / 2 * math.Log1p(off/cornerHeavy)
	}
	return sum
}

// fewPartners is what shares are drawn to, with the weight of so many blobs:
// a class of three blobs says little about itself.
const (
	fewPartners  = 0.04
	shareWeights = 8.0
)

// expect finds each component blob's partners and the chance that they are
// that, and brings the candidate's shares and gain up to date.
func (s *scene) expect(c *candidate) (pairs []Pair, weights []float64) {
	peak := 1 / (2 * math.Pi * c.spread * c.spread)
	c.gain = 0
	c.partner = make([]int, len(s.component))
	var totals shares
	var counts [classes]float64
	for i, b := range s.component {
		c.partner[i] = -1
		class := s.class[i]
		counts[class]++
		odds := 1 - c.shares[class][0] - c.shares[class][1]
		var ratio [2]float64
		var at [2]int
		if p, front := c.model.apply(b.at); front {
			for l, foil := range s.foil {
				if k, d, ok := foil.nearest(p, 3*c.spread); ok {
					at[l] = k
					ratio[l] = c.shares[class][l] * peak * math.Exp(-d*d/(2*c.spread*c.spread)) / s.density[l][k]
				}
			}
		}
		sum := odds + ratio[0] + ratio[1]
		c.gain += math.Log(sum)
		for l, r := range ratio {
			if r == 0 {
				continue
			}
			totals[class][l] += r / sum
			pairs = append(pairs, Pair{b.at, s.foil[l].blobs[at[l]].at})
			weights = append(weights, r/sum)
			if r/sum > 0.5 {
				c.partner[i] = at[l]*2 + l
			}
		}
	}
	for k := range totals {
		for l := range totals[k] {
			share := (totals[k][l] + fewPartners*shareWeights) / (counts[k] + shareWeights)
			c.shares[k][l] = math.Min(0.45, share)
		}
	}
	return pairs, weights
}
