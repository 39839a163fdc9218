package copper

import "foilside/internal/num/geom"

// link is evidence that two basins are one conductor, or that they are not.
type link struct {
	a, b   int32
	joined bool
}

// node is one merge in the component tree, or a leaf (a basin).
type node struct {
	up    int32 // parent, -1 at a root
	kids  [2]int32
	level uint8    // of the pass that merged the two; a leaf has its peak
	at    int32    // pixel of that pass; a leaf's summit
	sides [2]int32 // leaves on the two sides of that pass; a leaf's own
	solid int32    // pixels at or above cutLevel
	marks int32    // joints below it
}

// tree is the component tree over the basins: nodes 0..leaves-1 are basins in
// the numbering of the graph, the others merges in the order they happened,
// so that a parent always comes after its children.
type tree struct {
	leaves int
	nodes  []node
}

// grow builds the tree: passes from the highest down unite basins, except
// where that would join two places known to be separate; such a path is cut
// at its weakest place, which is where it is refused. marks lists the basins
// that carry a joint.
//
// Source: Kruskal 1956; the merge tree of a maximum spanning tree holds the
// best path's weakest pass between any two leaves.
func grow(g *graph, links []link, marks []int32) *tree {
	t := &tree{leaves: g.n, nodes: make([]node, g.n, 2*g.n)}
	g.basins(func(i int32, b basin) {
		t.nodes[i] = node{up: -1, kids: [2]int32{-1, -1}, level: b.peak, at: b.summit, sides: [2]int32{i, i}, solid: b.solid}
	})
	for _, m := range marks {
		if m < 0 {
			continue
		}
		t.nodes[m].marks++
	}
	top := make([]int32, g.n, 2*g.n) // union-find over all nodes
	for i := range top {
		top[i] = int32(i)
	}
	k := &kruskal{tree: t, top: top, apart: map[int32][]int32{}}
	for _, l := range links {
		if !l.joined {
			k.apart[l.a] = append(k.apart[l.a], l.b)
			k.apart[l.b] = append(k.apart[l.b], l.a)
		}
	}
	for _, l := range links {
		if l.joined {
			k.unite(saddle{l.a, l.b, certain, t.nodes[l.a].at})
		}
	}
	for _, s := range g.saddles() {
		k.unite(s)
	}
	return t
}

// kruskal is the state while the tree grows.
type kruskal struct {
	*tree
	top   []int32           // parent pointers to the topmost node so far
	apart map[int32][]int32 // per topmost node: leaves it must stay clear of
}

func (k *kruskal) find(i int32) int32 {
	for k.top[i] != i {
		k.top[i] = k.top[k.top[i]]
		i = k.top[i]
	}
	return i
}

// unite merges the components of the pass's two basins under a new node.
func (k *kruskal) unite(s saddle) {
	a, b := k.find(s.a), k.find(s.b)
	if a == b || k.refuses(a, b) {
		return
	}
	n := int32(len(k.nodes))
	na, nb := &k.nodes[a], &k.nodes[b]
	na.up, nb.up = n, n
	k.nodes = append(k.nodes, node{up: -1, kids: [2]int32{a, b}, level: s.level, at: s.at, sides: [2]int32{s.a, s.b},
		solid: na.solid + nb.solid, marks: na.marks + nb.marks})
	k.top = append(k.top, n)
	k.top[a], k.top[b] = n, n
	if rest := append(k.apart[a], k.apart[b]...); len(rest) > 0 {
		delete(k.apart, a)
		delete(k.apart, b)
		k.apart[n] = rest
	}
}

// refuses reports whether components a and b are known to be separate.
func (k *kruskal) refuses(a, b int32) bool {
	if len(k.apart[a]) > len(k.apart[b]) {
		a, b = b, a
	}
	for _, leaf := range k.apart[a] {
		if k.find(leaf) == b {
			return true
		}
	}
	return false
}

// joined is the level of the weakest pass on the best path between two
// leaves, and that pass's node; -1 where no path exists.
func (t *tree) joined(a, b int32) (uint8, int32) {
	for a != b {
		// The smaller number can't be an ancestor of the larger.
		if a > b {
			a, b = b, a
		}
		a = t.nodes[a].up
		if a < 0 {
			return 0, -1
		}
	}
	return t.nodes[a].level, a
}

// span is the run of leaves below a node, in an order in which every node's
// leaves follow each other.
type span struct{ from, to int32 }

// holds reports whether the leaves of s are among those of o.
func (o span) holds(s span) bool { return o.from <= s.from && s.to <= o.to }

// spans gives the span of every node.
func (t *tree) spans() []span {
	count := make([]int32, len(t.nodes))
	for i, n := range t.nodes {
		if i < t.leaves {
			count[i] = 1
		} else {
			count[i] = count[n.kids[0]] + count[n.kids[1]]
		}
	}
	out := make([]span, len(t.nodes))
	next := int32(0)
	for i := len(t.nodes) - 1; i >= 0; i-- {
		n := &t.nodes[i]
		if n.up < 0 {
			out[i] = span{next, next + count[i]}
			next += count[i]
		}
		if i >= t.leaves {
			mid := out[i].from + count[n.kids[0]]
			out[n.kids[0]], out[n.kids[1]] = span{out[i].from, mid}, span{mid, out[i].to}
		}
	}
	return out
}

// summit is the leaf with the highest pixel of the larger piece below a node.
func (t *tree) summit(i int32) int32 {
	for int(i) >= t.leaves {
		a, b := t.nodes[i].kids[0], t.nodes[i].kids[1]
		if t.nodes[a].solid >= t.nodes[b].solid {
			i = a
		} else {
			i = b
		}
	}
	return i
}

// place is the photo pixel of working pixel p.
func place(p int32, w, scale int) geom.Point {
	k := float64(scale)
	return geom.Point{
		X: (float64(int(p)%w)+0.5)*k - 0.5,
		Y: (float64(int(p)/w)+0.5)*k - 0.5,
	}
}
