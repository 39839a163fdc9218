package specimen

import (
	"maps"
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// route connects every net and returns the wire links that it needed.
func (r *router) route(order []string) (links []Part, jumpers []Jumper) {
	r.names = order
	r.lay(order)
	for _, net := range order {
		l, j := r.bridge(net, len(links))
		links = append(links, l...)
		jumpers = append(jumpers, j...)
	}
	return links, jumpers
}

// lay routes the given nets, all of them in r.names, as far as tracks get.
func (r *router) lay(order []string) {
	queue := slices.Clone(order)
	for len(queue) > 0 {
		net := queue[0]
		queue = queue[1:]
		ripped := r.routeNet(net, r.rips[net] < 6)
		for _, n := range ripped {
			r.rips[n]++
			r.tracks[n] = nil
			if !slices.Contains(queue, n) {
				queue = append(queue, n)
			}
		}
	}
}

// routeNet lays the tracks of one net as far as it gets, and names the nets
// whose tracks had to go.
func (r *router) routeNet(net string, rip bool) []string {
	r.tracks[net] = nil
	r.bar(net, r.width/2)
	var ripped []string
	for {
		parts := r.pieces(net)
		if len(parts) < 2 {
			return ripped
		}
		path := r.search(parts[0], union(parts[1:]), rip)
		if path == nil {
			return ripped
		}
		for _, c := range path {
			if n := r.soft[c]; n != 0 {
				r.history[c] += 2
				if name := r.names[n-1]; !slices.Contains(ripped, name) {
					ripped = append(ripped, name)
				}
			}
		}
		r.tracks[net] = append(r.tracks[net], Track{Net: net, Width: r.width, Path: r.straighten(path)})
	}
}

// pieces are the connected sets of cells on which a net's copper runs, the
// one with the first pad first.
func (r *router) pieces(net string) []map[int]bool {
	var out []map[int]bool
	for _, p := range r.pads {
		if p.net == net {
			out = append(out, map[int]bool{r.cell(p.a): true})
		}
	}
	for _, t := range r.tracks[net] {
		out = append(out, r.cellsOf(t))
	}
	return merge(out)
}

func (r *router) cellsOf(t Track) map[int]bool {
	cells := map[int]bool{}
	if t.Width == 0 { // a wire: no copper between its ends
		for _, p := range t.Path {
			cells[r.cell(p)] = true
		}
		return cells
	}
	t.each(func(a, b geom.Point, _, _ float64) {
		n := math.Round(math.Max(math.Abs(a.X-b.X), math.Abs(a.Y-b.Y)) / routeStep)
		for i := 0.0; i <= n; i++ {
			cells[r.cell(a.Add(b.Sub(a).Scale(i/math.Max(1, n))))] = true
		}
	})
	return cells
}

// merge joins sets that share a cell.
func merge(sets []map[int]bool) []map[int]bool {
	g := make(groups, len(sets))
	owner := map[int]int{}
	for i, s := range sets {
		g[i] = i
		for c := range s {
			if j, ok := owner[c]; ok {
				g.unite(j, i)
			} else {
				owner[c] = i
			}
		}
	}
	for i, s := range sets {
		if k := g.find(i); k != i {
			maps.Copy(sets[k], s)
			sets[i] = nil
		}
	}
	return slices.DeleteFunc(sets, func(s map[int]bool) bool { return s == nil })
}

// linkPad is the diameter of a link's pads.
const linkPad = 1.9

// bridge joins the pieces of a net that no track could: by a straight wire
// link over the component side, else by an insulated wire on the foil side.
func (r *router) bridge(net string, count int) (links []Part, jumpers []Jumper) {
	for {
		parts := r.pieces(net)
		if len(parts) < 2 {
			return links, jumpers
		}
		if r.joinByTrack(net, parts) {
			continue
		}
		if a, b, ok := r.linkPlaces(net, parts); ok {
			ref := "W" + itoa(count+len(links)+1)
			r.addLink(net, parts, a, b)
			links = append(links, Part{Ref: ref, Body: LinkBody, Leads: []Lead{{"1", net, r.place(a)}, {"2", net, r.place(b)}}})
			r.joinByWire(net, a, b)
			continue
		}
		a, b := nearest(r, parts[0], parts[1])
		jumpers = append(jumpers, Jumper{Net: net, Width: 1.3, Path: r.slack(a, b)})
		r.joinByWire(net, r.cell(a), r.cell(b))
	}
}

// joinByTrack lays one more track where others have made room since.
func (r *router) joinByTrack(net string, parts []map[int]bool) bool {
	r.bar(net, r.width/2)
	path := r.search(parts[0], union(parts[1:]), false)
	if path == nil {
		return false
	}
	r.tracks[net] = append(r.tracks[net], Track{Net: net, Width: r.width, Path: r.straighten(path)})
	return true
}

func union(sets []map[int]bool) map[int]bool {
	out := map[int]bool{}
	for _, s := range sets {
		for c := range s {
			out[c] = true
		}
	}
	return out
}

// joinByWire notes a connection without copper, so that pieces sees it.
func (r *router) joinByWire(net string, a, b int) {
	r.tracks[net] = append(r.tracks[net], Track{Net: net, Path: []geom.Point{r.place(a), r.place(b)}})
}

func nearest(r *router, a, b map[int]bool) (p, q geom.Point) {
	best := math.Inf(1)
	for _, x := range r.padsIn(a) {
		for _, y := range r.padsIn(b) {
			if d := x.Dist(y); d < best {
				best, p, q = d, x, y
			}
		}
	}
	return p, q
}

func (r *router) padsIn(cells map[int]bool) []geom.Point {
	var out []geom.Point
	for _, p := range r.pads {
		if cells[r.cell(p.a)] {
			out = append(out, p.a)
		}
	}
	return out
}

// slack is a slightly loose path between two pads.
func (r *router) slack(a, b geom.Point) []geom.Point {
	m := a.Add(b).Scale(0.5)
	d := b.Sub(a)
	return []geom.Point{a, m.Add(geom.Point{X: -d.Y, Y: d.X}.Scale(0.18)), b}
}

// reach are the cells that the net's copper can get to from a piece without
// touching others, given r.barred and r.soft.
func (r *router) reach(from map[int]bool) map[int]int {
	seen := map[int]int{}
	var todo []int
	for c := range from {
		seen[c] = -1
		todo = append(todo, c)
	}
	slices.Sort(todo)
	for len(todo) > 0 {
		c := todo[0]
		todo = todo[1:]
		for _, v := range compass() {
			n, ok := r.neighbour(c, v)
			if _, old := seen[n]; !ok || old || r.barred[n] || r.soft[n] != 0 {
				continue
			}
			seen[n] = c
			todo = append(todo, n)
		}
	}
	return seen
}

// linkPlaces finds two cells for the pads of a link between the first piece
// and any other, the link as short and as straight as may be.
func (r *router) linkPlaces(net string, parts []map[int]bool) (a, b int, ok bool) {
	open := r.linkSites(net)
	r.bar(net, r.width/2)
	here := r.sites(r.reach(parts[0]), open)
	best := math.Inf(1)
	for _, p := range parts[1:] {
		for _, q := range r.sites(r.reach(p), open) {
			for _, s := range here {
				if d := r.linkCost(r.place(s), r.place(q), best); d < best {
					best, a, b, ok = d, s, q, true
				}
			}
		}
	}
	return a, b, ok
}

// linkSites are the cells at which a link's pad may stand.
func (r *router) linkSites(net string) map[int]bool {
	r.bar(net, linkPad/2+r.gap*0.5)
	for _, p := range r.pads {
		if p.net == net {
			r.near(p.stroke, linkPad+0.2, func(c int) { r.barred[c] = true })
		}
	}
	for _, b := range r.bodies {
		g := grid{scale: 1 / routeStep, w: r.w, h: r.h}
		g.box(b[0], b[1], func(c int, _ geom.Point) { r.barred[c] = true })
	}
	open := map[int]bool{}
	for c := range r.barred {
		if !r.barred[c] && r.soft[c] == 0 && r.onPitch(c) {
			open[c] = true
		}
	}
	return open
}

// linkCost is the length of a link, more where it slants or crosses bodies;
// the exact figure does not matter from limit up.
func (r *router) linkCost(p, q geom.Point, limit float64) float64 {
	dx, dy := abs(p.X-q.X), abs(p.Y-q.Y)
	d := p.Dist(q)
	if d < 2*pitch {
		return math.Inf(1)
	}
	if min(dx, dy) > 0.01 {
		d += 15
	}
	for _, b := range r.bodies {
		if d >= limit {
			break
		}
		c := geom.Point{X: b[1].X, Y: b[0].Y}
		e := geom.Point{X: b[0].X, Y: b[1].Y}
		if segmentsCross(p, q, b[0], b[1]) || segmentsCross(p, q, c, e) {
			d += 12
		}
	}
	return d
}

func (r *router) onPitch(c int) bool { return c%r.w%2 == 0 && c/r.w%2 == 0 }

func (r *router) sites(reach map[int]int, open map[int]bool) []int {
	var out []int
	for c := range reach {
		if open[c] {
			out = append(out, c)
		}
	}
	slices.Sort(out)
	return out
}

// addLink puts the link's pads and the tracks to them.
func (r *router) addLink(net string, parts []map[int]bool, a, b int) {
	for _, c := range []int{a, b} {
		p := r.place(c)
		r.pads = append(r.pads, conductor{stroke{p, p, linkPad, linkPad}, net})
	}
	r.bar(net, r.width/2)
	for _, c := range []int{a, b} {
		for _, p := range parts {
			if path := r.search(p, map[int]bool{c: true}, false); len(path) > 1 {
				r.tracks[net] = append(r.tracks[net], Track{Net: net, Width: r.width, Path: r.straighten(path)})
				break
			}
		}
	}
}
