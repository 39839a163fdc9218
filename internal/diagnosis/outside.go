package diagnosis

import (
	"math"

	"foilside/internal/meter"
	"foilside/internal/num/bayes"
)

// A fault that no list has still sits somewhere: near it readings are off by
// any amount, far from it they are as in a good unit. Every fault of the list
// tells which readings lie near a place, so each has a shadow: something else
// is wrong just there. What readings make of all shadows together is what they
// make of a fault outside the list.

const (
	// touched and untouched are the chances that a reading which the listed
	// fault would change, or would not, is off under its shadow. Tuned: TestStudy.
	touched   = 0.8
	untouched = 0.15
	// mimics is the share of readings near it which what is wrong makes just
	// what the listed fault would: two readings of one place are no two witnesses.
	mimics = 0.5
	// Shares of what an odd reading may be: what some fault of the list would
	// make it, somewhere about the good reading, or anything. Tuned by judgement.
	likeOthers = 0.4
	aboutGood  = 0.35
	// about is how far about, in logarithm: a factor of four and a half.
	about = 1.5
	// marked is the change, in deviations of the reading, by which a fault
	// counts as near.
	marked = 3
)

// glimpse is a test with what a good unit and the list as a whole make of it.
type glimpse struct {
	good  float64   // density of what was read in a good unit
	under []float64 // the same under every stratum
	odd   float64   // the same for a reading that something else put off
	mean  float64   // of a good unit's readings
	wide  float64   // their deviation, the noise of the reading included
	over  bool      // a good unit reads over range, or nothing is foretold
}

// outside is the likelihood of a fault that is not in the list.
func (p *Predictor) outside(tests []test) float64 {
	if len(tests) == 0 {
		return 0
	}
	seen := make([]glimpse, len(tests))
	for i, t := range tests {
		seen[i] = p.glimpse(t)
	}
	terms := make([]float64, 0, len(p.strata))
	for k, s := range p.strata {
		sum := s.logPrior
		for i, t := range tests {
			g := seen[i]
			if p.marks(t.column, s, g) {
				sum += math.Log((1-touched)*g.good + touched*(mimics*g.under[k]+(1-mimics)*g.odd))
			} else {
				sum += math.Log((1-untouched)*g.good + untouched*g.odd)
			}
		}
		terms = append(terms, sum)
	}
	return bayes.LogSumExp(terms)
}

// spreadOf is the mean and deviation of a stratum's first draws, over those
// that have a value; n counts them.
func (p *Predictor) spreadOf(c *column, s stratum) (mean, deviation float64, n int) {
	var sum, squares float64
	for k := range p.opt.Draws {
		if v := p.sample(c, s, k); v.kind == measured {
			sum, squares, n = sum+v.g, squares+v.g*v.g, n+1
		}
	}
	if n == 0 {
		return 0, 0, 0
	}
	mean = sum / float64(n)
	if n > 1 {
		deviation = math.Sqrt(math.Max(0, (squares-sum*mean)/float64(n-1)))
	}
	return mean, deviation, n
}

// glimpse looks at one test.
func (p *Predictor) glimpse(t test) glimpse {
	var g glimpse
	mean, deviation, n := p.spreadOf(t.column, p.healthy)
	g.mean, g.wide, g.over = mean, math.Hypot(deviation, t.column.noiseAt(mean)), n == 0
	g.good = p.densityUnder(t, p.healthy)
	others := 0.0
	for _, s := range p.strata {
		d := p.densityUnder(t, s)
		g.under = append(g.under, d)
		others += math.Exp(s.logPrior) * d
	}
	anything := math.Exp(t.elsewhere)
	near := anything
	if t.plain == nil && !g.over {
		near = p.nearby(t, mean)
	}
	g.odd = likeOthers*others + aboutGood*near + (1-likeOthers-aboutGood)*anything
	return g
}

// nearby is the density of a reading somewhere about the good one: by a factor
// in ohms, anywhere between the supplies in volts.
func (p *Predictor) nearby(t test, good float64) float64 {
	if inOhms(t.column.key.Mode) {
		z := (t.g - good) / about
		return (1 - elsewhereOver) * math.Exp(-z*z/2) / (about * math.Sqrt(2*math.Pi))
	}
	top := rangeTop(t.column.meter, t.column.key.Mode, p.topVolts())
	return math.Hypot(unscaled(t.column.key.Mode, t.g), smallVolts) / (2 * top)
}

// densityUnder is the density of one reading under a stratum, by kernels.
func (p *Predictor) densityUnder(t test, s stratum) float64 {
	n := float64(p.opt.Draws)
	if t.plain != nil {
		var sum float64
		for k := range p.opt.Draws {
			sum += t.plain(p.sample(t.column, s, k))
		}
		return sum / n
	}
	_, deviation, _ := p.spreadOf(t.column, s)
	const share = 0.6 // as in outlook.spread
	sd := math.Hypot(math.Hypot(t.noise, softness(t.column, s)), math.Hypot(bend(t.column, s), share*deviation))
	var sum float64
	for k := range p.opt.Draws {
		switch v := p.sample(t.column, s, k); v.kind {
		case measured:
			z := (t.g - v.g) / sd
			sum += math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
		case failed:
			sum += math.Exp(t.elsewhere)
		default:
			sum += math.Exp(t.beyond())
		}
	}
	return sum / n
}

// marks tells whether a stratum changes a reading markedly.
func (p *Predictor) marks(c *column, s stratum, g glimpse) bool {
	mean, deviation, n := p.spreadOf(c, s)
	if g.over || n == 0 {
		return g.over != (n == 0)
	}
	return math.Abs(mean-g.mean) > marked*math.Max(g.wide, math.Hypot(deviation, c.noiseAt(mean)))/2
}

// otherwise is what a fault that is not in the list makes of a check. Which of
// the shadows is left is known only of suspects that are.
func (p *Predictor) otherwise(o *outlook, a active) []float64 {
	var changed, total float64
	for i := range a.faults {
		if bayes.Affinity(o.good, o.rows[i]) < likeness {
			changed += a.prob[i]
		}
		total += a.prob[i]
	}
	chance := untouched + (touched-untouched)*changed/math.Max(total, 1e-12)
	row := p.anything(o)
	for i := range row {
		var others float64
		for k, row := range o.rows {
			others += a.prob[k] / math.Max(total, 1e-12) * row[i]
		}
		row[i] = (1-chance)*o.good[i] + chance*(likeOthers*others+(1-likeOthers)*row[i])
	}
	p.mixStrays(o, a, row)
	return row
}

// mixStrays gives definite faults outside the list their part of a row, as far
// as they were simulated.
func (p *Predictor) mixStrays(o *outlook, a active, row []float64) {
	cells := p.strayCells[o.column]
	if cells == nil || a.other <= 0 {
		return
	}
	var share float64
	mixed := make([]float64, len(row))
	for i, s := range a.strays {
		if cells[s] == nil {
			continue
		}
		share += a.strayProb[i]
		for _, c := range cells[s] {
			w := a.strayProb[i] / float64(len(cells[s]))
			switch c.kind {
			case measured:
				o.smear(mixed, c.g, math.Hypot(o.column.noiseAt(c.g), 2*strayScatter), w)
			case over:
				mixed[len(mixed)-1] += w
			default:
				for k := range mixed {
					mixed[k] += w / float64(len(mixed))
				}
			}
		}
	}
	share = math.Min(share/a.other, 1)
	for k := range row {
		row[k] = (1-share)*row[k] + mixed[k]/a.other
	}
}

// anything is a check's ranges as a reading that tells nothing falls into them:
// half by its scale, half by its value.
func (p *Predictor) anything(o *outlook) []float64 {
	c := o.column
	low, high := span(c.key.Mode, rangeTop(c.meter, c.key.Mode, p.topVolts()))
	share := func(g float64) float64 { return (g - low) / (high - low) }
	if c.key.Mode == meter.VoltsDC || c.key.Mode == meter.Junction {
		top := unscaled(c.key.Mode, high)
		share = func(g float64) float64 {
			return ((g-low)/(high-low) + (unscaled(c.key.Mode, g)+top)/(2*top)) / 2
		}
	}
	row := make([]float64, len(o.edges)+2)
	below := 0.0
	for i := range o.edges {
		up := math.Max(below, math.Min(share(o.edges[i]), 1))
		row[i] = (1 - elsewhereOver) * (up - below)
		below = up
	}
	row[len(o.edges)] = (1 - elsewhereOver) * (1 - below)
	row[len(row)-1] = elsewhereOver
	return row
}
