package copper

import (
	"math"

	"foilside/internal/num/geom"
)

// Stroke is a brush drawn over the foil photo by a person who sees what is
// there: everything within Radius of the path is copper, or is bare board.
// Points and Radius are in photo pixels; a path of one point is a dab.
type Stroke struct {
	Points []geom.Point
	Radius float64
	Copper bool
}

// What a person's word is worth, as levels: above any pixel's own say but not
// above a join, and below any.
const (
	brushedCopper = certain - 1
	brushedBare   = 1
)

// narrowestBrush is the least radius of a stroke in working pixels: narrower
// ones could leave a gap that the copper slips through.
const narrowestBrush = 1

// brush paints the strokes into the levels of the graph, in the order in which
// they were drawn, and marks the tiles that changed.
func (p *Plate) brush(g *graph, strokes []Stroke, changed map[int]bool) {
	for _, s := range strokes {
		level := uint8(brushedBare)
		if s.Copper {
			level = uint8(brushedCopper)
		}
		radius := math.Max(s.Radius/float64(p.Scale), narrowestBrush)
		eachBrushed(shrunk(s.Points, p.Scale), radius, g.w, g.h, func(x, y int) {
			if i := y*g.w + x; g.levels[i] != level {
				g.levels[i] = level
				changed[y/tileSide*g.tw+x/tileSide] = true
			}
		})
	}
}

// eachBrushed visits the pixels of a w×h plane within radius of a path.
func eachBrushed(path []geom.Point, radius float64, w, h int, visit func(x, y int)) {
	for i, a := range path {
		b := a
		if i+1 < len(path) {
			b = path[i+1]
		} else if i > 0 {
			break // the last piece ended here
		}
		x0, x1 := clampInt(int(math.Min(a.X, b.X)-radius), w), clampInt(int(math.Max(a.X, b.X)+radius)+1, w)
		y0, y1 := clampInt(int(math.Min(a.Y, b.Y)-radius), h), clampInt(int(math.Max(a.Y, b.Y)+radius)+1, h)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				if offSegment(geom.Point{X: float64(x), Y: float64(y)}, a, b) <= radius {
					visit(x, y)
				}
			}
		}
	}
}

// offSegment is the distance of q from the segment between a and b.
func offSegment(q, a, b geom.Point) float64 {
	ab := b.Sub(a)
	along := 0.0
	if n := ab.X*ab.X + ab.Y*ab.Y; n > 0 {
		along = ((q.X-a.X)*ab.X + (q.Y-a.Y)*ab.Y) / n
	}
	return q.Dist(a.Add(ab.Scale(math.Min(math.Max(along, 0), 1))))
}

// brushedOver reports whether a stroke made copper of working pixel i.
func (p *Plate) brushedOver(g *graph, i int) bool {
	return g.levels[i] >= cutLevel && p.graph.levels[i] < cutLevel
}

// confidence is how likely working pixel (x, y) is copper, what a person said
// of it counted in.
func (c *Copper) confidence(x, y int) float64 {
	if i := y*c.Labels.W + x; c.levels[i] != c.plate.graph.levels[i] {
		return chance(oddsOf(c.levels[i]))
	}
	return float64(c.plate.Prob.At(x, y))
}
