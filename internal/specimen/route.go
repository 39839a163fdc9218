package specimen

import (
	"maps"
	"math"
	"slices"

	"foilside/internal/num/geom"
)

const routeStep = pitch / 4 // cells of the routing grid, mm

// rules are the copper's sizes while routing.
type rules struct {
	width  float64 // of a track
	gap    float64 // between copper of different nets
	edge   float64 // from copper to the board's edge
	safety float64 // added to the gap for what bends between cells
}

// conductor is one pad on the routing grid.
type conductor struct {
	stroke
	net string
}

// router lays tracks on one side. Cells are numbered row by row.
type router struct {
	rules
	size    geom.Point
	w, h    int
	mounts  []Mount
	bodies  [][2]geom.Point // rooms of parts, where links should not stand
	pads    []conductor
	tracks  map[string][]Track
	history []float32 // how often a cell was fought over
	barred  []bool    // scratch: closed to the net being routed
	soft    []uint16  // scratch: 1 + number of a net whose track lies there
	names   []string  // nets by number
	rips    map[string]int
	run     int32     // number of the present search
	seen    []int32   // run in which a cell was last reached
	cost    []float64 // of the way to a cell, where seen
	from    []int32   // the cell before, where seen
}

func newRouter(size geom.Point, r rules, mounts []Mount) *router {
	w, h := int(size.X/routeStep)+1, int(size.Y/routeStep)+1
	n := w * h
	return &router{rules: r, size: size, w: w, h: h, mounts: mounts, tracks: map[string][]Track{},
		history: make([]float32, n), barred: make([]bool, n), soft: make([]uint16, n), rips: map[string]int{},
		seen: make([]int32, n), cost: make([]float64, n), from: make([]int32, n)}
}

func (r *router) cell(p geom.Point) int {
	x, y := int(math.Round(p.X/routeStep)), int(math.Round(p.Y/routeStep))
	return max(0, min(r.h-1, y))*r.w + max(0, min(r.w-1, x))
}

func (r *router) place(c int) geom.Point {
	return geom.Point{X: float64(c%r.w) * routeStep, Y: float64(c/r.w) * routeStep}
}

// near calls f for every cell whose centre is within d of the stroke.
func (r *router) near(s stroke, d float64, f func(c int)) {
	g := grid{scale: 1 / routeStep, w: r.w, h: r.h}
	g.sweep(s.a, s.b, d, func(i int, p geom.Point) {
		if _, e := along(s.a, s.b, p); e < d-1e-9 {
			f(i)
		}
	})
}

// bar marks the cells closed to copper of the given half width on net: near
// other nets' pads, mounting holes and edges. Other nets' tracks are only
// noted in soft.
func (r *router) bar(net string, half float64) {
	clear(r.barred)
	clear(r.soft)
	for c := range r.barred {
		p := r.place(c)
		if min(p.X, p.Y, r.size.X-p.X, r.size.Y-p.Y) < half+r.edge {
			r.barred[c] = true
		}
	}
	keep := half + r.gap + r.safety
	for _, m := range r.mounts {
		r.near(stroke{a: m.At, b: m.At}, m.Hole/2+keep+0.3, func(c int) { r.barred[c] = true })
	}
	for _, p := range r.pads {
		if p.net != net {
			r.near(p.stroke, p.wa/2+keep, func(c int) { r.barred[c] = true })
		}
	}
	for n, name := range r.names {
		if name == net {
			continue
		}
		for _, t := range r.tracks[name] {
			if t.Width == 0 {
				continue
			}
			t.each(func(a, b geom.Point, wa, wb float64) {
				r.near(stroke{a: a, b: b}, math.Max(wa, wb)/2+keep, func(c int) { r.soft[c] = uint16(n + 1) })
			})
		}
	}
}

// step of a search.
type step struct {
	cell int
	cost float64 // so far
	rank float64 // with the estimate
	dir  int8
}

// frontier is a heap of steps, the lowest rank on top. It is typed, as
// searches push millions.
type frontier []step

func (f *frontier) push(s step) {
	h := append(*f, s)
	i := len(h) - 1
	for i > 0 && h[(i-1)/2].rank > s.rank {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = s
	*f = h
}

func (f *frontier) pop() step {
	h := *f
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	*f = h
	i := 0
	for 2*i+1 < len(h) {
		c := 2*i + 1
		if c+1 < len(h) && h[c+1].rank < h[c].rank {
			c++
		}
		if h[c].rank >= last.rank {
			break
		}
		h[i] = h[c]
		i = c
	}
	if len(h) > 0 {
		h[i] = last
	}
	return top
}

// compass are the steps to the eight neighbours, turning from x to y.
func compass() [8][2]int {
	return [8][2]int{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}
}

// Costs of a route in cells.
const (
	bendCost = 0.6
	ripCost  = 9.0 // for every cell of another net's track
)

// search finds the cheapest path from any source to a target. Where rip is
// false other nets' tracks are closed. It returns nil where there is none.
func (r *router) search(sources, target map[int]bool, rip bool) []int {
	r.run++
	lo, hi := r.boxOf(target)
	var open frontier
	for _, s := range slices.Sorted(maps.Keys(sources)) {
		r.reached(s, -1, 0)
		open.push(step{s, 0, r.estimate(s, lo, hi), -1})
	}
	for len(open) > 0 {
		s := open.pop()
		if s.cost > r.cost[s.cell] {
			continue
		}
		if target[s.cell] {
			return r.trace(s.cell)
		}
		for d, v := range compass() {
			n, ok := r.neighbour(s.cell, v)
			if !ok || r.barred[n] || (r.soft[n] != 0 && !rip) {
				continue
			}
			c := s.cost + stepLength(d) + r.penalty(n)
			if s.dir >= 0 && int(s.dir) != d {
				turn := (d - int(s.dir) + 8) % 8
				c += bendCost * float64(min(turn, 8-turn))
			}
			if r.seen[n] != r.run || c < r.cost[n]-1e-12 {
				r.reached(n, s.cell, c)
				open.push(step{n, c, c + r.estimate(n, lo, hi), int8(d)})
			}
		}
	}
	return nil
}

// stepLength is the length of a step in direction d, in cells.
func stepLength(d int) float64 {
	if d&1 == 1 {
		return math.Sqrt2
	}
	return 1
}

func (r *router) reached(c, from int, cost float64) {
	r.seen[c], r.from[c], r.cost[c] = r.run, int32(from), cost
}

func (r *router) trace(c int) []int {
	var path []int
	for ; c >= 0; c = int(r.from[c]) {
		path = append(path, c)
	}
	return path
}

func (r *router) penalty(c int) float64 {
	p := float64(r.history[c])
	if r.soft[c] != 0 {
		p += ripCost
	}
	return p
}

func (r *router) neighbour(c int, v [2]int) (int, bool) {
	x, y := c%r.w+v[0], c/r.w+v[1]
	return y*r.w + x, x >= 0 && y >= 0 && x < r.w && y < r.h
}

func (r *router) boxOf(cells map[int]bool) (lo, hi [2]int) {
	lo, hi = [2]int{1 << 30, 1 << 30}, [2]int{-1, -1}
	for c := range cells {
		x, y := c%r.w, c/r.w
		lo = [2]int{min(lo[0], x), min(lo[1], y)}
		hi = [2]int{max(hi[0], x), max(hi[1], y)}
	}
	return lo, hi
}

// estimate never exceeds the way from c to the box lo..hi.
func (r *router) estimate(c int, lo, hi [2]int) float64 {
	x, y := c%r.w, c/r.w
	dx := float64(max(0, lo[0]-x, x-hi[0]))
	dy := float64(max(0, lo[1]-y, y-hi[1]))
	return math.Max(dx, dy) + (math.Sqrt2-1)*math.Min(dx, dy)
}

// straighten turns a path of cells into corners.
func (r *router) straighten(path []int) []geom.Point {
	var out []geom.Point
	for i, c := range path {
		if i > 0 && i < len(path)-1 && c-path[i-1] == path[i+1]-c {
			continue
		}
		out = append(out, r.place(c))
	}
	return out
}
