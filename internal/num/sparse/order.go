package sparse

import (
	"math"
	"slices"
)

// MinimumDegree orders the columns so that elimination makes little fill: at
// each step a variable with the fewest neighbours in the graph of A + Aᵀ.
//
// Method: quotient graph, in which an eliminated variable becomes an element
// that stands for the clique it would have made. Degrees are bounded from
// above rather than counted, variables with the same neighbours are taken as
// one, and variables joined to very many others (a supply rail) go last
// without a look. The work is then nearly in proportion to the fill.
// Source: P. R. Amestoy, T. A. Davis, I. S. Duff, "An approximate minimum
// degree ordering algorithm", SIAM J. Matrix Anal. Appl. 17 (1996) 886–905
// (from memory).
func MinimumDegree(p Pattern) []int32 {
	g := newQuotient(p)
	for g.left > 0 {
		g.eliminate(g.pop())
	}
	return append(g.order, g.dense...)
}

// A variable is dense when it has more than denseLeast neighbours and more
// than denseTimes the root of their number; common practice.
const (
	denseLeast = 16
	denseTimes = 10
)

// quotient is the graph of what is left to eliminate. A variable stands for
// as many as its weight says; its weight is 0 once it is eliminated, merged
// into another or dense.
type quotient struct {
	order   []int32
	dense   []int32
	left    int32     // variables not yet in order, dense ones apart
	vars    [][]int32 // neighbours of a variable not covered by an element
	elems   [][]int32 // elements that a variable belongs to
	member  [][]int32 // variables of an element, nil once absorbed
	size    []int32   // weight of an element's variables
	weight  []int32
	merged  [][]int32 // variables that a variable stands for beside itself
	mark    []int32
	stamp   int32
	outside []int32 // weight of an element's variables outside the one at hand
	looked  []int32 // stamp of outside
	degree  []int32
	head    []int32 // first variable of each degree, −1 for none
	next    []int32
	prev    []int32
	lowest  int32
	keyed   []keyed
}

// keyed is a variable with a key that is the same for all variables with the
// same neighbours.
type keyed struct{ key, v int32 }

func newQuotient(p Pattern) *quotient {
	n := p.N
	g := &quotient{
		order: make([]int32, 0, n), left: int32(n),
		vars: neighbours(p), elems: make([][]int32, n), member: make([][]int32, n),
		size: make([]int32, n), weight: make([]int32, n), merged: make([][]int32, n),
		mark: make([]int32, n), outside: make([]int32, n), looked: make([]int32, n),
		degree: make([]int32, n), head: make([]int32, n+1), next: make([]int32, n), prev: make([]int32, n),
	}
	for d := range g.head {
		g.head[d] = -1
	}
	most := max(denseLeast, int(denseTimes*math.Sqrt(float64(n))))
	for v := range int32(n) {
		g.weight[v] = 1
		if len(g.vars[v]) > most {
			g.weight[v] = 0
			g.dense = append(g.dense, v)
			g.left--
		}
	}
	// Backwards, so that among equals the lowest number comes first.
	for v := n - 1; v >= 0; v-- {
		if g.weight[v] == 0 {
			g.vars[v] = nil
			continue
		}
		g.vars[v] = slices.DeleteFunc(g.vars[v], g.gone)
		g.degree[v] = int32(len(g.vars[v]))
		g.insert(int32(v))
	}
	return g
}

func (g *quotient) gone(v int32) bool { return g.weight[v] == 0 }

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
	return v
}

// eliminate turns v into an element and renews what is around it.
func (g *quotient) eliminate(v int32) {
	around := g.gather(v)
	g.settle(v)
	g.measure(around)
	g.keyed = g.keyed[:0]
	covered := g.stamp
	for _, i := range around {
		g.renew(i, v, covered)
	}
	g.mergeAlike()
	around = slices.DeleteFunc(around, g.gone)
	for _, i := range around {
		g.insert(i)
	}
	g.member[v] = around
}

// gather lists the variables that v is a neighbour of, directly or through
// its elements, which the new element absorbs. They are marked with the stamp
// and taken out of the lists of degrees.
func (g *quotient) gather(v int32) []int32 {
	g.stamp++
	g.mark[v] = g.stamp
	room := len(g.vars[v])
	for _, e := range g.elems[v] {
		room += len(g.member[e])
	}
	out := make([]int32, 0, room)
	add := func(list []int32) {
		for _, w := range list {
			if g.weight[w] > 0 && g.mark[w] != g.stamp {
				g.mark[w] = g.stamp
				g.size[v] += g.weight[w]
				g.remove(w)
				out = append(out, w)
			}
		}
	}
	add(g.vars[v])
	for _, e := range g.elems[v] {
		add(g.member[e])
		g.member[e], g.size[e] = nil, 0
	}
	return out
}

// settle puts v, and all that it stands for, next in the order.
func (g *quotient) settle(v int32) {
	g.order = append(g.order, v)
	g.order = append(g.order, g.merged[v]...)
	g.left -= g.weight[v]
	g.weight[v], g.vars[v], g.elems[v], g.merged[v] = 0, nil, nil, nil
}

// measure finds, for every other element that the variables around belong to,
// how much of it lies outside them.
func (g *quotient) measure(around []int32) {
	for _, i := range around {
		for _, e := range g.elems[i] {
			if g.looked[e] != g.stamp {
				g.looked[e], g.outside[e] = g.stamp, g.size[e]
			}
			g.outside[e] -= g.weight[i]
		}
	}
}

// renew takes out of i's neighbours what the new element v covers, and bounds
// its degree. What has no other neighbours left goes right after v.
func (g *quotient) renew(i, v, covered int32) {
	var beyond, key int32
	g.elems[i] = slices.DeleteFunc(g.elems[i], func(e int32) bool {
		if g.size[e] == 0 {
			return true
		}
		if g.outside[e] == 0 { // wholly within the new element, which takes its place
			g.member[e], g.size[e] = nil, 0
			return true
		}
		beyond += g.outside[e]
		key += e
		return false
	})
	g.vars[i] = slices.DeleteFunc(g.vars[i], func(w int32) bool {
		if g.weight[w] == 0 || g.mark[w] == covered {
			return true
		}
		beyond += g.weight[w]
		key += w
		return false
	})
	if beyond == 0 {
		g.size[v] -= g.weight[i]
		g.settle(i)
		return
	}
	within := g.size[v] - g.weight[i]
	g.degree[i] = min(g.left-g.weight[i], g.degree[i]+within, beyond+within)
	g.elems[i] = append(g.elems[i], v)
	g.keyed = append(g.keyed, keyed{key, i})
}

// mergeAlike makes one of those just renewed that have the same neighbours.
func (g *quotient) mergeAlike() {
	slices.SortFunc(g.keyed, func(a, b keyed) int {
		if a.key != b.key {
			return int(a.key) - int(b.key)
		}
		return int(a.v) - int(b.v)
	})
	for k := 0; k < len(g.keyed); k++ {
		one := g.keyed[k]
		if g.weight[one.v] == 0 {
			continue
		}
		marked := false
		for _, other := range g.keyed[k+1:] {
			if other.key != one.key {
				break
			}
			if g.weight[other.v] == 0 {
				continue
			}
			if !marked {
				g.markNeighbours(one.v)
				marked = true
			}
			if g.alike(one.v, other.v) {
				g.merge(one.v, other.v)
			}
		}
	}
}

func (g *quotient) markNeighbours(v int32) {
	g.stamp++
	for _, w := range g.vars[v] {
		g.mark[w] = g.stamp
	}
	for _, e := range g.elems[v] {
		g.looked[e] = g.stamp
	}
}

// alike tells whether b has the neighbours that were marked for a.
func (g *quotient) alike(a, b int32) bool {
	if len(g.vars[a]) != len(g.vars[b]) || len(g.elems[a]) != len(g.elems[b]) {
		return false
	}
	for _, w := range g.vars[b] {
		if g.mark[w] != g.stamp {
			return false
		}
	}
	for _, e := range g.elems[b] {
		if g.looked[e] != g.stamp {
			return false
		}
	}
	return true
}

// merge makes a stand for b too.
func (g *quotient) merge(a, b int32) {
	g.merged[a] = append(append(g.merged[a], b), g.merged[b]...)
	g.weight[a] += g.weight[b]
	g.degree[a] -= g.weight[b]
	g.weight[b], g.vars[b], g.elems[b], g.merged[b] = 0, nil, nil, nil
}
