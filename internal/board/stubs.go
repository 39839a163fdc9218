package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// nearPart is how far, in working pixels, copper's edge and a part's may lie
// apart where one is taken to go under the other: both edges are blurred.
const nearPart = 2

// rim is one working pixel of copper beside a part.
type rim struct {
	x, y  int
	net   copper.NetID
	front int32
}

// findStubs lists the places where copper goes under parts, in reading order.
func findStubs(l copper.Labels, parts raster.Labels) []stub {
	var rims []rim
	for y := range l.H {
		for x := range l.W {
			if net := l.Of[y*l.W+x]; net != 0 {
				if part := besidePart(parts, x, y); part != 0 {
					rims = append(rims, rim{x, y, net, part})
				}
			}
		}
	}
	var out []stub
	for _, group := range groupRims(l, rims) {
		if s, ok := stubOf(l, group); ok {
			out = append(out, s)
		}
	}
	return out
}

// besidePart is the part next to a pixel, 0 for none.
func besidePart(parts raster.Labels, x, y int) int32 {
	for d := 1; d <= nearPart; d++ {
		for _, v := range [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
			xx, yy := x+d*v[0], y+d*v[1]
			if xx >= 0 && yy >= 0 && xx < parts.W && yy < parts.H {
				if p := parts.Of[yy*parts.W+xx]; p != 0 {
					return p
				}
			}
		}
	}
	return 0
}

// groupRims gathers rims of one net beside one part that hang together.
func groupRims(l copper.Labels, rims []rim) [][]rim {
	sets := raster.NewDisjointSets(len(rims))
	at := map[int]int{}
	for i, r := range rims {
		for dy := -2; dy <= 0; dy++ {
			for dx := -2; dx <= 2; dx++ {
				if k, ok := at[(r.y+dy)*l.W+r.x+dx]; ok && rims[k].net == r.net && rims[k].front == r.front {
					sets.Union(int32(i), int32(k))
				}
			}
		}
		at[r.y*l.W+r.x] = i
	}
	groups := map[int32][]rim{}
	var order []int32
	for i, r := range rims {
		root := sets.Find(int32(i))
		if groups[root] == nil {
			order = append(order, root)
		}
		groups[root] = append(groups[root], r)
	}
	out := make([][]rim, 0, len(order))
	for _, o := range order {
		out = append(out, groups[o])
	}
	slices.SortStableFunc(out, func(a, b []rim) int { return cmp.Or(cmp.Compare(a[0].y, b[0].y), cmp.Compare(a[0].x, b[0].x)) })
	return out
}

// stubOf measures a stub: its middle, its width across, and its way on, which
// leads from the copper behind it.
func stubOf(l copper.Labels, group []rim) (stub, bool) {
	var at geom.Point
	for _, r := range group {
		at = at.Add(geom.Point{X: float64(r.x), Y: float64(r.y)})
	}
	at = at.Scale(1 / float64(len(group)))
	wide := 0.0
	for _, r := range group {
		wide = math.Max(wide, 2*at.Dist(geom.Point{X: float64(r.x), Y: float64(r.y)})+1)
	}
	if wide < leastStub {
		return stub{}, false
	}
	behind, n := geom.Point{}, 0.0
	reach := int(math.Max(6, math.Min(40, 1.5*wide)))
	for y := max(0, int(at.Y)-reach); y <= min(l.H-1, int(at.Y)+reach); y++ {
		for x := max(0, int(at.X)-reach); x <= min(l.W-1, int(at.X)+reach); x++ {
			if l.Of[y*l.W+x] == group[0].net {
				behind, n = behind.Add(geom.Point{X: float64(x), Y: float64(y)}), n+1
			}
		}
	}
	if n == 0 {
		return stub{}, false
	}
	way := at.Sub(behind.Scale(1 / n))
	if way.Norm() < 0.3 {
		return stub{}, false
	}
	return stub{group[0].net, group[0].front, at, way.Scale(1 / way.Norm()), wide}, true
}
