package sparse

import "slices"

// MinimumDegree orders the columns so that elimination makes little fill: at
// each step a variable with the fewest neighbours in the graph of A + Aᵀ.
//
// Method: quotient graph with exact external degree; an eliminated variable
// becomes an element that stands for the clique it would have made.
// Source: A. George, J. W. H. Liu, "The evolution of the minimum degree
// ordering algorithm", SIAM Review 31 (1989) 1–19 (from memory).
func MinimumDegree(p Pattern) []int32 {
	g := newQuotient(p)
	order := make([]int32, 0, p.N)
	for len(order) < p.N {
		v := g.pop()
		order = append(order, v)
		g.eliminate(v)
	}
	return order
}

// quotient is the graph of what is left to eliminate.
type quotient struct {
	vars   [][]int32 // neighbours of a variable not covered by an element
	elems  [][]int32 // elements a variable belongs to
	member [][]int32 // variables of an element, nil once absorbed
	done   []bool
	mark   []int32
	stamp  int32
	degree []int32
	head   []int32 // first variable of each degree, −1 for none
	next   []int32
	prev   []int32
	lowest int32
}

func newQuotient(p Pattern) *quotient {
	n := p.N
	g := &quotient{
		vars: neighbours(p), elems: make([][]int32, n), member: make([][]int32, n),
		done: make([]bool, n), mark: make([]int32, n), degree: make([]int32, n),
		head: make([]int32, n+1), next: make([]int32, n), prev: make([]int32, n),
	}
	for d := range g.head {
		g.head[d] = -1
	}
	// Backwards, so that among equals the lowest number comes first.
	for v := n - 1; v >= 0; v-- {
		g.degree[v] = int32(len(g.vars[v]))
		g.insert(int32(v))
	}
	return g
}

// neighbours lists the off-diagonal neighbours in A + Aᵀ, ascending.
func neighbours(p Pattern) [][]int32 {
	count := make([]int, p.N)
	each := func(f func(i, j int32)) {
		for j := range int32(p.N) {
			for _, i := range p.Row[p.ColPtr[j]:p.ColPtr[j+1]] {
				if i != j {
					f(i, j)
				}
			}
		}
	}
	each(func(i, j int32) { count[i]++; count[j]++ })
	total := 0
	for _, c := range count {
		total += c
	}
	store := make([]int32, total)
	adj := make([][]int32, p.N)
	for v, c := range count {
		adj[v], store = store[:0:c], store[c:]
	}
	each(func(i, j int32) {
		adj[i] = append(adj[i], j)
		adj[j] = append(adj[j], i)
	})
	for v := range adj {
		slices.Sort(adj[v])
		adj[v] = slices.Compact(adj[v])
	}
	return adj
}

func (g *quotient) insert(v int32) {
	d := g.degree[v]
	g.prev[v], g.next[v] = -1, g.head[d]
	if g.head[d] >= 0 {
		g.prev[g.head[d]] = v
	}
	g.head[d] = v
	g.lowest = min(g.lowest, d)
}

func (g *quotient) remove(v int32) {
	if g.prev[v] >= 0 {
		g.next[g.prev[v]] = g.next[v]
	} else {
		g.head[g.degree[v]] = g.next[v]
	}
	if g.next[v] >= 0 {
		g.prev[g.next[v]] = g.prev[v]
	}
}

// pop takes out a variable of the lowest degree.
func (g *quotient) pop() int32 {
	for g.head[g.lowest] < 0 {
		g.lowest++
	}
	v := g.head[g.lowest]
	g.remove(v)
	g.done[v] = true
	return v
}

// eliminate turns v into an element and renews the degrees around it.
func (g *quotient) eliminate(v int32) {
	around := g.reach(v, nil)
	for _, e := range g.elems[v] {
		g.member[e] = nil
	}
	g.vars[v], g.elems[v] = nil, nil
	g.member[v] = around
	g.stamp++
	covered := g.stamp
	for _, i := range around {
		g.mark[i] = covered
	}
	for _, i := range around {
		g.vars[i] = slices.DeleteFunc(g.vars[i], func(w int32) bool { return g.done[w] || g.mark[w] == covered })
		g.elems[i] = slices.DeleteFunc(g.elems[i], func(e int32) bool { return g.member[e] == nil })
		g.elems[i] = append(g.elems[i], v)
	}
	scratch := make([]int32, 0, len(around))
	for _, i := range around {
		g.remove(i)
		scratch = g.reach(i, scratch[:0])
		g.degree[i] = int32(len(scratch))
		g.insert(i)
	}
}

// reach appends the variables that v is a neighbour of, directly or through
// an element.
func (g *quotient) reach(v int32, out []int32) []int32 {
	g.stamp++
	g.mark[v] = g.stamp
	add := func(list []int32) {
		for _, w := range list {
			if !g.done[w] && g.mark[w] != g.stamp {
				g.mark[w] = g.stamp
				out = append(out, w)
			}
		}
	}
	add(g.vars[v])
	for _, e := range g.elems[v] {
		add(g.member[e])
	}
	return out
}
