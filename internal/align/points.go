package align

import (
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// Options for FromPairs and Automatic.
type Options struct {
	// NoLens keeps the map projective whatever the pairs say.
	NoLens bool
	// Progress, if given, is told how far the work is (0 to 1) and what it does.
	Progress func(done float64, what string)
}

func (o Options) report(done float64, what string) {
	if o.Progress != nil {
		o.Progress(done, what)
	}
}

// FromPairs finds the map from pairs of corresponding pixels.
//
// Plain least squares on the foil photo's distances, over the pairs that
// belong together; a weak prior on tilt and shape carries layouts that leave
// the map open. A lens enters where the pairs give evidence for it.
//
// Errors: *Problem of kind TooFew, Outside, Repeated, Collinear, NotOne or
// Horizon; ctx.Err().
func FromPairs(ctx context.Context, pairs []Pair, sizes Sizes, opts Options) (Alignment, error) {
	if err := checkPairs(pairs, sizes); err != nil {
		return Alignment{}, err
	}
	if err := checkTurns(pairs); err != nil {
		return Alignment{}, err
	}
	base := newModel(pairs, sizes)
	plain, err := plainFit(ctx, base, pairs)
	if err != nil {
		return Alignment{}, err
	}
	if err := checkOneBoard(&plain, pairs); err != nil {
		return Alignment{}, err
	}
	exact, chance := plain, 0.0
	if !opts.NoLens {
		exact, plain, chance, err = withLens(ctx, plain, pairs)
		if err != nil {
			return Alignment{}, err
		}
	}
	a := assemble(exact, plain, chance, pairs, sizes)
	a.Problems = append(a.Problems, judge(&a, pairs)...)
	return a, nil
}

// plainFit fits without lenses, trying the turned-over board first.
func plainFit(ctx context.Context, base model, pairs []Pair) (fitted, error) {
	p := prior{mirrored: true, params: plainParams}
	mirrored, ok, err := robustFit(ctx, base, pairs, p)
	if err != nil {
		return fitted{}, err
	}
	if ok && areaSign(mirrored.model) < 0 {
		return mirrored, nil
	}
	p.mirrored = false
	same, okSame, err := robustFit(ctx, base, pairs, p)
	switch {
	case err != nil:
		return fitted{}, err
	case okSame:
		return same, nil
	case ok:
		return mirrored, nil
	}
	return fitted{}, crossed(pairs)
}

// areaSign is negative where the map mirrors at the middle of the pairs.
func areaSign(m model) float64 {
	j := m.unit().Jacobian(geom.Point{})
	return j[0]*j[3] - j[1]*j[2]
}

// checkTurns refuses four or five pairs in which some triangles keep their
// sense of turning and others change it: no flat board does that. With more
// pairs the wrong one can be found and left out.
func checkTurns(pairs []Pair) error {
	if len(pairs) > leastKept {
		return nil
	}
	if _, total := turnCounts(pairs); total[0] > 0 && total[1] > 0 {
		return crossed(pairs)
	}
	return nil
}

// crossed is the error for pairs that no map takes over without putting some
// of them behind its horizon: going round, they come in another order.
func crossed(pairs []Pair) error {
	p := &Problem{Kind: NotOne, Reason: "no flat board can look like this in both photos: the places come in another order going round",
		Advice: "look whether two marks are exchanged, or whether the photos show different boards"}
	if len(pairs) <= leastKept {
		p.Pairs = suspectTurns(pairs)
		if len(p.Pairs) > 0 {
			p.Advice = "look at " + pairNames(p.Pairs) + " first: marks may be exchanged; or the photos show different boards"
		}
	}
	return p
}

// suspectTurns names the pairs that take part in most of the triangles whose
// sense of turning disagrees with the majority's.
func suspectTurns(pairs []Pair) []int {
	counts, total := turnCounts(pairs)
	odd := 0
	if total[1] < total[0] {
		odd = 1
	}
	most := slices.Max(counts[odd])
	var list []int
	for i, n := range counts[odd] {
		if n == most && n > 0 {
			list = append(list, i+1)
		}
	}
	return list
}

// turnCounts counts the triangles of pairs that keep their sense of turning
// from photo to photo (0) and that change it (1), in all and for each pair.
// Triangles too flat to tell don't count.
func turnCounts(pairs []Pair) (each [2][]int, total [2]int) {
	each[0], each[1] = make([]int, len(pairs)), make([]int, len(pairs))
	for i := range pairs {
		for j := range i {
			for k := range j {
				c := turnSign(pairs[i].Component, pairs[j].Component, pairs[k].Component)
				f := turnSign(pairs[i].Foil, pairs[j].Foil, pairs[k].Foil)
				if c*f == 0 {
					continue
				}
				sense := (1 - c*f) / 2
				total[sense]++
				for _, p := range []int{i, j, k} {
					each[sense][p]++
				}
			}
		}
	}
	return each, total
}

// flatTriangle is the height of a triangle against its longest side below
// which its sense of turning may be an accident of pointing.
const flatTriangle = 0.02

func turnSign(a, b, c geom.Point) int {
	longest := max(a.Dist(b), b.Dist(c), c.Dist(a))
	switch t := geom.Turn(a, b, c); {
	case t > flatTriangle*longest*longest:
		return 1
	case t < -flatTriangle*longest*longest:
		return -1
	}
	return 0
}

// loosest is the pointing noise, against the extent of the pairs, beyond which
// they are not taken as marks on one board: 2 mm on 100 mm.
const loosest = 0.02

// checkOneBoard refuses a map that most pairs, or any good measure, speak
// against.
func checkOneBoard(f *fitted, pairs []Pair) error {
	worst := f.noise / extent(pairs, f.used)
	lost := len(pairs) - len(f.used)
	if worst <= loosest && 2*lost < len(pairs) {
		return nil
	}
	reason := fmt.Sprintf("the %d pairs don't fit one board: with the best map they are some %.0f foil pixels off", len(pairs), math.Sqrt2*f.noise)
	if worst <= loosest {
		reason = fmt.Sprintf("the pairs don't fit one board: any map leaves out %d of %d", lost, len(pairs))
	}
	return &Problem{Kind: NotOne, Reason: reason,
		Advice: "look whether both photos show the same board, and mark the pairs again one by one"}
}

// assemble fills in the result from the two fits.
func assemble(exact, plain fitted, chance float64, pairs []Pair, sizes Sizes) Alignment {
	a := Alignment{Sizes: sizes, Found: FoundPoints, Plain: plain.model.matrix(), Exact: exact.model.matrix(),
		Lens: exact.model.lens, PlainLens: plainLens(plain, exact, chance, pairs), NoisePx: exact.noise, fit: exact}
	kept := make([]bool, len(pairs))
	sum := 0.0
	for _, i := range exact.used {
		kept[i] = true
		a.Kept = append(a.Kept, i+1)
		sum += square(exact.residual(pairs[i]).Norm())
	}
	a.ResidualPx = math.Sqrt(sum / float64(len(exact.used)))
	for i, p := range pairs {
		if !kept[i] {
			a.Left = append(a.Left, Misfit{Pair: i + 1, DistancePx: finite(exact.residual(p).Norm())})
		}
	}
	return a
}

// finite replaces a distance to a place beyond the horizon by the largest
// number, since results hold finite numbers only.
func finite(d float64) float64 {
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return math.MaxFloat64
	}
	return d
}

// plainLens fits the lens terms with the plain matrix held still, for readers
// that use the two together, and takes them as far as a lens is likely.
func plainLens(plain, exact fitted, chance float64, pairs []Pair) Lenses {
	if exact.model.lens.flat() {
		return exact.model.lens
	}
	m := plain.model
	for range 5 {
		// Two unknowns: normal equations by hand.
		var a, b, d, r, s float64
		for _, i := range plain.used {
			q, _ := m.apply(pairs[i].Component)
			x, y := m.jacobian(pairs[i].Component)
			e := pairs[i].Foil.Sub(q)
			a += x[8]*x[8] + y[8]*y[8]
			b += x[8]*x[9] + y[8]*y[9]
			d += x[9]*x[9] + y[9]*y[9]
			r += x[8]*e.X + y[8]*e.Y
			s += x[9]*e.X + y[9]*e.Y
		}
		ridge := square(plain.noise / k1SD)
		a, d = a+ridge, d+ridge
		r -= ridge * m.lens.Component.K1
		s -= ridge * m.lens.Foil.K1
		det := a*d - b*b
		if !(det > 0) {
			return noLensesLike(m.lens)
		}
		m.lens.Component.K1 += (d*r - b*s) / det
		m.lens.Foil.K1 += (a*s - b*r) / det
	}
	m.lens.Component.K1 *= chance
	m.lens.Foil.K1 *= chance
	if !m.lens.usable() {
		return noLensesLike(m.lens)
	}
	return m.lens
}

func noLensesLike(l Lenses) Lenses {
	l.Component.K1, l.Foil.K1 = 0, 0
	return l
}

// judge lists what the person should know about a map that stands.
func judge(a *Alignment, pairs []Pair) []Problem {
	var list []Problem
	component, foil := split(pairs)
	if !a.Mirrored() {
		list = append(list, Problem{Kind: SameFace,
			Reason: "the map doesn't mirror: these two photographs show the same face, or one of them is already mirrored",
			Advice: "give a component-side and a foil-side photograph as they were taken; undo any mirroring done by hand"})
	}
	for _, m := range a.Left {
		list = append(list, Problem{Kind: WrongPair, Pairs: []int{m.Pair},
			Reason: fmt.Sprintf("pair %d was left out: the others put its place %.0f foil pixels away from where it is marked", m.Pair, m.DistancePx),
			Advice: fmt.Sprintf("mark pair %d again, or take it away", m.Pair)})
	}
	if side := lineOf(component, foil, 1); side != "" {
		list = append(list, Problem{Kind: Collinear,
			Reason: "all pairs but one lie on one line in the " + side + " photo, so how the board tilts is guessed",
			Advice: "mark one more place far from that line"})
	}
	if len(pairs) <= leastKept {
		list = append(list, Problem{Kind: FewToJudge,
			Reason: fmt.Sprintf("with %d pairs a wrong one can't be told from a good one", len(pairs)),
			Advice: "look at the overlay, or mark six or more pairs"})
	}
	if crossesHorizon(a) {
		list = append(list, horizonProblem())
	}
	return list
}

func horizonProblem() Problem {
	return Problem{Kind: Horizon,
		Reason: "far from the pairs the map reaches its horizon inside the component photo, so nothing is shown there",
		Advice: "mark pairs nearer to the board's corners, or take the photos less obliquely"}
}

// crossesHorizon reports whether a corner of the component photo lies on the
// far side of the map's horizon from its pairs.
func crossesHorizon(a *Alignment) bool {
	for _, c := range a.Sizes.Component.corners() {
		if _, front := a.fit.model.apply(c); !front {
			return true
		}
	}
	return false
}
