package align

import "fmt"

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
	if len(pairs) <= leastKept && stretched(a.Plain, mean(component)) > mostStretched {
		list = append(list, Problem{Kind: NotOne,
			Reason: fmt.Sprintf("the %d pairs fit only if the board is stretched by half or more from one photo to the other, as in a very oblique view", len(pairs)),
			Advice: "if neither photo was taken that obliquely, look whether marks are exchanged or the photos show different boards"})
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
