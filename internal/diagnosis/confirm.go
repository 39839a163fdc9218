package diagnosis

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/bayes"
)

// A fault that fits a few readings may be the wrong one that fits by chance:
// what is really wrong may not be in the list. So before a group counts as
// found it has to foretell something: it is tested where a unit with it would
// read otherwise than a good one, alive if it was read cold so far.

const (
	// doubt is the share that a fault outside the list is given while a find
	// is put to the test. Tuned: TestStudy.
	doubt = 0.25
	// provedBy marked readings of one sort, cold or alive, or
	// provedByBoth of both sorts, is a find proved.
	provedBy     = 3
	provedByBoth = 2
	// leastProof is the information below which a test is not worth taking.
	leastProof = 0.1
	// otherSort is how much more a test of the sort not seen yet counts.
	otherSort = 2.5
)

// proved tells whether the readings taken have tested the group that leads.
func (s *study) proved(leads int) bool {
	cold, alive := 0, 0
	for _, t := range s.b.tests {
		g := glimpse{}
		var n int
		g.mean, g.wide, n = s.p.spreadOf(t.column, s.p.healthy)
		g.over = n == 0
		g.wide = math.Hypot(g.wide, t.column.noiseAt(g.mean))
		var marked, all float64
		for i, st := range s.b.strata {
			if s.member(st.fault, leads) {
				all += s.b.stratum[i]
				if s.p.marks(t.column, st, g) {
					marked += s.b.stratum[i]
				}
			}
		}
		if marked < all/2 {
			continue
		}
		if t.column.key.Mode.Powered() {
			alive++
		} else {
			cold++
		}
	}
	return cold >= provedBy || alive >= provedBy || cold > 0 && alive > 0 && cold+alive >= provedByBoth
}

// member tells whether a fault is an active suspect of the group.
func (s *study) member(fault, group int) bool {
	i := slices.Index(s.a.faults, fault)
	return i >= 0 && s.group[i] == group
}

// proof is the reading that best tests the group that leads: one that it
// foretells otherwise than a good unit. ok is false where there is none.
func (s *study) proof(leads int, at situation) (best ranked, ok bool) {
	cold, alive := false, false
	for _, t := range s.b.tests {
		if t.column.key.Mode.Powered() {
			alive = true
		} else {
			cold = true
		}
	}
	var list []ranked
	for _, o := range s.outlooks {
		if s.taken[o.column.key.Check] {
			continue
		}
		row := s.rowOf(o, leads)
		if bayes.Affinity(row, o.good) > likeness/2 {
			continue
		}
		o.bits = bayes.Information([]float64{1 - doubt, doubt}, [][]float64{row, o.other})
		if o.bits < leastProof {
			continue
		}
		r := ranked{outlook: o, cost: s.p.price(o.column.key.Check, at, o.top)}
		if powered := o.column.key.Mode.Powered(); powered && !alive || !powered && !cold {
			r.favour = otherSort
		}
		list = append(list, r)
	}
	if len(list) == 0 {
		return ranked{}, false
	}
	return slices.MaxFunc(list, func(a, b ranked) int { return cmp.Compare(a.worth(), b.worth()) }), true
}

// rowOf is what the members of a group make of a check together.
func (s *study) rowOf(o outlook, group int) []float64 {
	row := make([]float64, len(o.other))
	for i, g := range s.group {
		if g != group {
			continue
		}
		for k, v := range o.rows[i] {
			row[k] += s.a.prob[i] * v
		}
	}
	normalise(row)
	return row
}
