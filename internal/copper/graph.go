package copper

import (
	"cmp"
	"slices"
	"sync"

	"foilside/internal/num/raster"
)

// graph is the level plane reduced to basins and the passes between them. The
// best path between two summits has the same weakest level in the graph as on
// the pixels, within flatness.
type graph struct {
	w, h   int
	levels []uint8 // effective levels: cuts painted in
	tw, th int     // tiles across and down
	tiles  []basinTile
	seams  []saddle // between tiles; a and b are numbered over the whole graph
	first  []int32  // per tile: number of its first basin in the whole graph
	n      int      // basins in all
}

// newGraph floods all tiles of a w×h level plane.
func newGraph(levels []uint8, w, h int) *graph {
	g := &graph{w: w, h: h, levels: levels, tw: (w + tileSide - 1) / tileSide, th: (h + tileSide - 1) / tileSide}
	g.tiles = make([]basinTile, g.tw*g.th)
	for i := range g.tiles {
		x, y := i%g.tw*tileSide, i/g.tw*tileSide
		g.tiles[i] = basinTile{x0: x, y0: y, x1: min(x+tileSide, w), y1: min(y+tileSide, h)}
	}
	raster.Rows(len(g.tiles), func(i0, i1 int) {
		for i := i0; i < i1; i++ {
			flood(g.levels, w, &g.tiles[i])
		}
	})
	g.number()
	return g
}

// reflood redoes the tiles named, after their levels changed.
func (g *graph) reflood(tiles map[int]bool) {
	var wg sync.WaitGroup
	for i := range tiles {
		// A tile that another copy of the graph shares must not be written to.
		t := g.tiles[i]
		g.tiles[i] = basinTile{x0: t.x0, y0: t.y0, x1: t.x1, y1: t.y1}
		wg.Go(func() { flood(g.levels, g.w, &g.tiles[i]) })
	}
	wg.Wait()
	g.number()
}

// clone shares the tiles; reflood replaces those that change.
func (g *graph) clone() *graph {
	c := *g
	c.levels = slices.Clone(g.levels)
	c.tiles = slices.Clone(g.tiles)
	return &c
}

// number gives every basin its number over the whole graph and finds the seams.
func (g *graph) number() {
	g.first = make([]int32, len(g.tiles))
	g.n = 0
	for i := range g.tiles {
		g.first[i] = int32(g.n)
		g.n += len(g.tiles[i].basins)
	}
	g.seams = g.seams[:0:0]
	for i := range g.tiles {
		t := &g.tiles[i]
		if t.x1 < g.w {
			g.seam(t.x1-1, t.y0, 0, 1, t.y1-t.y0, 1)
		}
		if t.y1 < g.h {
			g.seam(t.x0, t.y1-1, 1, 0, t.x1-t.x0, g.w)
		}
	}
}

// seam walks n pixels from (x, y) by (dx, dy), whose neighbour across the seam
// is `across` further in the plane, and keeps the best pass of each pair.
func (g *graph) seam(x, y, dx, dy, n, across int) {
	best := map[[2]int32]saddle{}
	for range n {
		p := y*g.w + x
		q := p + across
		if a, b := g.basinAt(p), g.basinAt(q); a >= 0 && b >= 0 {
			s := saddle{a, b, g.levels[p], int32(p)}
			if g.levels[q] < s.level {
				s.level, s.at = g.levels[q], int32(q)
			}
			keepBest(best, s)
		}
		x, y = x+dx, y+dy
	}
	g.seams = appendSorted(g.seams, best)
}

// basinAt is the number of the basin of pixel p over the whole graph, or -1.
func (g *graph) basinAt(p int) int32 {
	x, y := p%g.w, p/g.w
	i := y/tileSide*g.tw + x/tileSide
	t := &g.tiles[i]
	b := t.of[(y-t.y0)*(t.x1-t.x0)+x-t.x0]
	if b < 0 {
		return -1
	}
	return g.first[i] + b
}

// basins calls visit for every basin in order of its number.
func (g *graph) basins(visit func(number int32, b basin)) {
	for i := range g.tiles {
		for j, b := range g.tiles[i].basins {
			visit(g.first[i]+int32(j), b)
		}
	}
}

// saddles lists every pass, highest first; equal levels by place.
func (g *graph) saddles() []saddle {
	var count [257]int
	g.eachSaddle(func(s saddle) { count[256-int(s.level)]++ })
	for l := 1; l < len(count); l++ {
		count[l] += count[l-1]
	}
	sorted := make([]saddle, count[256])
	g.eachSaddle(func(s saddle) {
		l := 255 - int(s.level)
		sorted[count[l]] = s
		count[l]++
	})
	return sorted
}

func (g *graph) eachSaddle(visit func(saddle)) {
	for i := range g.tiles {
		for _, s := range g.tiles[i].edges {
			s.a, s.b = s.a+g.first[i], s.b+g.first[i]
			visit(s)
		}
	}
	for _, s := range g.seams {
		visit(s)
	}
}

// keepBest keeps the highest pass between each two basins.
func keepBest(best map[[2]int32]saddle, s saddle) {
	if s.a == s.b {
		return
	}
	key := [2]int32{min(s.a, s.b), max(s.a, s.b)}
	old, known := best[key]
	if !known || s.level > old.level || s.level == old.level && s.at < old.at {
		s.a, s.b = key[0], key[1]
		best[key] = s
	}
}

// appendSorted appends the saddles in a fixed order.
func appendSorted(to []saddle, best map[[2]int32]saddle) []saddle {
	n := len(to)
	for _, s := range best {
		to = append(to, s)
	}
	slices.SortFunc(to[n:], func(s, t saddle) int {
		return cmp.Or(cmp.Compare(s.a, t.a), cmp.Compare(s.b, t.b))
	})
	return to
}
