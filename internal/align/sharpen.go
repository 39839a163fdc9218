package align

import (
	"context"
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// match is one place seen in both photos.
type match struct {
	pair Pair
	kind markKind
	own  float64 // variance of one coordinate of both centres together, foil pixels²
	chance
}

// chance is what the mixture makes of a match.
type chance struct {
	good     float64 // probability that both marks are one place
	variance float64 // of one coordinate, foil pixels²
}

// mixture is what EM learns of the matches beside the map: how exact each kind
// is, and how many of it are none.
type mixture struct {
	spread [markKinds]float64 // variance beside a match's own, foil pixels²
	good   [markKinds]float64 // share that are one place
}

// Numbers of the mixture.
const (
	// spreadWeight is the weight, in matches, of what is known beforehand of a
	// kind's spread, and goodWeight of the share of good matches.
	spreadWeight = 5.0
	goodWeight   = 4.0
	// emRounds is the most rounds of expectation and maximisation.
	emRounds = 40
)

// sharpener holds one pair of photos while its map is refined.
type sharpener struct {
	component, foil *face
	marks           []mark // of the foil photo
	holes           []mark // of the component photo
	solder          []ring // places of the foil photo that look like solder
	edgesOn         [4][]edge
	edgesUnder      [4][]edge
	hints           []Pair
	corners         []Pair  // of both outlines, coarse
	longer          float64 // of the foil quad, foil pixels
	sizes           Sizes
	noLens          bool
	snug            bool // both outlines lie on clear edges
}

// sharpen refines a coarse map on every hole and joint whose centre can be
// seen between pixels in both photos. The estimate is the maximum a posteriori
// of map and lenses with a Gaussian-plus-uniform likelihood for each match.
//
// Source: Dempster, Laird & Rubin, J. R. Stat. Soc. B 39 (1977), for the
// mixture; Shekhovtsov 2025 (a plain Gaussian-plus-uniform likelihood scores
// as well as any).
func (s *sharpener) sharpen(ctx context.Context, start model) (fitted, []match, error) {
	f := fitted{model: start, noise: 1, prior: prior{mirrored: areaSign(start) < 0, params: plainParams, sizes: s.sizes}}
	var matches []match
	var looked []match
	reaches := []float64{0.006, 0.002, 0.001}
	if s.snug {
		reaches[0] = 0.003
	}
	for pass, reach := range reaches {
		var err error
		looked, err = s.matchAll(ctx, f.model, math.Max(reach*s.longer, 3), looked)
		if err != nil {
			return f, nil, err
		}
		matches = slices.Concat(once(looked), s.given())
		if pass > 0 {
			f.sides, f.slips = s.pairSides(f.model), newSlips(s.longer)
		}
		if pass > 0 && !s.noLens {
			f.prior.params = fullParams
		}
		if _, ok := f.mix(matches, math.Max(reach*s.longer, 3)); !ok {
			return f, matches, nil
		}
	}
	return f, matches, nil
}

// matchAll looks for each foil mark's place on the component side, and for
// each component hole's on the foil side. What an earlier look with a wider
// reach didn't find isn't there.
func (s *sharpener) matchAll(ctx context.Context, m model, reach float64, earlier []match) ([]match, error) {
	back, err := m.matrix().Inverse()
	if err != nil {
		return nil, nil
	}
	toComponent := func(p geom.Point) geom.Point { return m.lens.Component.Distort(back.Apply(m.lens.Foil.Undistort(p))) }
	all := make([]match, len(s.marks)+len(s.holes))
	err = eachOf(ctx, len(all), func(i int) {
		if earlier != nil && earlier[i].kind == noMark {
			all[i] = earlier[i]
			return
		}
		if i < len(s.marks) {
			all[i] = s.matchFoil(m, s.marks[i], toComponent(s.marks[i].at), reach)
		} else {
			all[i] = s.matchComponent(m, s.holes[i-len(s.marks)], reach)
		}
	})
	return all, err
}

// given are the person's pairs and the outlines' corners as matches.
func (s *sharpener) given() []match {
	var list []match
	for _, h := range s.hints {
		list = append(list, match{pair: h, kind: handMark, chance: chance{good: 1}})
	}
	for _, c := range s.corners {
		list = append(list, match{pair: c, kind: cornerMark, chance: chance{good: 1}, own: square(s.cornerSD())})
	}
	return list
}

// snugCornerSD is cornerSD where the outlines lie on clear edges: what the two
// faces' rims differ by, and what a lens bends at a corner.
const snugCornerSD = 0.0008

func (s *sharpener) cornerSD() float64 {
	if s.snug {
		return snugCornerSD * s.longer
	}
	return cornerSD * s.longer
}

func (s *sharpener) matchFoil(m model, foil mark, at geom.Point, reach float64) match {
	if !s.component.size.contains(at) {
		return match{kind: noMark}
	}
	scale := 1 / areaScale(m, at)
	e := s.component.entry(foil, at, reach*scale, scale)
	if e.cover < entryCover {
		return match{kind: noMark}
	}
	return match{pair: Pair{e.at, foil.at}, kind: foil.kind, own: square(foil.sd) + square(e.sd/scale), chance: chance{good: 1}}
}

func (s *sharpener) matchComponent(m model, hole mark, reach float64) match {
	at, front := m.apply(hole.at)
	if !front || !s.foil.size.contains(at) {
		return match{kind: noMark}
	}
	scale := areaScale(m, hole.at)
	x := s.foil.exit(hole, at, reach, scale)
	if x.cover < markCover {
		return match{kind: noMark}
	}
	return match{pair: Pair{hole.at, x.at}, kind: x.kind, own: square(x.sd) + square(hole.sd*scale), chance: chance{good: 1}}
}

// areaScale is foil pixels per component pixel at a component pixel.
func areaScale(m model, at geom.Point) float64 {
	j := m.matrix().Jacobian(at)
	return math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
}

// once keeps the matches found, each only once: both ways of looking often
// end at the same two circles.
func once(all []match) []match {
	var kept []match
	for _, x := range all {
		if x.kind != noMark && !slices.ContainsFunc(kept, func(k match) bool {
			return k.pair.Component.Dist(x.pair.Component) < 2 && k.pair.Foil.Dist(x.pair.Foil) < 2
		}) {
			kept = append(kept, x)
		}
	}
	return kept
}

// expectedSpread is the standard deviation, foil pixels, that a kind is taken
// to have before its matches speak, beside what each centre's border tells:
// about a tenth of a millimetre for solder, a hair for holes.
func expectedSpread(k markKind, longer float64) float64 {
	switch k {
	case holeMark:
		return 0.1 + 0.00003*longer
	case boreMark:
		return 0.15 + 0.00006*longer
	case handMark:
		return 1.5 + 0.0003*longer
	}
	return 0.2 + 0.0001*longer
}

// mix runs expectation–maximisation over map, spreads and shares; reach is the
// radius, foil pixels, over which a wrong match is equally likely.
func (f *fitted) mix(matches []match, reach float64) (mixture, bool) {
	mx := newMixture(reach)
	if len(matches) < MinPairs {
		return mx, false
	}
	pairs := make([]Pair, len(matches))
	f.slips.joints = make([]bool, len(matches))
	var foil []geom.Point
	for i, m := range matches {
		pairs[i], f.slips.joints[i] = m.pair, m.kind == jointMark
		foil = append(foil, m.pair.Foil)
	}
	longer := boxDiagonal(foil)
	f.used, f.prior.trust = everyIndex(len(pairs)), make([]float64, len(pairs))
	last := math.Inf(1)
	for range emRounds {
		mx.expect(f, matches, reach)
		for i := range f.sides {
			f.sides[i].weigh(f.model, f.slips.rim, longer)
		}
		if !f.descend(pairs) {
			return mx, false
		}
		moved := mx.learn(f, matches, longer)
		if math.Abs(moved-last) < 1e-6*last {
			break
		}
		last = moved
	}
	mx.expect(f, matches, reach)
	return mx, f.findCovariance(pairs)
}

func newMixture(reach float64) mixture {
	var mx mixture
	for k := range mx.spread {
		mx.spread[k] = square(reach / 3)
		mx.good[k] = 0.7
	}
	mx.spread[cornerMark], mx.good[cornerMark] = 0, 0.9
	mx.good[handMark] = 0.97
	return mx
}

// expect brings each match's chance, and with it its weight, up to date.
func (mx *mixture) expect(f *fitted, matches []match, reach float64) {
	for i := range matches {
		m := &matches[i]
		m.variance = mx.spread[m.kind] + m.own
		q, front := f.model.apply(m.pair.Component)
		d := q.Add(f.slips.of(i)).Sub(m.pair.Foil)
		like := 0.0
		if front {
			like = mx.good[m.kind] * math.Exp(-(d.X*d.X+d.Y*d.Y)/(2*m.variance)) / (2 * math.Pi * m.variance)
		}
		m.good = like / (like + (1-mx.good[m.kind])/(math.Pi*reach*reach))
		f.prior.trust[i] = m.good / m.variance
	}
}

// learn estimates spreads and shares; it returns the sum of spreads, which
// tells when they rest.
func (mx *mixture) learn(f *fitted, matches []match, longer float64) float64 {
	total := 0.0
	for k := range cornerMark { // corners have a spread of their own
		prior := square(expectedSpread(markKind(k), longer))
		sum, weight, n := spreadWeight*prior, spreadWeight, 0.0
		for i := range matches {
			m := &matches[i]
			if m.kind != markKind(k) {
				continue
			}
			d := f.residual(m.pair).Add(f.slips.of(i))
			sum += m.good * math.Max(0, (d.X*d.X+d.Y*d.Y)/2-m.own)
			weight += m.good
			n++
		}
		mx.spread[k] = sum / weight
		mx.good[k] = math.Min(0.98, (weight-spreadWeight+goodWeight*0.7)/(n+goodWeight))
		total += mx.spread[k]
	}
	return total
}

// Numbers of the evidence that holes and joints give for a turn.
const (
	// turnSD is the standard deviation, against the longer side, with which a
	// turn's map from the edges places a hole: lenses bend what lies between.
	turnSD = 0.0015
	// turnReach is in standard deviations.
	turnReach = 3.0
	// fewest and most of the holes that are taken to have a partner.
	leastPartners = 0.02
	mostPartners  = 0.9
)

// evidenceOf is the log likelihood, over chance, of where a map puts the
// component holes against the foil marks. A hole has a partner, or what lies
// nearest to its place lies there by chance.
//
// Clear edges place the map better than spots, and alike for every turn, so
// that no candidate gains by having been moved; without them the spots' map is
// asked, with the width that it may be off by.
func (s *sharpener) evidenceOf(c *candidate) float64 {
	sd, m := math.Max(turnSD*s.longer, 1.5), s.surest(c)
	if !s.snug {
		sd *= 2
	}
	near := s.matchNear(m, turnReach*sd)
	if len(near) == 0 {
		return 0
	}
	density := float64(len(s.marks)) / (0.7 * s.longer * s.longer)
	ratios := make([]float64, len(s.holes)) // 0 where no mark is near
	for i, x := range near {
		q, _ := m.apply(x.pair.Component)
		d := q.Dist(x.pair.Foil)
		v := sd*sd + x.own
		ratios[i] = math.Exp(-d*d/(2*v)) / (2 * math.Pi * v) / density
	}
	return mixed(ratios, 0.3, leastPartners, mostPartners)
}

// matchNear pairs marks found on both sides without the map: a component hole
// with the foil mark nearest to its place within reach.
func (s *sharpener) matchNear(m model, reach float64) []match {
	var list []match
	for _, h := range s.holes {
		at, front := m.apply(h.at)
		if !front {
			continue
		}
		best, least := -1, reach
		for k, x := range s.marks {
			if x.kind == boreMark {
				continue
			}
			ratio := x.radius / (h.radius * areaScale(m, h.at))
			if x.kind == holeMark && (ratio < 0.7 || ratio > 1.4) || x.kind == jointMark && (ratio < 1/mostEntry || ratio > 1/leastEntry) {
				continue
			}
			if d := x.at.Dist(at); d < least {
				best, least = k, d
			}
		}
		if best >= 0 {
			x := s.marks[best]
			list = append(list, match{pair: Pair{h.at, x.at}, kind: x.kind, chance: chance{good: 1},
				own: square(x.sd) + square(h.sd*areaScale(m, h.at))})
		}
	}
	return list
}
