package trial

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// Composed chains published circuits into one of about n parts, each fed from
// one supply and driven by the one before through a capacitor: a larger unit
// as people build it. The same seed gives the same circuit.
func Composed(seed uint64, n int) (*circuit.Circuit, error) {
	all, err := Textbook()
	if err != nil {
		return nil, err
	}
	g := &chain{c: &circuit.Circuit{Unit: fmt.Sprintf("composed %d", seed), Common: "gnd"}, count: map[string]int{}}
	g.part(circuit.Part{Kind: circuit.Battery, Leads: []circuit.Lead{{Name: "+", Net: "supply"}, {Name: "-", Net: "gnd"}},
		Amounts: map[string]circuit.Amount{}, Words: map[string]string{}})
	rng := rand.New(rand.NewPCG(seed, 11))
	for misses := 0; len(g.c.Parts) < n && misses < 200; {
		s, ok := stageOf(all[rng.IntN(len(all))].Circuit)
		if !ok || len(g.c.Parts)+len(s.parts) > n+8 {
			misses++
			continue
		}
		g.join(s)
	}
	g.c.SortParts()
	return g.c, nil
}

// stage is a circuit without its sources, ready to be chained.
type stage struct {
	parts           []circuit.Part
	common, supply  circuit.NetID
	input, output   circuit.NetID
	otherSupplyNets []circuit.NetID
}

// stageOf takes the sources off a circuit and finds its input, which the
// signal source drives, and its output by its name. A circuit without all of
// these, or fed from the mains, can't be chained.
func stageOf(c *circuit.Circuit) (stage, bool) {
	s := stage{common: c.Common}
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Battery, circuit.Supply:
			if p.Net("-") == c.Common {
				s.supply = p.Net("+")
			} else {
				s.otherSupplyNets = append(s.otherSupplyNets, p.Net("-"))
			}
		case circuit.Signal:
			s.input = p.Net("+")
		default:
			s.parts = append(s.parts, p)
		}
	}
	for _, n := range c.Nets() {
		switch n.ID {
		case "out", "load", "c2", "coll":
			if s.output == "" || n.ID == "out" {
				s.output = n.ID
			}
		}
	}
	return s, s.supply != "" && s.input != "" && s.output != "" && len(s.otherSupplyNets) == 0
}

// chain is a composed circuit under way.
type chain struct {
	c      *circuit.Circuit
	count  map[string]int
	stages int
	last   circuit.NetID // the output so far
}

// part adds a part under the next reference of its kind.
func (g *chain) part(p circuit.Part) {
	info, _ := circuit.Lookup(p.Kind)
	g.count[info.Letter]++
	p.Ref = circuit.PartRef(fmt.Sprintf("%s%d", info.Letter, g.count[info.Letter]))
	g.c.Parts = append(g.c.Parts, p)
}

// join adds a stage with nets of its own, all but supply and common.
func (g *chain) join(s stage) {
	g.stages++
	rename := func(n circuit.NetID) circuit.NetID {
		switch {
		case n == s.common:
			return "gnd"
		case n == s.supply:
			return "supply"
		}
		return circuit.NetID(fmt.Sprintf("s%d%s", g.stages, strings.ToLower(string(n))))
	}
	input := rename(s.input)
	if g.last == "" {
		g.part(circuit.Part{Kind: circuit.Signal, Leads: []circuit.Lead{{Name: "+", Net: input}, {Name: "-", Net: "gnd"}},
			Amounts: map[string]circuit.Amount{}, Words: map[string]string{}})
	} else {
		g.part(circuit.Part{Kind: circuit.Capacitor, Leads: []circuit.Lead{{Name: "1", Net: g.last}, {Name: "2", Net: input}},
			Amounts: map[string]circuit.Amount{}, Words: map[string]string{}})
	}
	for _, p := range s.parts {
		p.Leads = slices.Clone(p.Leads)
		for i := range p.Leads {
			p.Leads[i].Net = rename(p.Leads[i].Net)
		}
		g.part(p)
	}
	g.last = rename(s.output)
}
