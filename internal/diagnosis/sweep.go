package diagnosis

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// A find may be the half of it: a second part has failed, a lead is on the
// wrong net. So when a group is found and proved, a few readings more look
// where nobody looked yet, before the search ends.

const (
	// unseenMost is the share of all faults that no reading would have shown,
	// above which one more reading is asked for. Tuned: TestStudy.
	unseenMost = 0.4
	// mostBeforeSweep readings were taken before none is added for this.
	mostBeforeSweep = 6
	// leastSweep is the share that a reading must add to be worth taking.
	leastSweep = 0.08
)

// sweep is the reading that looks at most of what no reading has shown yet. ok
// is false where enough was seen, or nothing shows much.
//
// Errors: the context's.
func (s *study) sweep(ctx context.Context, leads int, at situation) (best ranked, ok bool, err error) {
	if len(s.b.tests) >= mostBeforeSweep {
		return best, false, nil
	}
	touched, err := s.p.touches(ctx)
	if err != nil {
		return best, false, err
	}
	unseen := make([]float64, len(s.p.faults))
	var all, left float64
	for _, st := range s.p.strata {
		unseen[st.fault] += math.Exp(st.logPrior)
	}
	for f := range unseen {
		if !touchable(touched, f) {
			unseen[f] = 0
		}
		all += unseen[f]
	}
	for _, t := range s.b.tests {
		for _, f := range touched[t.column] {
			unseen[f] = 0
		}
	}
	for _, v := range unseen {
		left += v
	}
	if left < unseenMost*all {
		return best, false, nil
	}
	var list []ranked
	for _, o := range s.outlooks {
		powered := o.column.key.Mode.Powered()
		if s.taken[o.column.key.Check] || powered && s.heavy(leads) {
			continue
		}
		var more float64
		for _, f := range touched[o.column] {
			more += unseen[f]
		}
		if more < leastSweep*all {
			continue
		}
		r := ranked{outlook: o, cost: s.p.price(o.column.key.Check, at, o.top), favour: more / all / math.Max(o.bits, 1e-9)}
		list = append(list, r)
	}
	if len(list) == 0 {
		return best, false, nil
	}
	return slices.MaxFunc(list, func(a, b ranked) int { return cmp.Compare(a.worth(), b.worth()) }), true, nil
}

// touchable tells whether any reading shows a fault.
func touchable(touched map[*column][]int, fault int) bool {
	for _, list := range touched {
		if slices.Contains(list, fault) {
			return true
		}
	}
	return false
}

// touches lists, for every check that is always looked at, the faults that
// change it, as one unit has it. Made once.
//
// Errors: the context's.
func (p *Predictor) touches(ctx context.Context) (map[*column][]int, error) {
	if p.touched != nil {
		return p.touched, nil
	}
	listed, err := p.candidates(ctx)
	if err != nil {
		return nil, err
	}
	if err := p.fill(ctx, listed, p.all(), 1, nil); err != nil {
		return nil, err
	}
	p.touched = map[*column][]int{}
	for _, c := range listed {
		good := c.cells[healthyRung][0]
		last := -1
		for _, s := range p.strata {
			high := c.cells[s.high][0]
			if s.fault == last || !apart(c, good, high) {
				continue
			}
			last = s.fault
			p.touched[c] = append(p.touched[c], s.fault)
		}
	}
	return p.touched, nil
}

// apart tells whether two cells are markedly different readings.
func apart(c *column, a, b cell) bool {
	if a.kind != measured || b.kind != measured {
		return a.kind != b.kind
	}
	return math.Abs(a.g-b.g) > marked*math.Hypot(c.noiseAt(a.g), strayScatter)
}
