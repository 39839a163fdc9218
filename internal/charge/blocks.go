package charge

import (
	"math"

	"foilside/internal/circuit"
)

// A block is a piece of the circuit that hangs on the rest by single nets
// only. No current goes round through a single net, so the voltages within a
// block come from its own sources alone: that keeps a high-voltage supply from
// being counted for capacitors that merely share the common net with it.

// edge joins two nets through a part.
type edge struct {
	part circuit.PartRef
	a, b circuit.NetID
}

// edges joins every two leads of a part that current may pass between.
func edges(c *circuit.Circuit) []edge {
	var out []edge
	for _, p := range c.Parts {
		if p.Kind == circuit.Transformer { // windings are apart
			for _, w := range p.Windings {
				out = append(out, edge{p.Ref, p.Net(w.First()), p.Net(w.Second())})
			}
			continue
		}
		for i, a := range p.Leads {
			for _, b := range p.Leads[i+1:] {
				if a.Net != b.Net && !isolated(p.Kind, a.Name, b.Name) {
					out = append(out, edge{p.Ref, a.Net, b.Net})
				}
			}
		}
	}
	return out
}

// isolated tells leads between which a part passes nothing.
func isolated(k circuit.Kind, a, b circuit.LeadName) bool {
	coil := func(n circuit.LeadName) bool { return n == "coil1" || n == "coil2" }
	light := func(n circuit.LeadName) bool { return n == "a" || n == "k" }
	switch k {
	case circuit.Relay:
		return coil(a) != coil(b)
	case circuit.Optocoupler:
		return light(a) != light(b)
	case circuit.Connector, circuit.TestPoint:
		return false // what is plugged in may join them
	}
	return false
}

// blockFinder is Tarjan's search for biconnected components.
//
// Source: R. E. Tarjan, SIAM J. Comput. 1 (1972) 146–160 (from memory).
type blockFinder struct {
	edges []edge
	at    map[circuit.NetID][]int // edges at each net
	depth map[circuit.NetID]int
	low   map[circuit.NetID]int
	stack []int
	block []int // by edge
	count int
}

// blocksOf numbers the block of every edge.
func blocksOf(all []edge) []int {
	f := &blockFinder{edges: all, at: map[circuit.NetID][]int{}, depth: map[circuit.NetID]int{}, low: map[circuit.NetID]int{}, block: make([]int, len(all))}
	for i, e := range all {
		f.block[i] = -1
		f.at[e.a] = append(f.at[e.a], i)
		f.at[e.b] = append(f.at[e.b], i)
	}
	for _, e := range all {
		if f.depth[e.a] == 0 {
			f.visit(e.a, -1, 1)
		}
	}
	return f.block
}

func (f *blockFinder) visit(n circuit.NetID, from, depth int) {
	f.depth[n], f.low[n] = depth, depth
	for _, i := range f.at[n] {
		if i == from {
			continue
		}
		other := f.edges[i].a
		if other == n {
			other = f.edges[i].b
		}
		switch {
		case f.depth[other] == 0:
			f.stack = append(f.stack, i)
			f.visit(other, i, depth+1)
			f.low[n] = min(f.low[n], f.low[other])
			if f.low[other] >= depth {
				f.close(i)
			}
		case f.depth[other] < depth && f.block[i] < 0:
			f.stack = append(f.stack, i)
			f.low[n] = min(f.low[n], f.depth[other])
		}
	}
}

// close gives the edges above i on the stack, and i, the next number.
func (f *blockFinder) close(i int) {
	for {
		top := f.stack[len(f.stack)-1]
		f.stack = f.stack[:len(f.stack)-1]
		f.block[top] = f.count
		if top == i {
			f.count++
			return
		}
	}
}

// limits is the greatest voltage that the sources of its own block can put on
// each capacitor, at the upper limit of their tolerance: without coils and
// pumps no net can be further from another than the sources' ends.
func limits(c *circuit.Circuit, cells []cell) []float64 {
	all := edges(c)
	block := blocksOf(all)
	out := make([]float64, len(cells))
	for i, one := range cells {
		if one.a == one.b {
			continue
		}
		var mine []circuit.Part
		seen := map[circuit.PartRef]bool{}
		var own int
		for k, e := range all {
			if e.part == one.part {
				own = block[k]
			}
		}
		for k, e := range all {
			p, _ := c.Part(e.part)
			if block[k] == own && !seen[p.Ref] {
				seen[p.Ref] = true
				mine = append(mine, p)
			}
		}
		out[i] = reachOf(c.Common, mine) * voltMargin
	}
	return out
}

// reachOf is how far apart the sources among some parts can drive two nets.
func reachOf(common circuit.NetID, parts []circuit.Part) float64 {
	var high, low, stacked float64
	diodes, alternating := 0, false
	for _, p := range parts {
		if p.Kind == circuit.Diode || p.Kind == circuit.Bridge {
			diodes++
		}
		v, ok := p.Amount("voltage")
		if !isSource(p.Kind) || !ok {
			continue
		}
		v = math.Abs(v) * (1 + toleranceOf(p))
		switch {
		case p.Kind == circuit.Signal:
			alternating = true
			stacked += 2 * math.Sqrt2 * v
		case p.Net("-") == common:
			high = math.Max(high, v)
		case p.Net("+") == common:
			low = math.Max(low, v)
		default:
			stacked += v
		}
	}
	if alternating { // a pump adds a peak-to-peak voltage for every diode
		stacked *= float64(max(diodes, 1))
	}
	return high + low + stacked
}
