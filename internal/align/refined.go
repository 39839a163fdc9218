package align

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/num/geom"
)

// What a refined map must rest on to be taken before the coarse one: so many
// good matches, or the board's sides and a few.
const (
	fewestMatches   = 8.0
	fewestSides     = 3
	fewestWithSides = 3.0
	// farthestRefined is how far, against the longer side, refining may move
	// the map; beyond, it ran away.
	farthestRefined = 0.012
)

// refined sharpens a candidate; false where too little is seen for it.
func (s *sharpener) refined(ctx context.Context, sc *scene, c candidate) (Alignment, bool, error) {
	start := s.surest(&c)
	if sc.outlined {
		s.corners = nil
		for _, p := range sc.corners {
			s.corners = append(s.corners, Pair{p, c.guess.Apply(p)})
		}
	}
	f, matches, err := s.sharpen(ctx, start)
	if err != nil || f.cov == nil || f.cov.SymmetricDim() != f.prior.params+f.slips.params() {
		return Alignment{}, false, err
	}
	n, sides := weigh(matches), f.clearSides()
	if n < fewestMatches && (sides < fewestSides || !s.snug && n < fewestWithSides) {
		return Alignment{}, false, nil
	}
	if sc.apart(f.model.plainest(sc.corners), start.matrix()) > farthestRefined {
		return Alignment{}, false, nil
	}
	return s.alignmentOf(f, matches, sc.corners, sides), true, nil
}

// weigh is the sum of the chances that holes, joints and bores are good.
func weigh(matches []match) float64 {
	sum := 0.0
	for _, m := range matches {
		if m.kind != cornerMark {
			sum += m.good
		}
	}
	return sum
}

// clearSides counts the sides that agree with the map.
func (f *fitted) clearSides() int {
	n := 0
	for i := range f.sides {
		if f.sides[i].off < sideTooWide {
			n++
		}
	}
	return n
}

// plainest is the projective map through where the model puts four corners.
func (m model) plainest(corners [4]geom.Point) geom.Projective {
	var to [4]geom.Point
	for i, p := range corners {
		to[i], _ = m.apply(p)
	}
	h, ok := geom.FourPoint(corners, to)
	if !ok {
		return m.matrix()
	}
	return h
}

// alignmentOf makes the alignment of a refined map.
func (s *sharpener) alignmentOf(f fitted, matches []match, corners [4]geom.Point, sides int) Alignment {
	a := Alignment{Sizes: s.sizes, Found: FoundAutomatic, Refined: true, Exact: f.model.matrix(), Lens: f.model.lens}
	sum, weights, places := 0.0, 0.0, 0
	for _, m := range matches {
		if m.kind == cornerMark {
			continue
		}
		sum += m.good * square(f.residual(m.pair).Norm())
		weights += m.good
		if m.good > 0.5 {
			places++
		}
	}
	if weights > 0 {
		a.ResidualPx = math.Sqrt(sum / weights)
	}
	a.NoisePx = a.ResidualPx / math.Sqrt2
	f.degree = 2*weights + float64(3*sides)
	a.fit = f
	a.Plain, a.PlainLens = f.plainOf(corners, s.sizes)
	a.Confidence = fmt.Sprintf("%d places seen from both sides agree", places)
	if sides > 0 {
		a.Confidence = fmt.Sprintf("%d sides of the board and %d places seen from both sides agree", sides, places)
	}
	return a
}

// gridPlaces is the number of places a side over which the plain map is laid.
const gridPlaces = 9

// plainOf is the best projective map over the board without any lens, and the
// lens terms that serve it best.
func (f *fitted) plainOf(corners [4]geom.Point, sizes Sizes) (geom.Projective, Lenses) {
	exact := f.model.matrix()
	if f.model.lens.flat() {
		return exact, f.model.lens
	}
	square4, ok := geom.FourPoint([4]geom.Point{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, corners)
	if !ok {
		return exact, f.model.lens
	}
	var pairs []Pair
	for i := range gridPlaces {
		for k := range gridPlaces {
			p := square4.Apply(geom.Point{X: float64(i) / (gridPlaces - 1), Y: float64(k) / (gridPlaces - 1)})
			q, _ := f.model.apply(p)
			pairs = append(pairs, Pair{p, q})
		}
	}
	g := fitted{model: newModel(pairs, sizes), prior: prior{params: plainParams, shapeOff: true},
		used: everyIndex(len(pairs)), noise: 1}
	if !g.model.setMatrix(f.model.plainest(corners)) || !g.descend(pairs) {
		return exact, f.model.lens
	}
	g.noise = math.Max(0.01, f.noise*0.01)
	g.model.lens.Component.Centre, g.model.lens.Foil.Centre = f.model.lens.Component.Centre, f.model.lens.Foil.Centre
	return g.model.matrix(), plainLens(g, *f, 1, pairs)
}
