package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/num/bayes"
)

// hunt is the search in a unit small enough to be planned exactly: a handful
// of suspects, each a group of its own, and a handful of checks.
type hunt struct {
	p      *Predictor
	checks []Check
	tops   []float64     // by check: greatest value, for its price
	rows   [][][]float64 // by check, suspect and range
	known  map[string]float64
}

const (
	huntSuspects = 6
	huntChecks   = 6
	huntRanges   = 4
)

// Hunts cuts a circuit's suspects into handfuls, likeliest first, and gives the
// least expected cost to tell those of each handful apart, and the cost when
// readings are taken by worth.
func Hunts(t *testing.T, c *circuit.Circuit, most int) (least, ours []float64) {
	t.Helper()
	p, err := New(c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := p.study(context.Background(), Evidence{})
	if err != nil {
		t.Fatal(err)
	}
	apart := s.oneOfEach()
	for from := 0; from+huntSuspects <= len(apart) && len(least) < most; from += huntSuspects {
		h, prior := huntOf(s, apart[from:from+huntSuspects])
		seen := slices.Repeat([]int{-1}, len(h.rows))
		least, ours = append(least, h.optimum(prior, seen, -1)), append(ours, h.planned(prior, seen, -1))
	}
	return least, ours
}

// oneOfEach lists the likeliest suspect of every group, without the group that
// nothing shows.
func (s *study) oneOfEach() []int {
	hidden := slices.IndexFunc(s.a.faults, func(f int) bool { return s.p.faults[f].Name == None })
	seen := map[int]bool{s.group[hidden]: true}
	var out []int
	for i, g := range s.group {
		if !seen[g] {
			seen[g] = true
			out = append(out, i)
		}
	}
	return out
}

// huntOf takes the checks that tell most of the suspects, with power and
// without.
func huntOf(s *study, suspects []int) (*hunt, []float64) {
	var prior []float64
	for _, i := range suspects {
		prior = append(prior, s.a.prob[i])
	}
	h := &hunt{p: s.p, known: map[string]float64{}}
	bits := map[*column]float64{}
	rows := map[*column][][]float64{}
	for _, o := range s.outlooks {
		rows[o.column] = coarse(prior, suspects, o)
		bits[o.column] = bayes.Information(prior, rows[o.column])
	}
	order := slices.Clone(s.outlooks)
	slices.SortStableFunc(order, func(a, b outlook) int { return cmp.Compare(bits[b.column], bits[a.column]) })
	kept := map[bool]int{} // the best with power and without, so that there is a choice
	for _, o := range order {
		powered := o.column.key.Mode.Powered()
		if kept[powered] < (huntChecks+1)/2 && len(h.rows) < huntChecks {
			kept[powered]++
			h.checks, h.tops, h.rows = append(h.checks, o.column.key.Check), append(h.tops, o.top), append(h.rows, rows[o.column])
		}
	}
	return h, prior
}

// coarse joins neighbouring ranges, those that lose the least information
// first, until few are left.
func coarse(prior []float64, suspects []int, o outlook) [][]float64 {
	rows := make([][]float64, len(suspects))
	for i, s := range suspects {
		rows[i] = slices.Clone(o.rows[s])
	}
	for len(rows[0]) > huntRanges {
		at, most := 0, -1.0
		for k := range len(rows[0]) - 1 {
			if b := bayes.Information(prior, joined(rows, k)); b > most {
				at, most = k, b
			}
		}
		rows = joined(rows, at)
	}
	return rows
}

// joined adds range k+1 to range k.
func joined(rows [][]float64, k int) [][]float64 {
	out := make([][]float64, len(rows))
	for i, row := range rows {
		out[i] = append(slices.Clone(row[:k+1]), row[k+2:]...)
		out[i][k] += row[k+1]
	}
	return out
}

// found tells whether the search is at its end.
func found(belief []float64) bool {
	var sum float64
	for _, p := range belief {
		sum += p
	}
	return slices.Max(belief) >= sure*sum
}

// cost is a check's after another, -1 at the start, as the planner counts it.
func (h *hunt) cost(last, next int) float64 {
	at := situation{}
	if last >= 0 {
		at = situationOf(Evidence{Readings: []Reading{{Check: h.checks[last]}}}, Danger{Judged: true})
	}
	return h.p.price(h.checks[next], at, h.tops[next]) + handling
}

// follow is the mean of what remains after a check, over its ranges.
func (h *hunt) follow(belief []float64, seen []int, t int, rest func(belief []float64, seen []int, last int) float64) float64 {
	var sum, total float64
	for k := range h.rows[t][0] {
		then, mass := make([]float64, len(belief)), 0.0
		for i := range belief {
			then[i] = belief[i] * h.rows[t][i][k]
			mass += then[i]
		}
		total += mass
		if mass > 1e-6 {
			after := slices.Clone(seen)
			after[t] = k
			sum += mass * rest(then, after, t)
		}
	}
	return sum / total
}

// optimum is the least expected cost to the end: every check is tried at
// every step, by dynamic programming over what was seen and what was last.
func (h *hunt) optimum(belief []float64, seen []int, last int) float64 {
	if found(belief) {
		return 0
	}
	key := fmt.Sprint(seen, last)
	if v, ok := h.known[key]; ok {
		return v
	}
	best := math.Inf(1)
	for t := range seen {
		if seen[t] < 0 && bayes.Information(belief, h.rows[t]) >= leastBits {
			best = min(best, h.cost(last, t)+h.follow(belief, seen, t, h.optimum))
		}
	}
	if math.IsInf(best, 1) {
		best = 0 // nothing is worth reading
	}
	h.known[key] = best
	return best
}

// planned is the expected cost when the check of the greatest worth is taken
// at every step, as by rank.
func (h *hunt) planned(belief []float64, seen []int, last int) float64 {
	if found(belief) {
		return 0
	}
	key := fmt.Sprint("planned", seen, last)
	if v, ok := h.known[key]; ok {
		return v
	}
	at, most := -1, 0.0
	var options []option
	for t, c := range h.checks {
		options = append(options, option{c, h.tops[t], h.rows[t]})
	}
	now := situation{}
	if last >= 0 {
		now = now.after(h.checks[last])
	}
	for t := range seen {
		if seen[t] >= 0 || bayes.Information(belief, h.rows[t]) < leastBits {
			continue
		}
		if worth := h.p.ahead(belief, options, func(j int) bool { return seen[j] >= 0 }, now, t); worth > most {
			at, most = t, worth
		}
	}
	if at < 0 {
		return 0
	}
	h.known[key] = h.cost(last, at) + h.follow(belief, seen, at, h.planned)
	return h.known[key]
}
