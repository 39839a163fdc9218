package align

import (
	"context"
	"fmt"
	"math"

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
// Errors: *Problem of kind TooFew, Outside, Repeated, Collinear or NotOne;
// ctx.Err(). Trouble that leaves a map standing is in Alignment.Problems.
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
