package schematic

import "foilside/internal/circuit"

// findFeedback finds the parts that lead from an output back to an input that
// drives it, over one stage or over several that are coupled directly: a
// draughtsman lays them over or under their stage.
func (v *netView) findFeedback(c *circuit.Circuit) {
	v.back = map[circuit.PartRef]bool{}
	next := v.driven(c)
	for _, p := range c.Parts {
		if len(p.Leads) != 2 || p.Kind == circuit.Battery || p.Kind == circuit.Supply || p.Kind == circuit.Signal {
			continue
		}
		a, b := v.index[p.Leads[0].Net], v.index[p.Leads[1].Net]
		if a != b && v.rail[a] == noRail && v.rail[b] == noRail && (reaches(next, a, b) || reaches(next, b, a)) {
			v.back[p.Ref] = true
		}
	}
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
