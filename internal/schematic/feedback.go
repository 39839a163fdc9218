package schematic

import "foilside/internal/circuit"

// findFeedback finds the parts that lead from an output back to an input that
// drives it, over one stage or over several that are coupled directly: a
// draughtsman lays them over or under their stage.
func (v *netView) findFeedback(c *circuit.Circuit) {
	v.back = map[circuit.PartRef]bool{}
	next := v.driven(c)
	entry := v.entry(c)
	driven := make([]bool, len(v.nets))
	for _, to := range next {
		for _, i := range to {
			driven[i] = true
		}
	}
	for _, p := range c.Parts {
		if len(p.Leads) != 2 || p.Kind == circuit.Battery || p.Kind == circuit.Supply || p.Kind == circuit.Signal {
			continue
		}
		a, b := v.index[p.Leads[0].Net], v.index[p.Leads[1].Net]
		if a != b && v.rail[a] == noRail && v.rail[b] == noRail && (reaches(next, a, b) || reaches(next, b, a) || driven[a] && entry[b] && !driven[b] || driven[b] && entry[a] && !driven[a]) {
			v.back[p.Ref] = true
		}
	}
}

// entry tells the nets that the signal comes in on: those of its sources and
// connectors, and what passive parts lead on from them up to the first inputs.
func (v *netView) entry(c *circuit.Circuit) []bool {
	ends := v.driveEnds(c)
	in := make([]bool, len(v.nets))
	var queue []int
	reach := func(net int) {
		if v.rail[net] == noRail && !in[net] && !ends.driven[net] {
			in[net] = true
			queue = append(queue, net)
		}
	}
	for _, p := range c.Parts {
		if p.Kind == circuit.Signal || p.Kind == circuit.Connector {
			for _, l := range p.Leads {
				reach(v.index[l.Net])
			}
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		if ends.driving[queue[0]] {
			continue
		}
		for _, l := range v.nets[queue[0]].Leads {
			p, _ := c.Part(l.Part)
			switch p.Kind {
			case circuit.Resistor, circuit.Capacitor, circuit.Electrolytic, circuit.Inductor:
				reach(v.index[p.Leads[0].Net])
				reach(v.index[p.Leads[1].Net])
			}
		}
	}
	return in
}

// driven lists for each net the nets that amplifying parts drive from it.
func (v *netView) driven(c *circuit.Circuit) [][]int {
	next := make([][]int, len(v.nets))
	for _, p := range c.Parts {
		if p.Kind == circuit.Transformer || p.Kind == circuit.Bridge || len(p.Leads) < 3 {
			continue
		}
		for _, d := range drives(p) {
			a, okA := v.index[p.Net(d.in)]
			b, okB := v.index[p.Net(d.out)]
			if okA && okB && a != b && v.rail[a] == noRail && v.rail[b] == noRail {
				next[a] = append(next[a], b)
			}
		}
	}
	return next
}

// reaches tells whether one net drives another, over at most three parts.
func reaches(next [][]int, from, to int) bool {
	at := []int{from}
	seen := map[int]bool{from: true}
	for range 3 {
		var further []int
		for _, i := range at {
			for _, j := range next[i] {
				if j == to {
					return true
				}
				if !seen[j] {
					seen[j] = true
					further = append(further, j)
				}
			}
		}
		at = further
	}
	return false
}
