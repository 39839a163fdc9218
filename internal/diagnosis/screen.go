package diagnosis

import (
	"cmp"
	"context"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/meter"
)

// A reading between two places that share no part often tells most: two
// stages against one another, a supply against the far end of a chain. There
// are too many such pairs to simulate each for every severity and draw, so
// all are screened by one unit for each suspect, and the best join the list.

const (
	// mostPairs are screened in one state, those nearest by parts first.
	mostPairs = 300
	// kept of the screened join the list, by state and with power or without.
	kept = 10
)

// screened adds to the listed columns those between places that share no part
// and tell the most.
func (p *Predictor) screened(ctx context.Context, listed []*column, b *belief, a active) ([]*column, error) {
	spare, err := p.spare(ctx)
	if err != nil {
		return nil, err
	}
	look := p.outlines(b, a)
	out := slices.Clone(listed)
	for _, class := range spare {
		if err := p.fill(ctx, class, look.rungs, 1, nil); err != nil {
			return nil, err
		}
		best := p.outlooks(class, b, look, 1)
		slices.SortStableFunc(best, func(x, y outlook) int { return cmp.Compare(y.bits, x.bits) })
		for _, o := range best[:min(len(best), kept)] {
			out = append(out, o.column)
		}
	}
	return out, nil
}

// outlines keeps of every suspect the stratum that it most likely lies in, by
// its milder rung.
func (p *Predictor) outlines(b *belief, a active) active {
	out := active{faults: a.faults, prob: a.prob, other: a.other, rungs: []int{healthyRung}}
	best := make([]int, len(a.faults))
	for i := range best {
		best[i] = -1
	}
	for i, s := range a.strata {
		if at := best[a.row[i]]; at < 0 || b.stratum[s] > b.stratum[at] {
			best[a.row[i]] = s
		}
	}
	used := map[int]bool{healthyRung: true}
	for row, s := range best {
		if s < 0 {
			continue
		}
		out.strata, out.row = append(out.strata, s), append(out.row, row)
		for _, r := range []int{b.strata[s].low, b.strata[s].high} {
			if !used[r] {
				used[r] = true
				out.rungs = append(out.rungs, r)
			}
		}
	}
	return out
}

// spare lists the columns that are screened, made once: the pairs of places
// that candidates leaves out, without power in the first state, with it in
// every state.
func (p *Predictor) spare(ctx context.Context) ([][]*column, error) {
	if p.further != nil {
		return p.further, nil
	}
	listed, err := p.candidates(ctx)
	if err != nil {
		return nil, err
	}
	known := map[Check]bool{}
	for _, c := range listed {
		known[c.key.Check] = true
	}
	p.further = [][]*column{}
	add := func(m meter.Mode, state string, q [][2]circuit.NetID) {
		var checks []Check
		for _, pair := range q {
			one, other := Check{m, pair[0], pair[1], state}, Check{m, pair[1], pair[0], state}
			if !known[one] && !known[other] && len(checks) < mostPairs {
				checks = append(checks, one)
			}
		}
		if len(checks) > 0 {
			p.further = append(p.further, p.columnsOf(checks))
		}
	}
	near := p.nearest()
	add(meter.Ohms, p.states()[0], near)
	done := map[string]bool{}
	for _, c := range listed {
		if c.key.Mode == meter.VoltsDC && !done[c.key.State] {
			done[c.key.State] = true
			s, key, err := p.electrical(meter.VoltsDC, c.key.State)
			if err != nil {
				return nil, err
			}
			if how, err := p.motion(ctx, s, key); err != nil || how != still {
				if err != nil {
					return nil, err
				}
				continue // following costs too much for what only may be worth it
			}
			add(meter.VoltsDC, c.key.State, near)
		}
	}
	return p.further, nil
}

// nearest lists all pairs of nets, those with the fewest parts between first.
func (p *Predictor) nearest() [][2]circuit.NetID {
	nets := p.model.Nets()
	beside := p.beside()
	type spaced struct {
		pair  [2]circuit.NetID
		parts int
	}
	var all []spaced
	for i, from := range nets {
		steps := steps(beside, from)
		for _, to := range nets[i+1:] {
			if n, ok := steps[to]; ok {
				all = append(all, spaced{[2]circuit.NetID{from, to}, n})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b spaced) int { return cmp.Compare(a.parts, b.parts) })
	out := make([][2]circuit.NetID, len(all))
	for i, s := range all {
		out[i] = s.pair
	}
	return out
}

// beside are the nets one part away from every net.
func (p *Predictor) beside() map[circuit.NetID][]circuit.NetID {
	out := map[circuit.NetID][]circuit.NetID{}
	for _, part := range p.circuit.Parts {
		for _, a := range part.Leads {
			for _, b := range part.Leads {
				if a.Net != b.Net {
					out[a.Net] = append(out[a.Net], b.Net)
				}
			}
		}
	}
	return out
}

// steps counts the parts from one net to every other that it reaches.
func steps(beside map[circuit.NetID][]circuit.NetID, from circuit.NetID) map[circuit.NetID]int {
	out := map[circuit.NetID]int{from: 0}
	for queue := []circuit.NetID{from}; len(queue) > 0; queue = queue[1:] {
		for _, n := range beside[queue[0]] {
			if _, ok := out[n]; !ok {
				out[n] = out[queue[0]] + 1
				queue = append(queue, n)
			}
		}
	}
	return out
}
