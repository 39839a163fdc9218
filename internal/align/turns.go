package align

import (
	"slices"

	"foilside/internal/num/geom"
)

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
