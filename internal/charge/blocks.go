package charge

import (
	"math"
	"slices"

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
func limits(c *circuit.Circuit, cells []cell) []reach {
	all := edges(c)
	block := blocksOf(all)
	out := make([]reach, len(cells))
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
		out[i] = reachOf(c.Common, mine)
		out[i].volts *= voltMargin
		if swells(c, one) {
			out[i].volts *= coilSwell
			out[i].coil = true
		}
	}
	return out
}

// reach is the most that the sources of a block can give.
type reach struct {
	volts       float64
	alternating bool // a signal is among them, whose operating point shows nothing
	coil        bool // a coil at the capacitor's own net lets it swing beyond
}

// coilSwell is how far a capacitor fills through a coil from a steady source:
// to twice it, without losses (closed form of an LC circuit).
const coilSwell = 2.0

// swells tells whether a coil ends at one of the capacitor's nets, held ones
// apart.
func swells(c *circuit.Circuit, one cell) bool {
	held := heldNets(c)
	touches := func(n circuit.NetID) bool { return !held[n] && (n == one.a || n == one.b) }
	return slices.ContainsFunc(c.Parts, func(p circuit.Part) bool {
		return (p.Kind == circuit.Inductor || p.Kind == circuit.Transformer) &&
			slices.ContainsFunc(p.Leads, func(l circuit.Lead) bool { return touches(l.Net) })
	})
}

// rectifiers is how many steps of a pump a part can make.
func rectifiers(k circuit.Kind) int {
	switch k {
	case circuit.Diode, circuit.LED, circuit.Zener, circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP,
		circuit.SCR, circuit.Triac, circuit.Optocoupler, circuit.Triode, circuit.Pentode, circuit.FlashTube, circuit.GasTube, circuit.Neon:
		return 1
	case circuit.Bridge:
		return 2
	}
	return 0
}

// crest is the greatest peak of any shape of signal over its rms value: a pulse
// that is on for a tenth of the time has √10, a triangle √3, a sine √2.
func crest(p circuit.Part) float64 {
	switch p.Words["shape"] {
	case "pulse":
		return math.Sqrt(10)
	case "triangle":
		return math.Sqrt(3)
	}
	return math.Sqrt2
}

// reachOf is how far apart the sources among some parts can drive two nets.
//
// A ladder of n rectifiers and as many capacitors gives n times the peak of its
// signal (Cockcroft and Walton 1932, from memory).
func reachOf(common circuit.NetID, parts []circuit.Part) reach {
	var high, low, stacked, peaks float64
	steps, alternating := 0, false
	for _, p := range parts {
		steps += rectifiers(p.Kind)
		v, ok := p.Amount("voltage")
		if !isSource(p.Kind) || !ok {
			continue
		}
		v = math.Abs(v) * (1 + toleranceOf(p))
		switch {
		case p.Kind == circuit.Signal:
			alternating = true
			peaks += crest(p) * v
		case p.Net("-") == common:
			high = math.Max(high, v)
		case p.Net("+") == common:
			low = math.Max(low, v)
		default:
			stacked += v
		}
	}
	return reach{volts: high + low + stacked + peaks*float64(max(steps, 1)), alternating: alternating}
}
