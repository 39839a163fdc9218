package schematic

import "context"

// Costs of a wire in steps of the grid.
const (
	stepCost  = 10 // one step
	bendCost  = 25
	crossCost = 70
	nearCost  = 3   // one step beside a symbol
	dotCost   = 6   // a branch instead of an end
	breakCost = 400 // through another wire, that is taken up for it
)

// wayOut is the first step of a wire, from the lead's end.
type wayOut struct {
	lead int // place of the lead's end
	out  Side
}

// router draws the wires of all nets on a maze.
type router struct {
	m    *maze
	outs [][]wayOut // by net
	// scratch of a search, one entry for each place and direction
	cost    []int32
	from    []int32
	epoch   []int32
	now     int32
	heap    nodeHeap
	tree    []bool // places of the tree that the search starts from
	force   bool   // the search may break through other nets
	victims []int  // nets that a forced wire broke
}

func newRouter(m *maze, outs [][]wayOut) *router {
	n := m.w * m.h
	r := &router{m: m, outs: outs, cost: make([]int32, 4*n), from: make([]int32, 4*n), epoch: make([]int32, 4*n), tree: make([]bool, n)}
	for net, ws := range outs {
		for _, w := range ws {
			m.solid[w.lead] = true
			m.owner[m.step(w.lead, w.out)] = int16(net + 1)
		}
	}
	for net := range outs {
		r.stubs(net)
	}
	return r
}

// stubs draws the ways out of a net's leads.
func (r *router) stubs(net int) {
	for _, w := range r.outs[net] {
		r.m.join(w.lead, w.out, net)
	}
}

// routeAll routes every net, takes up those in the way and tries again; what
// stays unconnected is left to the caller. Then every net is drawn anew as
// long as that makes the whole better.
func (r *router) routeAll(ctx context.Context, order []int) error {
	queue := append([]int(nil), order...)
	for budget := 8 * len(order); len(queue) > 0 && budget > 0; budget-- {
		if err := ctx.Err(); err != nil {
			return err
		}
		net := queue[0]
		queue = queue[1:]
		if !r.route(net, false) {
			r.route(net, true)
			queue = append(queue, r.victims...)
			r.victims = r.victims[:0]
		}
	}
	for _, net := range queue {
		r.route(net, false)
	}
	for range 3 {
		better := false
		for _, net := range order {
			if err := ctx.Err(); err != nil {
				return err
			}
			better = r.improve(net) || better
		}
		if !better {
			break
		}
	}
	return nil
}

// redo takes a net up, all but its ways out.
func (r *router) redo(net int) {
	r.m.erase(net)
	r.stubs(net)
}

// improve draws a net anew and keeps the better of both.
func (r *router) improve(net int) bool {
	old := r.m.pieces(net)
	before := r.m.price(net)
	whole := len(r.pieces(net)) == 1
	r.redo(net)
	if r.route(net, false) && (!whole || r.m.price(net) < before) {
		return true
	}
	r.m.erase(net)
	for _, p := range old {
		r.m.join(p.id, p.side, net)
	}
	return false
}

// route connects all leads of a net. With force it may run through other
// nets' wires. It reports whether all are connected.
func (r *router) route(net int, force bool) bool {
	parts := r.pieces(net)
	for len(parts) > 1 {
		if !r.connect(net, parts[0], force) {
			return false
		}
		parts = r.pieces(net)
	}
	return true
}

// pieces are the connected pieces of a net, each a list of places; the piece
// of the first lead comes first.
func (r *router) pieces(net int) [][]int {
	seen := map[int]bool{}
	var out [][]int
	for _, w := range r.outs[net] {
		if seen[w.lead] {
			continue
		}
		var piece []int
		stack := []int{w.lead}
		seen[w.lead] = true
		for len(stack) > 0 {
			id := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			piece = append(piece, id)
			for s := Up; s <= Left; s++ {
				if r.m.arm[id][s] == int16(net+1) {
					if next := r.m.step(id, s); !seen[next] {
						seen[next] = true
						stack = append(stack, next)
					}
				}
			}
		}
		out = append(out, piece)
	}
	return out
}

// connect searches the cheapest way from a piece of the net to any other
// piece of it, and draws it.
func (r *router) connect(net int, piece []int, force bool) bool {
	r.force = force
	return r.search(net, piece, func(key int32) bool {
		id := int(key / 4)
		return r.m.arms(id, net) > 0 && !r.tree[id]
	})
}

// search looks for the cheapest way from a piece of the net to a place that
// is a goal, and draws it.
func (r *router) search(net int, piece []int, goal func(key int32) bool) bool {
	m := r.m
	r.now++
	h := r.heap[:0]
	defer func() { r.heap = h }()
	for _, id := range piece {
		r.tree[id] = true
	}
	defer func() {
		for _, id := range piece {
			r.tree[id] = false
		}
	}()
	push := func(id int, s Side, cost int32, from int32) {
		key := int32(id*4 + int(s))
		if r.epoch[key] == r.now && r.cost[key] <= cost {
			return
		}
		r.epoch[key], r.cost[key], r.from[key] = r.now, cost, from
		h.push(node{cost, key})
	}
	for _, id := range piece {
		if m.solid[id] || m.arms(id, net) >= 3 || !r.onlyOurs(id, net) {
			continue
		}
		arms := m.arms(id, net)
		for s := Up; s <= Left; s++ {
			if m.arm[id][s] != 0 {
				continue
			}
			start := int32(0)
			if arms >= 2 {
				start = dotCost
			} else if m.arm[id][s.opposite()] != int16(net+1) {
				start = bendCost
			}
			r.advance(net, id, s, start, -1, push)
		}
	}
	for len(h) > 0 {
		n := h.pop()
		if r.cost[n.key] < n.cost {
			continue
		}
		id, s := int(n.key/4), Side(n.key%4)
		if goal(n.key) {
			r.draw(net, n.key)
			return true
		}
		if m.arms(id, net) > 0 {
			continue // another piece of the net, and not what is looked for
		}
		for t := Up; t <= Left; t++ {
			if t == s.opposite() {
				continue
			}
			if t != s && !m.empty(id) && !r.force {
				continue // a bend on a crossing would join
			}
			extra := n.cost
			if t != s {
				extra += bendCost
			}
			r.advance(net, id, t, extra, n.key, push)
		}
	}
	return false
}

// onlyOurs tells whether a place holds no other net's wire.
func (r *router) onlyOurs(id, net int) bool {
	if r.force {
		return true
	}
	for _, a := range r.m.arm[id] {
		if a != 0 && a != int16(net+1) {
			return false
		}
	}
	return true
}

// advance goes one step to the side s, if the wire may.
func (r *router) advance(net, id int, s Side, cost, from int32, push func(int, Side, int32, int32)) {
	m := r.m
	c := m.cell(id).add(s.step())
	if !m.inside(c) {
		return
	}
	next := m.id(c)
	if m.solid[next] || r.tree[next] {
		return
	}
	if o := m.owner[next]; o != 0 && o != int16(net+1) {
		return
	}
	cost += stepCost
	if m.near[next] {
		cost += nearCost
	}
	if m.arms(next, net) > 0 { // another piece of the net: the goal
		if m.arms(next, net) >= 3 || m.arm[next][s.opposite()] != 0 || !r.onlyOurs(next, net) {
			return
		}
		switch {
		case m.arms(next, net) == 2:
			cost += dotCost
		case m.arm[next][s] == 0:
			cost += bendCost
		}
		push(next, s, cost, from)
		return
	}
	if other, ok := m.crossable(next, s, net); !ok {
		if !r.force {
			return
		}
		cost += breakCost
	} else if other >= 0 {
		cost += crossCost
	}
	push(next, s, cost, from)
}

// draw puts the way found on the maze. Nets that it breaks through are taken
// up and become victims.
func (r *router) draw(net int, key int32) {
	way := r.way(key)
	for i, k := range way {
		id, s := int(k/4), Side(k%4)
		straight := i > 0 && Side(way[i-1]%4) == s
		if _, ok := r.m.crossable(id, s, net); !r.m.empty(id) && (!ok || !straight) {
			r.breakAt(id, net)
		}
	}
	first := way[len(way)-1]
	r.breakAt(r.m.step(int(first/4), Side(first%4).opposite()), net)
	for _, k := range way {
		r.m.join(int(k/4), Side(k%4).opposite(), net)
	}
}

// way lists the steps found, back from the last. A place that was passed twice
// holds nothing else, since both directions were free: the loop between is
// left out.
func (r *router) way(key int32) []int32 {
	var out []int32
	at := map[int32]int{} // place → index in out
	for k := key; k >= 0; k = r.from[k] {
		if i, ok := at[k/4]; ok {
			for _, cut := range out[i:] {
				delete(at, cut/4)
			}
			out = out[:i]
		}
		at[k/4] = len(out)
		out = append(out, k)
	}
	return out
}

// breakAt takes up the other nets at a place.
func (r *router) breakAt(id, net int) {
	for _, a := range r.m.arm[id] {
		if other := int(a) - 1; a != 0 && other != net {
			r.redo(other)
			r.victims = append(r.victims, other)
		}
	}
}

// wayMeets tells whether the way found to key runs over r before its end.
func (r *router) wayMeets(key int32, b rect) bool {
	for k := r.from[key]; k >= 0; k = r.from[k] {
		c := r.m.cell(int(k / 4))
		if b.meets(rect{c.x, c.y, c.x, c.y}) {
			return true
		}
	}
	return false
}
