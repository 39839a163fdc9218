package align

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

// mostBlobs is how many blobs of each photo the search works with.
const mostBlobs = 600

// Find lays the photos over each other with what is at hand: see Sight.Find.
func Find(ctx context.Context, component, foil *photo.Photo, pairs []Pair, opts Options) (Alignment, error) {
	s, err := Look(ctx, component, foil, opts)
	if err != nil {
		return Alignment{}, err
	}
	return s.Find(ctx, pairs, opts)
}

func sizeOf(p *photo.Photo) Size { return Size{p.Width(), p.Height()} }

// Automatic finds the map without four pairs: by the board's outline and by
// the small round spots (holes, pads, joints) that both photos show.
//
// Every way the board can have been turned is tried, also those that don't
// mirror, which are always wrong: they show how well a wrong map can look. The
// best is taken only where it explains the spots far better than any other
// map. Marks given as hints (one to three pairs) rule out the turns that they
// contradict.
//
// Errors: *Problem of kind Unsure where no map stands out, which asks for one
// mark or for four pairs; SameFace where the one that stands out doesn't
// mirror; NotOne where hints contradict each other; what checkInside says;
// ctx.Err().
func Automatic(ctx context.Context, component, foil *photo.Photo, hints []Pair, opts Options) (Alignment, error) {
	if err := checkHints(hints, Sizes{sizeOf(component), sizeOf(foil)}); err != nil {
		return Alignment{}, err
	}
	s, err := Look(ctx, component, foil, opts)
	if err != nil {
		return Alignment{}, err
	}
	return s.automatic(ctx, hints, opts)
}

// automatic searches with at most three marks, and says more of a refusal
// where a photo itself is to blame.
func (t *Sight) automatic(ctx context.Context, hints []Pair, opts Options) (Alignment, error) {
	if err := checkHints(hints, t.sizes); err != nil {
		return Alignment{}, err
	}
	a, err := t.search(ctx, hints, opts)
	var problem *Problem
	if errors.As(err, &problem) && problem.Kind == Unsure {
		return a, t.explain(ctx, problem)
	}
	return a, err
}

func (t *Sight) search(ctx context.Context, hints []Pair, opts Options) (Alignment, error) {
	on, under := t.on, t.under
	if len(hints) == 0 && (on.steep() || under.steep()) {
		// The right turn may be too slanted to be tried, so that the best of
		// the wrong ones would win.
		return Alignment{}, unsure("one photo was taken too far from straight above")
	}
	opts.report(0.6, "trying the ways the board can have been turned")
	s := newScene(on.blobs, under.blobs, on.board, under.board, t.sizes)
	s.sharp = newSharpener(on, under, hints, t.sizes, opts)
	found, err := s.tryTurns(ctx, on.board, under.board, hints)
	if err != nil {
		return Alignment{}, err
	}
	opts.report(0.9, "fitting the map")
	if len(hints) == 0 {
		best, err := s.decide(found)
		if err != nil {
			return Alignment{}, err
		}
		return s.settleOn(ctx, best, nil, t.sizes, opts)
	}
	best, err := s.decideMarked(found, hints)
	var problem *Problem
	if errors.As(err, &problem) && problem.Kind == Unsure {
		return fromOutlines(ctx, on.board, under.board, hints, t.sizes, opts, problem)
	}
	if err != nil {
		return Alignment{}, err
	}
	return s.settleOn(ctx, best, hints, t.sizes, opts)
}

func checkHints(hints []Pair, sizes Sizes) error {
	for i, p := range hints {
		if err := checkInside(i, "component", p.Component, sizes.Component); err != nil {
			return err
		}
		if err := checkInside(i, "foil", p.Foil, sizes.Foil); err != nil {
			return err
		}
	}
	return checkRepeated(hints)
}

// both runs the same work on both photos at once.
func both[T any](work func(foil bool) (T, error)) (component, foil T, err error) {
	var wg sync.WaitGroup
	var err1, err2 error
	wg.Go(func() { component, err1 = work(false) })
	wg.Go(func() { foil, err2 = work(true) })
	wg.Wait()
	return component, foil, cmp.Or(err1, err2)
}

// either is the component's or the foil's.
func either[T any](isFoil bool, component, foil T) T {
	if isFoil {
		return foil
	}
	return component
}

// tryTurns refines the most promising maps of every turn and lists them, best
// first.
func (s *scene) tryTurns(ctx context.Context, on, under outline, hints []Pair) ([]candidate, error) {
	turns := everyTurn()
	lists := make([][]candidate, len(turns))
	errs := make([]error, len(turns))
	var wg sync.WaitGroup
	for k, t := range turns {
		guess, ok := t.guess(on, under)
		if !ok || stretched(guess, mean(on.quad[:])) > mostStretched || !s.agrees(guess, hints, hintReach) {
			continue
		}
		wg.Go(func() { lists[k], errs[k] = s.tryTurn(ctx, t, guess) })
	}
	wg.Wait()
	found := slices.Concat(lists...)
	s.support(found)
	slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(b.gain, a.gain) })
	return found, cmp.Or(errs...)
}

func (s *scene) tryTurn(ctx context.Context, t turn, guess geom.Projective) ([]candidate, error) {
	starts, err := s.nudges(ctx, guess)
	if err != nil {
		return nil, err
	}
	var list []candidate
	for _, m := range append(starts, guess) {
		c, ok, err := s.refine(ctx, t, m, guess)
		if err != nil {
			return nil, err
		}
		// A refinement that ran away from the outline says nothing about it.
		if ok && s.apart(c.model.matrix(), guess) < 2*s.reach.shift {
			list = append(list, c)
		}
	}
	return s.withGuess(list, t, guess), nil
}

// withGuess adds the outlines' own map to the candidates of a turn where clear
// edges place it better than any spots do.
func (s *scene) withGuess(list []candidate, t turn, guess geom.Projective) []candidate {
	c := candidate{turn: t, guess: guess, model: s.base, spread: firstSpread * s.longer}
	if s.sharp == nil || !s.sharp.snug || !c.model.setMatrix(guess) {
		return list
	}
	for k := range c.shares {
		c.shares[k] = [2]float64{fewPartners, fewPartners}
	}
	s.expect(&c)
	c.gain = math.Max(0, c.gain)
	return append(list, c)
}

// support adds, to what the spots say for each candidate, what the holes and
// joints say whose rims were seen, and by how much busier than under the other
// turns the component photo looks where joints come to lie.
func (s *scene) support(found []candidate) {
	busy := map[turn]float64{}
	for i := range found {
		c := &found[i]
		c.spots = c.gain
		if s.sharp == nil {
			continue
		}
		c.gain += math.Max(0, s.sharp.evidenceOf(c))
		c.spots = c.gain
		if _, asked := busy[c.turn]; !asked {
			busy[c.turn] = s.sharp.busyness(s.sharp.surest(c))
		}
		c.busy = busy[c.turn]
	}
	if len(busy) < 2 {
		return
	}
	total := 0.0
	for _, v := range busy {
		total += v
	}
	for i := range found {
		c := &found[i]
		others := (total - c.busy) / float64(len(busy)-1)
		c.gain += math.Max(0, c.busy-others)
	}
}

// surest is a candidate's map as the clear edges give it, or else its spots.
func (s *sharpener) surest(c *candidate) model {
	m := c.model
	if s.snug && !m.setMatrix(c.guess) {
		return c.model
	}
	return m
}

// hintReach is how far, against the foil quad's longer side, a first guess may
// put a mark from where it is: the reach of a guess and a careless finger.
const hintReach = 0.1

// agrees reports whether a map puts every hint near its mark.
func (s *scene) agrees(m geom.Projective, hints []Pair, reach float64) bool {
	return near(m, hints, reach*s.longer)
}
