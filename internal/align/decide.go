package align

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/num/geom"
)

// demand is the log likelihood over chance that the best map must have, and by
// which factor and amount it must exceed the next map's.
type demand struct{ gain, times, more float64 }

// demand is what a map must show to be taken. With outlines, photos of
// different boards reached a gain of 6 and wrong turns one of 13; without,
// photos of different boards reached 22 (TestStudyAutomatic).
func (s *scene) demand() demand {
	if s.outlined {
		return demand{gain: 20, times: 1.5, more: 8}
	}
	return demand{gain: 28, times: 2, more: 10}
}

// leastOfOne is what must speak for both photos showing one board, whichever
// way it lies: spots, holes and joints, and the looks of the places of joints
// with half their weight, since neighbours look alike. The gain alone doesn't
// tell: of a stranger's turns one may look better than the rest by chance. Of
// 360 pairs of different boards none reached 12 and two 10; of the pairs of one
// board one in a hundred stays below (seeds 21000 to 21099, on which this was
// chosen; TestStudyAutomatic and TestStudyStrangers take others).
const leastOfOne = 12.0

// ofOne is what speaks for both photos showing one board.
func (c *candidate) ofOne() float64 { return c.spots + c.busy/2 }

// decide picks the one candidate that stands out, or says why there is none.
// The list is sorted, best first.
func (s *scene) decide(found []candidate) (candidate, error) {
	if len(found) == 0 {
		return candidate{}, unsure("no board with holes or joints can be made out in both photos")
	}
	best := found[0]
	need := s.demand()
	switch next := s.nextGain(found); {
	case best.gain < need.gain || best.ofOne() < leastOfOne:
		return best, unsure("too few holes or joints are seen from both sides")
	case best.gain < need.times*math.Max(0, next)+need.more:
		return best, unsure("two ways of laying the photos over each other look much alike")
	case !best.turn.mirrored:
		return best, sameFace()
	}
	return best, nil
}

// nextGain is the gain of the best candidate that is another map than the
// first.
func (s *scene) nextGain(found []candidate) float64 {
	for _, c := range found[1:] {
		if !s.same(&found[0], &c) {
			return c.gain
		}
	}
	return 0
}

// markReach is how far, against the foil quad's longer side, a map may put a
// mark from where it is: less than half the pitch of a grid of holes, which is
// 2.54 mm on boards of up to 200 mm, and more than a careful finger misses.
const markReach = 0.006

// decideMarked picks the mirrored candidate that agrees with the marks. Marks
// tell the turn, so a map need only be better than the other mirrored ones.
func (s *scene) decideMarked(found []candidate, hints []Pair) (candidate, error) {
	var mirrored, other []candidate
	for _, c := range found {
		switch {
		case !s.agrees(c.model.matrix(), hints, markReach):
		case c.turn.mirrored:
			mirrored = append(mirrored, c)
		default:
			other = append(other, c)
		}
	}
	if len(mirrored) == 0 {
		return candidate{}, stillUnsure("no way of turning the board brings holes, joints and the marks together")
	}
	best, need := mirrored[0], s.demand()
	switch {
	case len(other) > 0 && other[0].gain > need.times*best.gain+need.more:
		return best, sameFace()
	case best.gain < need.gain:
		return best, stillUnsure("too few holes or joints are seen from both sides")
	case best.gain < s.nextGain(mirrored)+need.more:
		return best, stillUnsure("two ways of laying the photos over each other agree with the marks")
	}
	return best, nil
}

func unsure(why string) error {
	return &Problem{Kind: Unsure, Reason: "the photos can't be laid over each other with certainty: " + why,
		Advice: "mark one place that you find in both photos, such as a mounting hole near a corner; if that isn't enough, mark four"}
}

// stillUnsure is unsure where marks were given already.
func stillUnsure(why string) error {
	return &Problem{Kind: Unsure, Reason: "the photos can't be laid over each other with certainty, also with the marks given: " + why,
		Advice: "mark four or more places spread over the board, such as holes near its corners"}
}

func sameFace() error {
	return &Problem{Kind: SameFace,
		Reason: "the photos fit each other only without turning the board over: they show the same face, or one of them is already mirrored",
		Advice: "give both photos as they were taken; undo any mirroring done by hand"}
}

// restsOnMarks warns that marks decided how the board was turned.
func restsOnMarks(n int) Problem {
	marks := "the mark given"
	if n > 1 {
		marks = fmt.Sprintf("the %d marks given", n)
	}
	return Problem{Kind: FewToJudge, Reason: "how the board was turned over rests on " + marks,
		Advice: "look at the overlay, or mark four places"}
}

// fromOutlines lays the corners of both outlines over each other, under the
// only mirrored turn that the marks allow; the reason why the holes and joints
// couldn't decide is returned where that is no answer either.
func fromOutlines(ctx context.Context, on, under outline, hints []Pair, sizes Sizes, opts Options, why *Problem) (Alignment, error) {
	if !on.seen || !under.seen {
		return Alignment{}, why
	}
	var pairs []Pair
	turns := 0
	for _, t := range everyTurn() {
		guess, ok := t.guess(on, under)
		if !t.mirrored || !ok || stretched(guess, mean(on.quad[:])) > mostStretched || !near(guess, hints, hintReach*under.longer()) {
			continue
		}
		turns++
		pairs = pairs[:0]
		for _, p := range on.quad {
			pairs = append(pairs, Pair{p, guess.Apply(p)})
		}
	}
	if turns != 1 {
		return Alignment{}, why
	}
	a, err := FromPairs(ctx, withoutOutside(append(pairs, hints...), sizes), sizes, opts)
	if err != nil {
		return Alignment{}, why
	}
	a.Found = FoundAutomatic
	a.Left, a.Kept = nil, nil
	a.Confidence = "the board's outline and the marks given"
	a.Problems = []Problem{restsOnMarks(len(hints)), {Kind: FewToJudge,
		Reason: "holes and joints couldn't confirm the map, which rests on the board's outline",
		Advice: "look at the overlay, or mark four places"}}
	return a, nil
}

// near reports whether a map puts every hint within reach, in pixels, of its
// mark.
func near(m geom.Projective, hints []Pair, reach float64) bool {
	for _, h := range hints {
		if d := m.Apply(h.Component).Dist(h.Foil); !(d < reach) {
			return false
		}
	}
	return true
}

// withoutOutside drops pairs whose corner lies beyond the photo's edge, where
// the board is cut off, and those too near another one.
func withoutOutside(pairs []Pair, sizes Sizes) []Pair {
	var kept []Pair
	for _, p := range pairs {
		if sizes.Component.contains(p.Component) && sizes.Foil.contains(p.Foil) && checkRepeated(append(kept, p)) == nil {
			kept = append(kept, p)
		}
	}
	return kept
}
