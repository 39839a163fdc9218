package copper

import (
	"math"

	"foilside/internal/num/geom"
)

// What it costs that an edge of copper takes a certain way out of sight, beside
// its length in widths of what hides it. Tracks end now and then, gaps hardly
// ever do: copper that ran around the end of a gap would join its two sides.
// Chosen once, by hand; boards numbered from 7000 and 9000 (TestSpecimens) were
// looked at with them.
const (
	bendCost       = 1.0 // for a quarter turn at either end
	gapEndCost     = 3.0 // for turning back around bare board
	trackEndCost   = 0.7 // for turning back around copper
	directionReach = 8.0 // how far aside an edge is looked for farther out, in working pixels
)

// crossing is where an edge of copper goes out of sight.
type crossing struct {
	rim int // between this place of the rim and the next
	at  geom.Point
	in  geom.Point // unit vector in which the edge goes on
}

// crossings are the places where the rim changes from copper to bare board or
// back, by turns.
func (h *hidden) crossings(rim []rimPlace) []crossing {
	var out []crossing
	for i, a := range rim {
		b := rim[(i+1)%len(rim)]
		if a.copper == b.copper {
			continue
		}
		at := a.at.Add(b.at).Scale(0.5)
		out = append(out, crossing{i, at, h.direction(at, a.out.Add(b.out), b.copper)})
	}
	return out
}

// direction is the way in which an edge goes on: that from where it is seen
// farther outside. after tells whether copper follows it along the rim.
func (h *hidden) direction(at, normal geom.Point, after bool) geom.Point {
	l := normal.Norm()
	if l == 0 {
		return geom.Point{}
	}
	normal = normal.Scale(1 / l)
	along := geom.Point{X: -normal.Y, Y: normal.X} // the way of the walk
	way, aside := normal.Scale(-1), math.Inf(1)
	for _, far := range [2]float64{3, 5} {
		base := at.Add(normal.Scale(far))
		for s := -directionReach; s < directionReach; s++ {
			v, ok := h.seen(base.Add(along.Scale(s)))
			w, also := h.seen(base.Add(along.Scale(s + 1)))
			off := math.Abs(s + 0.5)
			if ok && also && v > 0.5 != after && w > 0.5 == after && off < aside {
				way, aside = at.Sub(base.Add(along.Scale(s+0.5))), off
			}
		}
	}
	return way.Scale(1 / way.Norm())
}

// costs are what it costs to pair each two crossings, Inf for those that can't
// be one edge since copper would lie on both its sides.
func (h *hidden) costs(rim []rimPlace, c []crossing) [][]float64 {
	out := make([][]float64, len(c))
	for i := range c {
		out[i] = make([]float64, len(c))
		for j := range c {
			out[i][j] = math.Inf(1)
			if (i+j)%2 == 1 {
				out[i][j] = h.cost(rim, c[min(i, j)], c[max(i, j)])
			}
		}
	}
	return out
}

// cost is that of one edge from a to b, a coming first along the rim.
func (h *hidden) cost(rim []rimPlace, a, b crossing) float64 {
	d := b.at.Sub(a.at)
	length := d.Norm()
	if length == 0 {
		return 0
	}
	d = d.Scale(1 / length)
	sum := length/h.width + bendCost*(2-dot(a.in, d)+dot(b.in, d))
	back := dot(a.in, b.in)
	if back <= 0 {
		return sum
	}
	within := rim[(a.rim+1)%len(rim)].copper
	if 2*(b.rim-a.rim) > len(rim) {
		within = !within // the shorter way between them is the other one
	}
	if within {
		return sum + trackEndCost*back
	}
	return sum + gapEndCost*back
}

func dot(a, b geom.Point) float64 { return a.X*b.X + a.Y*b.Y }

// pairUp pairs the crossings at the least cost such that no two edges cross, and
// returns the partner of each.
//
// Method: dynamic programming over stretches of the rim, as for the best
// non-crossing matching of points on a circle; n³/24 steps.
func pairUp(cost [][]float64) []int {
	n := len(cost)
	best, with := make([][]float64, n+1), make([][]int, n+1)
	for i := range best {
		best[i], with[i] = make([]float64, n+1), make([]int, n+1)
	}
	for length := 2; length <= n; length += 2 {
		for i := 0; i+length <= n; i++ {
			j := i + length // crossings i to j-1
			best[i][j] = math.Inf(1)
			for k := i + 1; k < j; k += 2 {
				if v := cost[i][k] + best[i+1][k] + best[k+1][j]; v < best[i][j] {
					best[i][j], with[i][j] = v, k
				}
			}
		}
	}
	pair := make([]int, n)
	stretches := [][2]int{{0, n}}
	for len(stretches) > 0 {
		s := stretches[len(stretches)-1]
		stretches = stretches[:len(stretches)-1]
		if s[0] >= s[1] {
			continue
		}
		k := with[s[0]][s[1]]
		pair[s[0]], pair[k] = k, s[0]
		stretches = append(stretches, [2]int{s[0] + 1, k}, [2]int{k + 1, s[1]})
	}
	return pair
}
