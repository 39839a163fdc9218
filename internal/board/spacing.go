package board

import (
	"cmp"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Gap is where two nets come nearest to each other.
type Gap struct {
	Nets  [2]copper.NetID // the smaller number first
	Width float64         // foil pixels
	At    geom.Point      // in the middle of the gap
}

// Gaps lists, for every two nets that face each other with no third between
// them, where they come nearest. maxWidth bounds the width in foil pixels.
//
// Method: all nets grow at the same speed; where two meet, they are
// neighbours. Grown by steps to the four sides, so a slanting gap comes out up
// to 41 % too wide; the order of gaps is what counts here.
func Gaps(l copper.Labels, maxWidth float64) []Gap {
	best := map[[2]copper.NetID]Gap{}
	growNets(l, maxWidth, func(pair [2]copper.NetID, width float64, i int32) {
		if g, ok := best[pair]; !ok || g.Width > width {
			best[pair] = Gap{Nets: pair, Width: width, At: middle(l, i)}
		}
	})
	return sortGaps(best)
}

// growNets grows all nets and reports every place where two of them meet, with
// the width of the gap there; most places are reported from both sides.
func growNets(l copper.Labels, maxWidth float64, meet func(pair [2]copper.NetID, width float64, i int32)) {
	owner := append([]copper.NetID(nil), l.Of...)
	dist := make([]int32, len(owner))
	var front []int32
	for i, id := range owner {
		if id != 0 {
			front = append(front, int32(i))
		}
	}
	limit := int32(maxWidth/float64(2*l.Scale)) + 1
	for step := int32(1); len(front) > 0 && step <= limit; step++ {
		var next []int32
		for _, i := range front {
			for _, j := range sides(l, i) {
				switch {
				case owner[j] == 0:
					owner[j], dist[j] = owner[i], step
					next = append(next, j)
				case owner[j] != owner[i]:
					pair := [2]copper.NetID{min(owner[i], owner[j]), max(owner[i], owner[j])}
					meet(pair, float64(l.Scale)*float64(dist[i]+dist[j]), i)
				}
			}
		}
		front = next
	}
}

// sides are the up to four working pixels beside one.
func sides(l copper.Labels, i int32) []int32 {
	w, h := int32(l.W), int32(l.H)
	x, y := i%w, i/w
	out := make([]int32, 0, 4)
	if x > 0 {
		out = append(out, i-1)
	}
	if x < w-1 {
		out = append(out, i+1)
	}
	if y > 0 {
		out = append(out, i-w)
	}
	if y < h-1 {
		out = append(out, i+w)
	}
	return out
}

// middle is the foil pixel at the centre of a working pixel.
func middle(l copper.Labels, i int32) geom.Point {
	k := float64(l.Scale)
	return geom.Point{X: (float64(int(i)%l.W)+0.5)*k - 0.5, Y: (float64(int(i)/l.W)+0.5)*k - 0.5}
}

// sortGaps puts the narrowest gap first.
func sortGaps(all map[[2]copper.NetID]Gap) []Gap {
	var out []Gap
	for _, g := range all {
		out = append(out, g)
	}
	slices.SortFunc(out, func(a, b Gap) int {
		return cmp.Or(cmp.Compare(a.Width, b.Width), cmp.Compare(a.Nets[0], b.Nets[0]), cmp.Compare(a.Nets[1], b.Nets[1]))
	})
	return out
}
