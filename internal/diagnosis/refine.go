package diagnosis

import (
	"context"
	"math"
	"slices"
)

// Faults of the same effect are told apart, or called alike, only where their
// severities are known as well as the readings tell them. So the strata that
// lead are looked at with many more draws and in narrower ranges of severity.

const (
	// refinements of the belief after each reading.
	refinements = 2
	// widest is the ratio of severities between two rungs above which a
	// leading stratum gets a rung between: readings do not go straight
	// between the ends.
	widest = 8
	// narrow is the ratio of severities that a leading stratum is cut down to.
	narrow = 1.25
	// mostCuts is the number of pieces that a stratum is cut into at once.
	mostCuts = 4
	// worthCutting is the probability below which a stratum is not cut.
	worthCutting = 0.01
)

// refine cuts the leading strata and weighs them with all draws.
func (j *judgement) refine(ctx context.Context, b *belief, columns []*column) error {
	leads := map[int]bool{}
	for _, i := range b.leading() {
		leads[i] = true
	}
	finer := &judgement{p: j.p, tests: j.tests, of: j.of, unseen: j.unseen, other: j.other, strays: j.strays}
	var anew, rungs []int
	for i, s := range j.strata {
		pieces := []stratum{s}
		if b.stratum[i] > worthCutting*(1-b.outside) {
			pieces = j.p.cut(s)
		}
		for _, one := range pieces {
			if leads[i] {
				anew = append(anew, len(finer.strata))
				rungs = append(rungs, one.low, one.high)
			}
			finer.strata, finer.seen, finer.weighed = append(finer.strata, one), append(finer.seen, j.seen[i]), append(finer.weighed, j.weighed[i])
		}
	}
	slices.Sort(rungs)
	if err := j.p.fill(ctx, columns, slices.Compact(rungs), len(j.p.draws), nil); err != nil {
		return err
	}
	j.p.each(len(anew), func(k int) {
		finer.weighed[anew[k]] = j.p.weigh(finer.strata[anew[k]], j.tests, len(j.p.draws))
	})
	*j = *finer
	return nil
}

// cut divides a stratum by its severity, with further rungs where its own are
// far apart. One that is narrow enough comes back alone.
func (p *Predictor) cut(s stratum) []stratum {
	if s.low == s.high || s.at == nil {
		return []stratum{s}
	}
	ratio := math.Abs(math.Log(s.to / s.from))
	if ratio > math.Log(widest) {
		return p.between(s, int(math.Ceil(ratio/math.Log(widest))))
	}
	n := min(mostCuts, int(math.Ceil(ratio*(s.end-s.start)/math.Log(narrow))))
	var out []stratum
	for i := range max(n, 1) {
		one := s
		one.start = s.start + (s.end-s.start)*float64(i)/float64(n)
		one.end = s.start + (s.end-s.start)*float64(i+1)/float64(n)
		one.logPrior -= math.Log(float64(n))
		out = append(out, one)
	}
	return out
}

// between divides a stratum at rungs in equal ratios.
func (p *Predictor) between(s stratum, n int) []stratum {
	mark := func(i int) float64 { return s.from * math.Pow(s.to/s.from, float64(i)/float64(n)) }
	out := make([]stratum, n)
	for i := range out {
		one := s
		one.from, one.to = mark(i), mark(i+1)
		one.logPrior -= math.Log(float64(n))
		if i > 0 {
			one.low = out[i-1].high
		}
		if i < n-1 {
			one.high = p.index(s.at(one.to))
		}
		out[i] = one
	}
	for i := range out {
		if n > 1 {
			out[i].before, out[i].after = noRung, noRung
		}
		if i > 0 {
			out[i].before = out[i-1].low
		}
		if i < n-1 {
			out[i].after = out[i+1].high
		}
	}
	return out
}
