package raster

import (
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// EachInside visits the pixels whose middle lies inside a closed polygon: every
// place around which it winds, however often it crosses itself. Rows come from
// the top down; a pixel may be visited more than once.
func EachInside(polygon []geom.Point, visit func(x, y int)) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range polygon {
		low, high = math.Min(low, p.Y), math.Max(high, p.Y)
	}
	if len(polygon) == 0 {
		return
	}
	var hits []crossing
	for y := int(math.Ceil(low)); y <= int(math.Floor(high)); y++ {
		hits = appendCrossings(hits[:0], polygon, float64(y))
		slices.SortFunc(hits, func(a, b crossing) int {
			switch {
			case a.x < b.x:
				return -1
			case a.x > b.x:
				return 1
			}
			return 0
		})
		turns := 0
		for i := 0; i+1 < len(hits); i++ {
			turns += hits[i].turn
			if turns == 0 {
				continue
			}
			for x := int(math.Ceil(hits[i].x)); float64(x) <= hits[i+1].x; x++ {
				visit(x, y)
			}
		}
	}
}

// crossing is where a polygon's edge goes down (1) or up (-1) through a row.
type crossing struct {
	x    float64
	turn int
}

func appendCrossings(to []crossing, polygon []geom.Point, y float64) []crossing {
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		if (a.Y <= y) == (b.Y <= y) {
			continue
		}
		turn := 1
		if a.Y > b.Y {
			turn = -1
		}
		to = append(to, crossing{a.X + (y-a.Y)*(b.X-a.X)/(b.Y-a.Y), turn})
	}
	return to
}
