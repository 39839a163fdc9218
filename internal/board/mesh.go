package board

import (
	"cmp"
	"slices"
)

// mesh is a web as the probability model sees it: pieces as vertices, and
// edges that are whole with a known probability, each independently. Pieces
// that no probe can touch are taken out where that changes nothing.
type mesh struct {
	n      int
	edges  []edge
	blocks [][]int // the edges of every block, a piece of the mesh that no single vertex parts
	block  []int   // of every edge
	at     [][]int // the edges at every vertex
}

// edge is one bond, or several in a row with nothing to probe between them.
type edge struct {
	a, b    int
	p       float64 // that it is whole
	members []int   // bonds of the web
}

func (e edge) other(v int) int { return e.a + e.b - v }

// most is how many edges one state can tell.
const most = 64

// newMesh takes a web of n pieces. probed tells the pieces that a probe can
// touch; which of the others hang together is of no consequence.
func newMesh(n int, bonds []bond, probed func(piece int) bool) *mesh {
	m := &mesh{n: n}
	for i, b := range bonds {
		if b.a != b.b && b.p > 0 {
			m.edges = append(m.edges, edge{a: b.a, b: b.b, p: b.p, members: []int{i}})
		}
	}
	for m.reduce(probed) {
	}
	m.index()
	m.part()
	return m
}

// index lists the edges at every vertex.
func (m *mesh) index() {
	m.at = make([][]int, m.n)
	for i, e := range m.edges {
		m.at[e.a], m.at[e.b] = append(m.at[e.a], i), append(m.at[e.b], i)
	}
}

// reduce takes one vertex out that nothing can be measured at and that ends a
// path or stands in the middle of one; false where none is left.
func (m *mesh) reduce(probed func(int) bool) bool {
	m.index()
	for v, at := range m.at {
		if probed(v) || len(at) == 0 || len(at) > 2 {
			continue
		}
		gone := slices.Clone(at)
		if len(at) == 2 {
			x, y := m.edges[at[0]], m.edges[at[1]]
			if a, b := x.other(v), y.other(v); a != b {
				m.edges = append(m.edges, edge{a: a, b: b, p: x.p * y.p, members: slices.Concat(x.members, y.members)})
			}
		}
		kept := m.edges[:0:0]
		for i, e := range m.edges {
			if !slices.Contains(gone, i) {
				kept = append(kept, e)
			}
		}
		m.edges = kept
		return true
	}
	return false
}

// part finds the blocks.
//
// Source: Hopcroft and Tarjan 1973, biconnected components by depth-first search.
func (m *mesh) part() {
	m.block = make([]int, len(m.edges))
	s := &parting{mesh: m, seen: make([]int, m.n), low: make([]int, m.n)}
	for v := range m.n {
		if s.seen[v] == 0 && len(m.at[v]) > 0 {
			s.visit(v, -1)
		}
	}
}

type parting struct {
	*mesh
	seen, low []int
	count     int
	stack     []int // edges
}

func (s *parting) visit(v, by int) {
	s.count++
	s.seen[v], s.low[v] = s.count, s.count
	for _, e := range s.at[v] {
		if e == by {
			continue
		}
		u := s.edges[e].other(v)
		if s.seen[u] != 0 {
			if s.seen[u] < s.seen[v] {
				s.stack = append(s.stack, e)
				s.low[v] = min(s.low[v], s.seen[u])
			}
			continue
		}
		s.stack = append(s.stack, e)
		s.visit(u, e)
		s.low[v] = min(s.low[v], s.low[u])
		if s.low[u] >= s.seen[v] {
			s.close(e)
		}
	}
}

// close takes the edges from e on off the stack as a block.
func (s *parting) close(e int) {
	from := slices.Index(s.stack, e)
	b := slices.Clone(s.stack[from:])
	s.stack = s.stack[:from]
	slices.Sort(b)
	for len(b) > most { // never by the component tree, which has no cycles
		least := slices.MinFunc(b, func(i, j int) int { return cmp.Compare(s.edges[i].p, s.edges[j].p) })
		s.block[least] = -1
		b = slices.DeleteFunc(b, func(i int) bool { return i == least })
	}
	for _, i := range b {
		s.block[i] = len(s.blocks)
	}
	s.blocks = append(s.blocks, b)
}

// hop is a step of a path through one block, from one of its vertices to
// another. Every path between two vertices has the same hops.
type hop struct{ block, from, to int }

// paths lists the hops from u to every vertex that at most longest hops reach.
func (m *mesh) paths(u, longest int) map[int][]hop {
	out := map[int][]hop{u: {}}
	queue := []int{u}
	for len(queue) > 0 {
		v := queue[0]
		queue = queue[1:]
		for _, i := range m.at[v] {
			to := m.edges[i].other(v)
			if _, known := out[to]; known || m.block[i] < 0 {
				continue
			}
			if way := extend(out[v], hop{m.block[i], v, to}); len(way) <= longest {
				out[to] = way
				queue = append(queue, to)
			}
		}
	}
	return out
}

// extend appends a hop; two through one block are one.
func extend(way []hop, h hop) []hop {
	if n := len(way); n > 0 && way[n-1].block == h.block {
		return append(way[:n-1:n-1], hop{h.block, way[n-1].from, h.to})
	}
	return append(way[:len(way):len(way)], h)
}

// closure adds to the whole edges of a state all those whose two ends the
// state joins within their block: it tells states apart exactly as far as
// their nets differ. bit is the place of an edge in the state.
func (m *mesh) closure(block int, state uint64, bit []int) uint64 {
	edges := m.blocks[block]
	if len(edges) == 1 {
		return state & (1 << bit[edges[0]])
	}
	root := map[int]int{}
	find := func(v int) int {
		for {
			up, ok := root[v]
			if !ok || up == v {
				return v
			}
			v = up
		}
	}
	for _, i := range edges {
		if state&(1<<bit[i]) != 0 {
			if a, b := find(m.edges[i].a), find(m.edges[i].b); a != b {
				root[a] = b
			}
		}
	}
	var out uint64
	for _, i := range edges {
		if find(m.edges[i].a) == find(m.edges[i].b) {
			out |= 1 << bit[i]
		}
	}
	return out
}
