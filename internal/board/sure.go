package board

import (
	"maps"
	"math"
	"slices"
)

// Sureness is how far a net list can be relied on.
type Sureness struct {
	// Right is the probability that every net is as it is given.
	Right float64 `json:"right"`
	// WrongNets is how many nets are expected to be wrong.
	WrongNets float64 `json:"wrong_nets"`
	// Bits is what is still unknown about the nets.
	Bits float64 `json:"bits"`
	// Enough says that the nets are wrong with at most 0.1 %: one may stop.
	Enough bool `json:"enough"`
}

// enough is the probability of a wrong net at which the checks may stop.
// (the project's aim: at most 0.1 % a board)
const enough = 0.001

// likeliest is the most probable nets: of every group the edges that have both
// ends on one net, the probability of that, and what else it may be in bits.
type likeliest struct {
	closed      []uint64
	right, bits []float64
	from        []*group
}

// nets finds the likeliest nets. What is known of earlier groups is taken from
// the last answer where they have not changed.
func (b *belief) nets(last *likeliest) *likeliest {
	n := len(b.groups)
	out := &likeliest{make([]uint64, n), make([]float64, n), make([]float64, n), b.groups}
	for id, g := range b.groups {
		switch {
		case g == nil:
			out.right[id] = 1
		case last != nil && last.from[id] == g:
			out.closed[id], out.right[id], out.bits[id] = last.closed[id], last.right[id], last.bits[id]
		default:
			out.closed[id], out.right[id], out.bits[id] = b.best(g)
		}
	}
	return out
}

// all is the probability that every net is right.
func (l *likeliest) all() float64 {
	p := 1.0
	for _, r := range l.right {
		p *= r
	}
	return p
}

// best is a group's likeliest nets, their probability, and the entropy of all
// that it may be, in bits.
func (b *belief) best(g *group) (uint64, float64, float64) {
	weight := map[uint64]float64{}
	var order []uint64
	for i, s := range g.states {
		c := b.closed(g, s)
		if _, known := weight[c]; !known {
			order = append(order, c)
		}
		weight[c] += g.w[i]
	}
	slices.Sort(order)
	top, bits := order[0], 0.0
	for _, c := range order {
		w := weight[c]
		if w > weight[top] {
			top = c
		}
		if w > 0 {
			bits -= w * math.Log2(w)
		}
	}
	return top, math.Max(0, math.Min(1, weight[top])*(1-g.lost)), bits
}

func (b *belief) closed(g *group, state uint64) uint64 {
	if len(g.blocks) == len(g.edges) {
		return state // no cycles
	}
	var out uint64
	for _, k := range g.blocks {
		out |= b.m.closure(k, state, b.bit)
	}
	return out
}

// joined reports whether the likeliest nets join the two ends of a path.
func (l *likeliest) joined(b *belief, way []hop) bool {
	return !slices.ContainsFunc(way, func(h hop) bool { return !b.whole(h, l.closed[b.of[h.block]]) })
}

// whole reports whether the likeliest nets join the two ends of an edge.
func (l *likeliest) whole(b *belief, edge int) bool {
	k := b.m.block[edge]
	return k >= 0 && l.closed[b.of[k]]&(1<<b.bit[edge]) != 0
}

// sureness sums up how sure the likeliest nets are.
func (b *belief) sureness(l *likeliest) Sureness {
	out := Sureness{Right: l.all(), WrongNets: b.wrongNets(l)}
	for _, bits := range l.bits {
		out.Bits += bits
	}
	out.Enough = out.Right >= 1-enough
	return out
}

// wrongNets is the expected number of nets that are not as the likeliest ones.
//
// A net is right where every edge that touches it is as it should be; groups
// are independent, so the probabilities multiply.
func (b *belief) wrongNets(l *likeliest) float64 {
	touching := b.touching(b.netOf(l))
	wrong := 0.0
	for _, net := range slices.Sorted(maps.Keys(touching)) { // one order gives one sum on every machine
		right := 1.0
		for _, id := range slices.Sorted(maps.Keys(touching[net])) {
			right *= b.agree(id, l.closed[id], touching[net][id])
		}
		wrong += 1 - right
	}
	return wrong
}

// touching lists, by net and group, the edges with an end on the net.
func (b *belief) touching(net []int) map[int]map[int]uint64 {
	out := map[int]map[int]uint64{}
	for i, e := range b.m.edges {
		k := b.m.block[i]
		if k < 0 {
			continue
		}
		for _, v := range []int{e.a, e.b} {
			if out[net[v]] == nil {
				out[net[v]] = map[int]uint64{}
			}
			out[net[v]][b.of[k]] |= 1 << b.bit[i]
		}
	}
	return out
}

// agree is the probability that a group is as given at the edges of a mask.
func (b *belief) agree(id int, closed, mask uint64) float64 {
	g, sum := b.groups[id], 0.0
	for i, s := range g.states {
		if (b.closed(g, s)^closed)&mask == 0 {
			sum += g.w[i]
		}
	}
	return min(sum, 1) * (1 - g.lost)
}

// netOf numbers the likeliest nets by one of their pieces.
func (b *belief) netOf(l *likeliest) []int { return b.netWithout(l, nil) }

// netWithout numbers the likeliest nets as they would be without the blocks of
// a path.
func (b *belief) netWithout(l *likeliest, way []hop) []int {
	up := make([]int, b.m.n)
	for i := range up {
		up[i] = i
	}
	find := func(v int) int {
		for up[v] != v {
			v = up[v]
		}
		return v
	}
	for i, e := range b.m.edges {
		if l.whole(b, i) && !slices.ContainsFunc(way, func(h hop) bool { return h.block == b.m.block[i] }) {
			if x, y := find(e.a), find(e.b); x != y {
				up[max(x, y)] = min(x, y)
			}
		}
	}
	for i := range up {
		up[i] = find(i)
	}
	return up
}
