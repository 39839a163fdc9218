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
	// leastProof is the information below which a test is not worth taking.
	leastProof = 0.1
	// mostProofs marked readings prove a find, whatever could still be read.
	mostProofs = 4
)

// witnesses are the readings taken that the group which leads foretold
// otherwise than a good unit, by sort.
type witnesses struct{ cold, alive int }

// witnesses counts the readings that speak for a group of their own accord.
func (s *study) witnesses(leads int) witnesses {
	var w witnesses
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
		switch {
		case marked < all/2:
		case t.column.key.Mode.Powered():
			w.alive++
		default:
			w.cold++
		}
	}
	return w
}

// due tells whether a test of a sort is still due: one of either sort, and two
// in all.
func (w witnesses) due(powered bool) bool {
	switch {
	case w.cold+w.alive >= mostProofs:
		return false
	case w.cold+w.alive < 2:
		return true
	case powered:
		return w.alive == 0
	}
	return w.cold == 0
}

// member tells whether a fault is an active suspect of the group.
func (s *study) member(fault, group int) bool {
	i := slices.Index(s.a.faults, fault)
	return i >= 0 && s.group[i] == group
}

// proof is the reading that best tests the group that leads: one that it
// foretells otherwise than a good unit. ok is false where there is none.
func (s *study) proof(leads int, at situation) (best ranked, ok bool) {
	w := s.witnesses(leads)
	var list []ranked
	for _, o := range s.outlooks {
		powered := o.column.key.Mode.Powered()
		if s.taken[o.column.key.Check] || !w.due(powered) || powered && s.heavy(leads) {
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
		list = append(list, ranked{outlook: o, cost: s.p.price(o.column.key.Check, at, o.top)})
	}
	if len(list) == 0 {
		return ranked{}, false
	}
	return slices.MaxFunc(list, func(a, b ranked) int { return cmp.Compare(a.worth(), b.worth()) }), true
}

// atSource is the reading across a source that is called dead, where nobody has
// taken it yet: everything else may have another reason.
func (s *study) atSource(leads int, at situation) (best ranked, ok bool) {
	for i, f := range s.a.faults {
		if s.group[i] != leads || s.p.faults[f].Name != Dead {
			continue
		}
		part, _ := s.p.circuit.Part(s.p.faults[f].Part)
		plus, minus := part.Net("+"), part.Net("-")
		across := func(c Check) bool {
			return c.Mode.Powered() && (c.Red == plus && c.Black == minus || c.Red == minus && c.Black == plus)
		}
		if slices.ContainsFunc(s.ev.Readings, func(r Reading) bool { return across(r.Check) }) {
			return best, false
		}
		for _, o := range s.outlooks {
			if c := o.column.key.Check; across(c) {
				r := ranked{outlook: o, cost: s.p.price(c, at, o.top)}
				if !ok || r.cost < best.cost {
					best, ok = r, true
				}
			}
		}
	}
	return best, ok
}

// heavy tells whether a group is a short: a unit with one is not switched on
// for a proof.
func (s *study) heavy(leads int) bool {
	for i, f := range s.a.faults {
		if name := s.p.faults[f].Name; s.group[i] == leads && (name == Short || name == Bridge) {
			return true
		}
	}
	return false
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
