package trial

import (
	"fmt"
	"math/rand/v2"

	"foilside/internal/circuit"
)

// Random makes up a circuit of n parts: a chain of stages as people build
// them, with some leads put on any net. The same seed gives the same circuit.
func Random(seed uint64, n int) *circuit.Circuit {
	g := &maker{rng: rand.New(rand.NewPCG(seed, 7)), c: &circuit.Circuit{Unit: fmt.Sprintf("random %d", seed), Common: "chassis"}, count: map[string]int{}}
	g.add(circuit.Battery, "supply", "chassis")
	kinds := circuit.Kinds()
	for len(g.c.Parts) < n {
		if g.rng.IntN(3) > 0 {
			g.usual()
		} else {
			g.any(kinds[g.rng.IntN(len(kinds))])
		}
	}
	g.c.SortParts()
	return g.c
}

type maker struct {
	rng   *rand.Rand
	c     *circuit.Circuit
	nets  int
	count map[string]int
}

// fresh makes a new net; near takes one of the last few, or a new one.
func (g *maker) fresh() circuit.NetID {
	g.nets++
	return circuit.NetID(fmt.Sprintf("n%d", g.nets))
}

func (g *maker) near() circuit.NetID {
	if g.nets == 0 || g.rng.IntN(3) == 0 {
		return g.fresh()
	}
	return circuit.NetID(fmt.Sprintf("n%d", max(1, g.nets-g.rng.IntN(6))))
}

func (g *maker) netOrRail() circuit.NetID {
	switch g.rng.IntN(5) {
	case 0:
		return "supply"
	case 1:
		return "chassis"
	}
	return g.near()
}

// usual adds a part the way most are used.
func (g *maker) usual() {
	switch g.rng.IntN(6) {
	case 0:
		g.add(circuit.Resistor, "supply", g.near())
	case 1:
		g.add(circuit.Resistor, g.near(), "chassis")
	case 2:
		g.add(circuit.Capacitor, g.near(), g.near())
	case 3:
		g.add(circuit.NPN, g.near(), g.near(), g.near())
	case 4:
		g.add(circuit.Electrolytic, g.near(), "chassis")
	case 5:
		g.add(circuit.Resistor, g.near(), g.near())
	}
}

// any adds a part of the kind with its leads anywhere.
func (g *maker) any(k circuit.Kind) {
	var ws []circuit.Winding
	poles := 1
	if k == circuit.Transformer {
		for i := range 1 + g.rng.IntN(4) {
			ws = append(ws, circuit.Winding{Name: fmt.Sprintf("w%d", i+1), Turns: 10})
		}
	}
	if k == circuit.Switch || k == circuit.Changeover || k == circuit.Relay {
		poles = 1 + g.rng.IntN(3)
	}
	names := circuit.LeadNames(k, ws, poles)
	if names == nil {
		for i := range 1 + g.rng.IntN(5) {
			names = append(names, circuit.LeadName(fmt.Sprint(i+1)))
		}
	}
	var nets []circuit.NetID
	for range names {
		nets = append(nets, g.netOrRail())
	}
	p := g.add(k, nets...)
	p.Windings = ws
	if poles > 1 {
		p.Amounts["poles"] = circuit.Amount{Value: float64(poles)}
	}
	p.Leads = nil
	for i, n := range names {
		p.Leads = append(p.Leads, circuit.Lead{Name: n, Net: nets[i]})
	}
}

// add gives the part the next reference of its kind. Where the kind's leads
// are fixed, they go on the nets in order.
func (g *maker) add(k circuit.Kind, nets ...circuit.NetID) *circuit.Part {
	info, _ := circuit.Lookup(k)
	g.count[info.Letter]++
	p := circuit.Part{Ref: circuit.PartRef(fmt.Sprintf("%s%d", info.Letter, g.count[info.Letter])), Kind: k, Amounts: map[string]circuit.Amount{}, Words: map[string]string{}}
	if param, ok := info.Param("value"); ok && len(param.Units) > 0 {
		p.Amounts["value"] = circuit.Amount{Value: float64(1+g.rng.IntN(99)) * []float64{1e-9, 1e3}[g.rng.IntN(2)], Unit: param.Units[0]}
	}
	if len(info.Params) > 2 && g.rng.IntN(3) == 0 {
		p.Type = "2N3904"
	}
	g.c.Parts = append(g.c.Parts, p)
	q := &g.c.Parts[len(g.c.Parts)-1]
	if len(info.Leads) == len(nets) && !info.AnyLead {
		for i, n := range info.Leads {
			q.Leads = append(q.Leads, circuit.Lead{Name: n, Net: nets[i]})
		}
	}
	return q
}
