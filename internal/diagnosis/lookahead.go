package diagnosis

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/bayes"
)

// A reading may tell little by itself and open the way to one that tells all,
// or need the power that the next ones need too. So the best few are compared
// with the best reading that would follow each of their outcomes.

// option is a check with the chance of each of its outcomes under each suspect.
type option struct {
	check Check
	top   float64     // greatest value, for its price
	rows  [][]float64 // by suspect
}

const (
	// rareOutcome is the probability below which what would follow an outcome
	// doesn't count.
	rareOutcome = 0.02
	// mostAhead readings are looked ahead from, those of most worth.
	mostAhead = 4
	// aheadRanges and aheadSuspects bound the size of a look ahead.
	aheadRanges   = 6
	aheadSuspects = 40
)

// ahead is the worth of an option and of the best that follows it: bits in
// each second. seen tells which options are out of the question.
func (p *Predictor) ahead(prior []float64, options []option, seen func(int) bool, at situation, first int) float64 {
	o := options[first]
	bits, cost := bayes.Information(prior, o.rows), p.price(o.check, at, o.top)+handling
	then := at.after(o.check)
	var total float64
	for _, v := range prior {
		total += v
	}
	post := make([]float64, len(prior))
	for k := range o.rows[0] {
		var mass, most float64
		for i, v := range prior {
			post[i] = v * o.rows[i][k]
			mass += post[i]
			most = max(most, post[i])
		}
		if mass < rareOutcome*total || most >= sure*mass {
			continue
		}
		var bestBits, bestCost float64
		for j, next := range options {
			if j == first || seen(j) {
				continue
			}
			b, c := bayes.Information(post, next.rows), p.price(next.check, then, next.top)+handling
			if b >= leastBits && b*bestCost >= bestBits*c {
				bestBits, bestCost = b, c
			}
		}
		bits += mass / total * bestBits
		cost += mass / total * bestCost
	}
	return bits / cost
}

// foresee puts those of the ranked first that are best with what follows them.
func (s *study) foresee(list []ranked, at situation) {
	n := min(len(s.a.faults), aheadSuspects)
	prior := append(slices.Clone(s.a.prob[:n]), s.a.other)
	options := make([]option, len(list))
	for i, r := range list {
		o := r.outlook
		options[i] = option{o.column.key.Check, o.top, coarsened(prior, append(slices.Clone(o.rows[:n]), o.other))}
	}
	worth := make([]float64, min(len(list), mostAhead))
	order := make([]int, len(worth))
	for i := range worth {
		order[i] = i
		worth[i] = s.p.ahead(prior, options, func(int) bool { return false }, at, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(worth[b], worth[a]) })
	best := slices.Clone(list[:len(order)])
	for i, k := range order {
		list[i] = best[k]
	}
}

// coarsened joins neighbouring ranges, those first that say nearly the same of
// the suspects, until few are left.
func coarsened(prior []float64, rows [][]float64) [][]float64 {
	// columns[k] is the joint probability of range k and each suspect.
	columns := make([][]float64, len(rows[0]))
	for k := range columns {
		columns[k] = make([]float64, len(rows))
		for i, row := range rows {
			columns[k][i] = prior[i] * row[k]
		}
	}
	from := make([][]int, len(columns))
	for k := range from {
		from[k] = []int{k}
	}
	for len(columns) > aheadRanges {
		at, least := 0, math.Inf(1)
		for k := range len(columns) - 1 {
			if d := joiningLoss(columns[k], columns[k+1]); d < least {
				at, least = k, d
			}
		}
		for i := range columns[at] {
			columns[at][i] += columns[at+1][i]
		}
		from[at] = append(from[at], from[at+1]...)
		columns, from = slices.Delete(columns, at+1, at+2), slices.Delete(from, at+1, at+2)
	}
	out := make([][]float64, len(rows))
	for i, row := range rows {
		out[i] = make([]float64, len(columns))
		for k, list := range from {
			for _, r := range list {
				out[i][k] += row[r]
			}
		}
	}
	return out
}

// joiningLoss is how differently two ranges speak of the suspects, weighed by
// the rarer of them.
func joiningLoss(a, b []float64) float64 {
	var massA, massB, differ float64
	for i := range a {
		massA, massB = massA+a[i], massB+b[i]
	}
	if massA <= 0 || massB <= 0 {
		return 0
	}
	for i := range a {
		differ += math.Abs(a[i]/massA - b[i]/massB)
	}
	return differ * math.Min(massA, massB)
}
