package board

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
)

// misread is how often a beep is heard wrong, or a probe touches nothing.
// (the project's aim reckons with 2 %)
const misread = 0.02

// Limits of the list of states of one group.
const (
	kept    = 1 << 16 // states: 16 edges exactly
	lostFew = 1e-12   // probability that unlikely states may take with them
	many    = 1 << 10 // states up to which none is left out
	drawn   = 1 << 15 // states drawn by chance where even the likely ones are too many
	seed    = 20231
)

// group is the edges that can't be judged apart: those of one block, and
// those of blocks that one answer speaks of together. It lists the states
// with their probabilities; bit i of a state is edge edges[i], 1 for whole.
type group struct {
	blocks []int
	edges  []int
	states []uint64
	w      []float64 // sum 1
	lost   float64   // at most this much probability was left out
}

// belief is what photograph and answers together say of a mesh. It does not
// change; answers make new ones.
type belief struct {
	m      *mesh
	groups []*group
	of     []int // the group of every block
	bit    []int // the place of every edge in its group's states
}

// newBelief is what the photograph alone says.
func newBelief(m *mesh) *belief {
	b := &belief{m: m, of: make([]int, len(m.blocks)), bit: make([]int, len(m.edges))}
	for k, edges := range m.blocks {
		b.of[k] = k
		b.groups = append(b.groups, newGroup(m, k, edges))
		for i, e := range edges {
			b.bit[e] = i
		}
	}
	return b
}

// newGroup is one block before any answer: every state where there are at most
// 16 edges, else states drawn by chance.
func newGroup(m *mesh, block int, edges []int) *group {
	g := &group{blocks: []int{block}, edges: edges, w: []float64{1}, states: []uint64{0}}
	if len(edges) > 16 {
		r := rand.New(rand.NewPCG(seed, uint64(len(edges))))
		g.draw(drawn, func() uint64 {
			var s uint64
			for i, e := range edges {
				if r.Float64() < m.edges[e].p {
					s |= 1 << i
				}
			}
			return s
		})
		return g
	}
	for i, e := range edges {
		p := m.edges[e].p
		for k := range g.states {
			g.states = append(g.states, g.states[k]|1<<i)
			g.w = append(g.w, g.w[k]*p)
			g.w[k] *= 1 - p
		}
	}
	return g
}

// draw fills the list with states by chance, equal ones as one.
func (g *group) draw(n int, one func() uint64) {
	count := map[uint64]int{}
	for range n {
		count[one()]++
	}
	g.states, g.w = g.states[:0:0], g.w[:0:0]
	for s := range count {
		g.states = append(g.states, s)
	}
	slices.Sort(g.states)
	for _, s := range g.states {
		g.w = append(g.w, float64(count[s])/float64(n))
	}
}

// trim leaves the unlikeliest states of a long list out, as many as weigh
// lostFew together.
func (g *group) trim() {
	if len(g.states) <= many {
		return
	}
	order := make([]int, len(g.states))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(g.w[j], g.w[i]) })
	rest, n := 0.0, len(order)
	for n > 1 && rest+g.w[order[n-1]] <= lostFew {
		n--
		rest += g.w[order[n]]
	}
	if n == len(order) {
		return
	}
	states, w := make([]uint64, n), make([]float64, n)
	for k, i := range order[:n] {
		states[k], w[k] = g.states[i], g.w[i]/(1-rest)
	}
	g.states, g.w, g.lost = states, w, g.lost+rest
}

// times is the group of two groups' edges, the second's in the higher bits.
func (g *group) times(o *group) *group {
	out := &group{blocks: slices.Concat(g.blocks, o.blocks), edges: slices.Concat(g.edges, o.edges), lost: g.lost + o.lost}
	shift := len(g.edges)
	if len(g.states)*len(o.states) > kept {
		r := rand.New(rand.NewPCG(seed, uint64(len(out.edges))))
		one, other := sums(g.w), sums(o.w)
		out.draw(drawn, func() uint64 { return g.states[pick(one, r)] | o.states[pick(other, r)]<<shift })
		return out
	}
	for i, s := range g.states {
		for j, t := range o.states {
			out.states = append(out.states, s|t<<shift)
			out.w = append(out.w, g.w[i]*o.w[j])
		}
	}
	return out
}

func sums(w []float64) []float64 {
	out, sum := make([]float64, len(w)), 0.0
	for i, v := range w {
		sum += v
		out[i] = sum
	}
	return out
}

func pick(sums []float64, r *rand.Rand) int {
	i, _ := slices.BinarySearch(sums, r.Float64()*sums[len(sums)-1])
	return min(i, len(sums)-1)
}

// whole reports whether a state of the hop's group joins its two ends.
func (b *belief) whole(h hop, state uint64) bool {
	edges := b.m.blocks[h.block]
	if len(edges) == 1 {
		return state&(1<<b.bit[edges[0]]) != 0
	}
	reached := map[int]bool{h.from: true}
	for grown := true; grown; {
		grown = false
		for _, i := range edges {
			e := b.m.edges[i]
			if state&(1<<b.bit[i]) != 0 && reached[e.a] != reached[e.b] {
				reached[e.a], reached[e.b], grown = true, true, true
			}
		}
	}
	return reached[h.to]
}

// joined is the probability that all hops of a path are whole.
func (b *belief) joined(way []hop) float64 {
	p := 1.0
	for k, h := range way {
		id := b.of[h.block]
		if slices.ContainsFunc(way[:k], func(o hop) bool { return b.of[o.block] == id }) {
			continue // the group was asked for all its hops at once
		}
		g, sum := b.groups[id], 0.0
		for i, s := range g.states {
			if !slices.ContainsFunc(way[k:], func(o hop) bool { return b.of[o.block] == id && !b.whole(o, s) }) {
				sum += g.w[i]
			}
		}
		p *= sum
	}
	return min(p, 1)
}

// errTooMany says that an answer would tie more places together than a state
// can tell.
var errTooMany = errors.New("too many doubtful places lie between the two")

// coupled is the belief with the groups of a path as one, and that one.
func (b *belief) coupled(way []hop) (*belief, *group, error) {
	var ids []int
	for _, h := range way {
		if id := b.of[h.block]; !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	n := 0
	for _, id := range ids {
		n += len(b.groups[id].edges)
	}
	if n > most {
		return nil, nil, errTooMany
	}
	out := &belief{m: b.m, groups: slices.Clone(b.groups), of: slices.Clone(b.of), bit: slices.Clone(b.bit)}
	one := b.groups[ids[0]]
	for _, id := range ids[1:] {
		one = one.times(b.groups[id])
		out.groups[id] = nil
	}
	out.groups[ids[0]] = one
	for _, k := range one.blocks {
		out.of[k] = ids[0]
	}
	for i, e := range one.edges {
		out.bit[e] = i
	}
	return out, one, nil
}

// after is the belief once the ends of a path were measured. likelihood is
// that of the answer where the two are joined and where they are not.
func (b *belief) after(way []hop, likelihood func(joined func(hop) bool) float64) (*belief, error) {
	if len(way) == 0 {
		return b, nil
	}
	out, g, err := b.coupled(way)
	if err != nil {
		return nil, err
	}
	n := *g
	n.w = make([]float64, len(g.w))
	sum := 0.0
	for i, s := range g.states {
		n.w[i] = g.w[i] * likelihood(func(h hop) bool { return out.whole(h, s) })
		sum += n.w[i]
	}
	for i := range n.w {
		n.w[i] /= sum
	}
	n.lost = math.Min(1, n.lost*(1-misread)/sum)
	n.trim()
	out.groups[out.of[way[0].block]] = &n
	return out, nil
}

// heard is the likelihood of an answer to a check of a path.
func heard(way []hop, beep bool) func(func(hop) bool) float64 {
	return func(joined func(hop) bool) float64 {
		whole := !slices.ContainsFunc(way, func(h hop) bool { return !joined(h) })
		if whole == beep {
			return 1 - misread
		}
		return misread
	}
}

// heardThrough is the likelihood of a beep that may have come past the path.
func heardThrough(way []hop, by []bypass) func(func(hop) bool) float64 {
	return func(joined func(hop) bool) float64 {
		if conducts(way, by, joined) {
			return 1 - misread
		}
		return misread
	}
}

// edge is the probability that an edge is whole.
func (b *belief) edge(i int) float64 {
	if b.m.block[i] < 0 {
		return 0
	}
	g, sum := b.groups[b.of[b.m.block[i]]], 0.0
	for k, s := range g.states {
		if s&(1<<b.bit[i]) != 0 {
			sum += g.w[k]
		}
	}
	return min(sum, 1)
}
