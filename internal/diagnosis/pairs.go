package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/num/bayes"
	"foilside/internal/sim"
)

// Two faults at once are looked for where neither a single one nor a stray
// explains the readings: there are too many pairs to weigh them all, and a
// second fault is rare.

const (
	// Each of the firstOnes that explain most is tried with the secondOnes that
	// explain best what it leaves.
	firstOnes, secondOnes = 8, 20
	// together is the chance that a unit with one fault has a second one.
	// Common practice.
	together = 0.05
	// leastPair is the probability below which a pair is not named.
	leastPair = 0.1
)

// explaining is how well one severity of a fault explains each reading.
type explaining struct {
	fault int
	rung  int
	prior float64   // logarithm
	fits  []float64 // log density by test
	sum   float64
}

// pairs lists the pairs of faults that explain the readings, the best first.
//
// Errors: the context's.
func (s *study) pairs(ctx context.Context) ([]Beyond, error) {
	singles := s.p.explaining(s.b.tests)
	if len(singles) == 0 {
		return nil, nil
	}
	var found []Beyond
	var logs []float64
	for _, one := range singles[:min(len(singles), firstOnes)] {
		for _, other := range complements(one, singles) {
			log, ok, err := s.p.weighPair(ctx, s.b.tests, one, other)
			if err != nil {
				return nil, err
			}
			if !ok {
				continue
			}
			text := fmt.Sprintf("%s together with %s", s.p.faults[one.fault], s.p.faults[other.fault])
			if i := slices.IndexFunc(found, func(b Beyond) bool { return b.Text == text }); i >= 0 {
				logs[i] = math.Max(logs[i], log)
				continue
			}
			found, logs = append(found, Beyond{Text: text}), append(logs, log)
		}
	}
	norm := bayes.LogSumExp(append(slices.Clone(logs), s.b.generic))
	for i := range found {
		found[i].Probability = s.b.outside * math.Exp(logs[i]-norm)
	}
	slices.SortStableFunc(found, func(a, b Beyond) int { return cmp.Compare(b.Probability, a.Probability) })
	return slices.DeleteFunc(found, func(b Beyond) bool { return b.Probability < leastPair }), nil
}

// explaining lists every rung by how well it explains the readings, an outright
// misfit counted as a slip.
func (p *Predictor) explaining(tests []test) []explaining {
	var out []explaining
	seen := map[[2]int]bool{}
	for _, st := range p.strata {
		for _, r := range []int{st.low, st.high} {
			if seen[[2]int{st.fault, r}] || p.rungs[r].variant == nil || p.faults[st.fault].Name == None {
				continue
			}
			seen[[2]int{st.fault, r}] = true
			e := explaining{fault: st.fault, rung: r, prior: st.logPrior}
			for _, t := range tests {
				v := math.Log(chanceUnder(t, t.column.cells[r][0], 3*strayScatter) + misread*math.Exp(t.elsewhere))
				e.fits, e.sum = append(e.fits, v), e.sum+v
			}
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b explaining) int { return cmp.Compare(b.sum+b.prior, a.sum+a.prior) })
	return out
}

// complements are the faults of other parts that explain best what one leaves.
func complements(one explaining, all []explaining) []explaining {
	type rated struct {
		e    explaining
		gain float64
	}
	var list []rated
	for _, e := range all {
		if e.fault == one.fault {
			continue
		}
		r := rated{e, e.prior}
		for i, v := range e.fits {
			r.gain += math.Max(0, v-one.fits[i])
		}
		list = append(list, r)
	}
	slices.SortStableFunc(list, func(a, b rated) int { return cmp.Compare(b.gain, a.gain) })
	var out []explaining
	for _, r := range list[:min(len(list), secondOnes)] {
		out = append(out, r.e)
	}
	return out
}

// weighPair is the log of a pair's prior and likelihood; ok is false where it
// cannot be simulated.
//
// Errors: the context's.
func (p *Predictor) weighPair(ctx context.Context, tests []test, one, other explaining) (log float64, ok bool, err error) {
	r := rung{variant: append(append(sim.Variant{}, p.rungs[one.rung].variant...), p.rungs[other.rung].variant...)}
	columns := make([]*column, len(tests))
	for i, t := range tests {
		columns[i] = t.column
	}
	tasks, err := p.tasks(ctx, columns)
	if err != nil {
		return 0, false, err
	}
	at := map[*column]cell{}
	for _, t := range tasks {
		cells, err := p.readNominal(ctx, t, r)
		if err != nil {
			return 0, false, err
		}
		for i, c := range t.columns {
			at[c] = cells[i]
		}
	}
	log = math.Log(p.opt.Priors.Outside*together) + one.prior + other.prior
	for _, t := range tests {
		c := at[t.column]
		if c.kind == failed {
			return 0, false, nil
		}
		log += math.Log((1-t.misread)*chanceUnder(t, c, 3*strayScatter) + t.misread*math.Exp(t.elsewhere))
	}
	return log, true, nil
}
