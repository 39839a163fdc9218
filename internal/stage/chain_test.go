package stage_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/stage"
)

// port tells how a labelled circuit can be chained: from its common and its one
// positive supply, the signal source at its input, and its output.
type port struct {
	source, signal circuit.PartRef
	supply, in     circuit.NetID
	out            circuit.NetID
}

func portOf(c labelled) (port, bool) {
	var p port
	for _, x := range c.Circuit.Parts {
		switch x.Kind {
		case circuit.Battery, circuit.Supply:
			if x.Net("-") != c.Circuit.Common || p.source != "" {
				return p, false
			}
			p.source, p.supply = x.Ref, x.Net("+")
		case circuit.Signal:
			if x.Net("-") != c.Circuit.Common || p.signal != "" {
				return p, false
			}
			if _, mains := x.Amount("voltage"); !mains {
				p.signal, p.in = x.Ref, x.Net("+")
			}
		case circuit.Switch, circuit.Changeover, circuit.Fuse:
			return p, false
		}
	}
	for _, n := range c.Circuit.Nets() {
		if n.ID == "out" {
			p.out = "out"
		}
	}
	for _, l := range c.labels {
		if k := string(l.kind); strings.Contains(k, "regulator") || strings.Contains(k, "rectifier") || strings.Contains(k, "voltage") {
			p.out = "" // a supply's output carries no signal on
		}
	}
	for _, l := range c.labels { // two stages on one rail would share these
		if l.kind == stage.Decoupling || l.kind == stage.Divider {
			return p, false
		}
	}
	return p, p.source != ""
}

// chained joins circuits one after the other on one supply, each fed by the
// output of the one before where it has a signal source to take the place of.
func chained(all []labelled, ports []port) labelled {
	out := labelled{}
	out.Circuit = &circuit.Circuit{Common: "gnd"}
	last := circuit.NetID("")
	for i, c := range all {
		p := ports[i]
		taken := p.signal != "" && last != ""
		net := func(n circuit.NetID) circuit.NetID {
			switch {
			case n == c.Circuit.Common:
				return "gnd"
			case n == p.supply:
				return "supply"
			case taken && n == p.in:
				return last
			}
			return circuit.NetID(fmt.Sprintf("%s_%d", n, i))
		}
		for _, x := range c.Circuit.Clone().Parts {
			if x.Ref == p.source && i > 0 || taken && x.Ref == p.signal {
				continue
			}
			x.Ref = circuit.PartRef(fmt.Sprintf("%s%d", x.Ref, 100*(i+1)))
			for k := range x.Leads {
				x.Leads[k].Net = net(x.Leads[k].Net)
			}
			out.Circuit.Parts = append(out.Circuit.Parts, x)
		}
		onward := i+1 < len(all) && ports[i+1].signal != "" && p.out != ""
		for _, l := range c.labels {
			m := label{kind: l.kind}
			for _, r := range l.parts {
				x, _ := c.Circuit.Part(r)
				// What couples an output belongs to the stage that it then drives.
				coupling := onward && len(x.Leads) == 2 && (x.Leads[0].Net == p.out || x.Leads[1].Net == p.out) && !slices.Contains([]circuit.NetID{"", c.Circuit.Common, p.supply}, farOf(x, p.out))
				if (r != p.source || i == 0) && !coupling {
					m.parts = append(m.parts, circuit.PartRef(fmt.Sprintf("%s%d", r, 100*(i+1))))
				}
			}
			out.labels = append(out.labels, m)
		}
		last = ""
		if p.out != "" {
			last = net(p.out)
		}
		out.Name += "; " + c.Name
	}
	return out
}

// farOf is the other net of a two-lead part.
func farOf(x circuit.Part, net circuit.NetID) circuit.NetID {
	if x.Leads[0].Net == net {
		return x.Leads[1].Net
	}
	return x.Leads[0].Net
}

// Stages keep what they are when they stand one behind another: labelled
// circuits joined on one supply are found as each alone is.
func TestChainedCircuits(t *testing.T) {
	var set []labelled
	var ports []port
	for _, c := range everything(t) {
		if p, ok := portOf(c); ok {
			set, ports = append(set, c), append(ports, p)
		}
	}
	rng := rand.New(rand.NewPCG(11, 4))
	count := map[stage.Kind]*tally{}
	for range 300 {
		var some []labelled
		var theirs []port
		for range 2 + rng.IntN(3) {
			k := rng.IntN(len(set))
			some, theirs = append(some, set[k]), append(theirs, ports[k])
		}
		c := chained(some, theirs)
		found := find(t, c.Circuit)
		if wrong := compare(found, c.labels, count); len(wrong) > 0 {
			t.Logf("%s\n   %s", c.Name, strings.Join(wrong, "\n   "))
		}
		for _, w := range sound(c.Circuit, found) {
			t.Errorf("%s: %s", c.Name, w)
		}
	}
	macro, precision, recall := scores(count)
	t.Logf("%d circuits to chain, macro F1 %.3f, precision %.3f, recall %.3f", len(set), macro, precision, recall)
	if macro < 0.95 || precision < 0.99 {
		t.Error("stages are mistaken where they stand one behind another")
	}
}
