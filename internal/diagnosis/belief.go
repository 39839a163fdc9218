package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/num/bayes"
)

// belief is what the evidence makes of the strata.
type belief struct {
	strata  []stratum   // the predictor's, those that lead in narrower ranges of severity
	stratum []float64   // probability of each, with outside summing to 1
	draw    [][]float64 // by stratum: weight of each draw, summing to 1
	fault   []float64   // probability of each fault
	outside float64     // probability of a fault that is not in the list
	strays  []float64   // of that, by definite fault outside the list
	generic float64     // log of prior and likelihood of the rest of it
	odd     []float64   // by reading: probability that it is misread
	tests   []test      // the readings, those that repeat one another taken together
	unknown []Symptom   // words that carry no weight
}

// infer weighs every stratum by the evidence: all of them with the draws that
// planning uses too, then the leading ones with many more, since a dozen
// draws leave a likelihood uncertain by a factor that matters only there.
func (p *Predictor) infer(ctx context.Context, ev Evidence) (*belief, error) {
	columns, err := p.evidenceColumns(ctx, ev)
	if err != nil {
		return nil, err
	}
	seen, unknown, err := p.symptomWeights(ctx, ev.Symptoms)
	if err != nil {
		return nil, err
	}
	j := &judgement{p: p, strata: p.strata, seen: seen, unseen: mean(seen)}
	j.tests, j.of = p.tests(ev.Readings, columns)
	j.other = p.outside(j.tests)
	if len(j.tests) > 0 {
		if j.strays, err = p.weighStrays(ctx, j.tests); err != nil {
			return nil, err
		}
	}
	j.weighed = make([]weighed, len(j.strata))
	p.each(len(j.strata), func(i int) { j.weighed[i] = p.weigh(j.strata[i], j.tests, p.opt.Draws) })
	b := j.belief()
	for round := 0; round < refinements && len(ev.Readings) > 0; round++ {
		if err := j.refine(ctx, b, columns); err != nil {
			return nil, err
		}
		b = j.belief()
	}
	b.unknown, b.tests = unknown, j.tests
	return b, nil
}

const (
	mostLeading  = 32    // strata looked at with all draws
	leastLeading = 0.001 // probability below which one is not
)

// leading picks the strata that decide.
func (b *belief) leading() []int {
	var out []int
	for i, v := range b.stratum {
		if v > leastLeading*(1-b.outside) {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(x, y int) int { return cmp.Compare(b.stratum[y], b.stratum[x]) })
	return out[:min(len(out), mostLeading)]
}

// judgement is the likelihood of the evidence under every stratum.
type judgement struct {
	p       *Predictor
	strata  []stratum
	tests   []test
	of      []int     // by reading: its test
	seen    []float64 // by stratum: log likelihood of the symptoms
	unseen  float64   // the same under a fault that is not in the list
	other   float64   // log likelihood of the readings under such a fault
	strays  []float64 // the same under the definite ones
	weighed []weighed
}

// belief turns likelihoods into probabilities.
func (j *judgement) belief() *belief {
	p := j.p
	n, strays := len(j.strata), len(j.strays)
	prior, likelihood := make([]float64, n+1+strays), make([]float64, n+1+strays)
	for i, s := range j.strata {
		prior[i], likelihood[i] = s.logPrior, j.weighed[i].log+j.seen[i]
	}
	prior[n] = math.Log(p.opt.Priors.Outside)
	likelihood[n] = j.other + j.unseen
	if strays > 0 {
		prior[n] += math.Log(1 - definite)
	}
	for i, log := range j.strays {
		prior[n+1+i] = math.Log(p.opt.Priors.Outside * definite / float64(strays))
		likelihood[n+1+i] = log + j.unseen
	}
	generic := prior[n] + likelihood[n]
	post, _ := bayes.Posterior(prior, likelihood)
	b := &belief{strata: j.strata, stratum: post[:n], outside: post[n], strays: post[n+1:], generic: generic, draw: make([][]float64, n), fault: make([]float64, len(p.faults)), odd: make([]float64, len(j.of))}
	for _, v := range b.strays {
		b.outside += v
	}
	for i, s := range j.strata {
		b.draw[i] = j.weighed[i].draw
		b.fault[s.fault] += b.stratum[i]
		for r, t := range j.of {
			b.odd[r] += j.weighed[i].odd[t] * b.stratum[i]
		}
	}
	return b
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / math.Max(1, float64(len(x)))
}

// evidenceColumns simulates the readings that were taken.
func (p *Predictor) evidenceColumns(ctx context.Context, ev Evidence) ([]*column, error) {
	var columns []*column
	for i, r := range ev.Readings {
		if err := p.checkReading(r); err != nil {
			return nil, fmt.Errorf("reading %d: %w", i+1, err)
		}
		columns = append(columns, p.column(columnKey{r.Check, p.meterNumber(r.Meter)}))
	}
	return columns, p.fill(ctx, columns, p.all(), p.opt.Draws, nil)
}

// all lists the rungs that strata are laid out with.
func (p *Predictor) all() []int {
	out := make([]int, p.coarse)
	for i := range out {
		out[i] = i
	}
	return out
}

func (p *Predictor) checkReading(r Reading) error {
	for _, n := range []struct{ lead, net string }{{"red", string(r.Red)}, {"black", string(r.Black)}} {
		if !p.hasNet(n.net) {
			return fmt.Errorf("its %s lead is on net %q, which the circuit no longer has; correct or remove the reading", n.lead, n.net)
		}
	}
	if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) {
		return fmt.Errorf("its value is no number")
	}
	if !r.Overrange && inOhms(r.Mode) && r.Value < 0 {
		return fmt.Errorf("a resistance of %g Ω cannot be; was a supply on, or a capacitor charged? take it again", r.Value)
	}
	return nil
}

func (p *Predictor) hasNet(name string) bool {
	for _, n := range p.model.Nets() {
		if string(n) == name {
			return true
		}
	}
	return false
}
