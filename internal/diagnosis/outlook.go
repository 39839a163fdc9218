package diagnosis

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"foilside/internal/meter"
	"foilside/internal/num/bayes"
)

// outlook is what a check may come to under what is still believed: the
// outcomes as ranges of the reading, and the chance of each under every
// suspect.
type outlook struct {
	column *column
	edges  []float64   // between the ranges, rising, on the scale
	rows   [][]float64 // by active suspect: chance of each range, then of over range
	good   []float64   // the same in a good unit
	other  []float64   // the same under a fault that is not in the list
	bits   float64     // expected information
	top    float64     // greatest value foretold, unscaled
}

// active is what of the belief is worth planning for.
type active struct {
	faults []int     // suspects, most likely first
	prob   []float64 // of each
	strata []int     // of those suspects that carry weight
	rungs  []int     // that those strata need
	row    []int     // by stratum of strata: index into faults
	other  float64   // probability of a fault that is not in the list

	strays    []int // those of such faults that are definite and likely
	strayProb []float64
}

const (
	// worthPlanning is the probability below which a suspect is left out of
	// planning. It comes back with the next reading that favours it.
	worthPlanning = 1e-4
	mostRanges    = 40
)

// outlooks is what every column may come to, with the first n draws.
func (p *Predictor) outlooks(columns []*column, b *belief, a active, n int) []outlook {
	out := make([]outlook, len(columns))
	p.each(len(columns), func(i int) { out[i] = p.outlook(columns[i], b, a, n) })
	return out
}

// each does n things that don't touch one another, on all workers.
func (p *Predictor) each(n int, do func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(p.opt.Workers, n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wg.Wait()
}

// weightedValue is one simulated value with its probability.
type weightedValue struct{ g, weight float64 }

func (p *Predictor) outlook(c *column, b *belief, a active, n int) outlook {
	o := outlook{column: c, rows: make([][]float64, len(a.faults))}
	values := make([]weightedValue, 0, len(a.strata)*n)
	for _, s := range a.strata {
		for k := range n {
			if v := p.sample(c, b.strata[s], k); v.kind == measured {
				values = append(values, weightedValue{v.g, b.stratum[s] * (b.draw[s][k] + 1e-9)})
				o.top = math.Max(o.top, math.Abs(v.g))
			}
		}
	}
	o.top = unscaled(c.key.Mode, o.top)
	o.edges = rangesOf(values, c)
	for i := range o.rows {
		o.rows[i] = make([]float64, len(o.edges)+2)
	}
	for i, s := range a.strata {
		p.spread(&o, o.rows[a.row[i]], s, b, n)
	}
	for _, row := range o.rows {
		normalise(row)
	}
	p.spreadGood(&o, n)
	o.other = p.otherwise(&o, a)
	o.bits = bayes.Information(append(slices.Clip(a.prob), a.other), append(slices.Clip(o.rows), o.other))
	return o
}

// spread adds a stratum's outcomes to a row. Each draw is widened by the
// noise of the reading and by a share of the draws' own scatter, as in
// bayes.Cloud.
func (p *Predictor) spread(o *outlook, row []float64, s int, b *belief, n int) {
	var total float64
	for k := range n {
		total += b.draw[s][k] + 1e-9
	}
	weights := make([]float64, n)
	for k := range weights {
		weights[k] = b.stratum[s] * (b.draw[s][k] + 1e-9) / total
	}
	p.spreadDraws(o, row, b.strata[s], weights)
}

// spreadGood is a good unit's row, whatever the readings made of its draws.
func (p *Predictor) spreadGood(o *outlook, n int) {
	o.good = make([]float64, len(o.edges)+2)
	p.spreadDraws(o, o.good, p.healthy, slices.Repeat([]float64{1}, n))
	normalise(o.good)
}

func (p *Predictor) spreadDraws(o *outlook, row []float64, s stratum, weights []float64) {
	const (
		share = 0.6  // Silverman's bandwidth for a few draws of one value
		alone = 0.05 // scatter taken for a single draw: a usual tolerance
	)
	cells := make([]cell, len(weights))
	var sum, squares, count float64
	for k := range cells {
		cells[k] = p.sample(o.column, s, k)
		if cells[k].kind == measured {
			sum, squares, count = sum+cells[k].g, squares+cells[k].g*cells[k].g, count+1
		}
	}
	scatter := alone
	if count > 1 {
		scatter = math.Sqrt(math.Max(0, (squares-sum*sum/count)/(count-1)))
	}
	scatter = math.Hypot(share*scatter, softness(o.column, s))
	for k, c := range cells {
		w := weights[k]
		switch c.kind {
		case measured:
			o.smear(row, c.g, math.Hypot(o.column.noiseAt(c.g), scatter), w)
		case over:
			row[len(row)-1] += w
		default:
			for i := range row {
				row[i] += w / float64(len(row))
			}
		}
	}
}

// smear adds a normal distribution to the ranges that it reaches.
func (o *outlook) smear(row []float64, g, sd, w float64) {
	const reach = 3.5 // standard deviations
	at, _ := slices.BinarySearch(o.edges, g-reach*sd)
	below := 0.0
	for i := at; i < len(o.edges) && o.edges[i] < g+reach*sd; i++ {
		up := bayes.NormalCDF((o.edges[i] - g) / sd)
		row[i] += w * (up - below)
		below = up
		at = i + 1
	}
	row[at] += w * (1 - below)
}

func normalise(row []float64) {
	var sum float64
	for _, v := range row {
		sum += v
	}
	if sum <= 0 {
		for i := range row {
			row[i] = 1 / float64(len(row))
		}
		return
	}
	for i := range row {
		row[i] /= sum
	}
}

// rangesOf cuts the values into ranges that a reading can tell apart: at gaps
// wider than its noise, and elsewhere so that no range holds much.
func rangesOf(values []weightedValue, c *column) []float64 {
	if len(values) == 0 {
		return nil
	}
	slices.SortFunc(values, func(a, b weightedValue) int {
		switch {
		case a.g < b.g:
			return -1
		case a.g > b.g:
			return 1
		}
		return 0
	})
	var total float64
	for _, v := range values {
		total += v.weight
	}
	var edges []float64
	last, held := values[0].g, 0.0
	for i := 1; i < len(values) && len(edges) < mostRanges; i++ {
		held += values[i-1].weight
		gap := values[i].g - values[i-1].g
		sd := c.noiseAt(values[i].g)
		wide := values[i].g - last
		full := held > total/(mostRanges/2) && wide > 1.5*sd
		if gap > 3*sd || full && gap > 0 {
			edges = append(edges, values[i].g-gap/2)
			last, held = values[i].g, 0
		}
	}
	return edges
}

// noiseTable is a column's noise over its scale, tabulated.
type noiseTable struct {
	low, step float64
	sd        [64]float64
}

// noiseAt is the standard deviation of the reading at a place of the scale.
func (c *column) noiseAt(g float64) float64 {
	t := &c.noise
	i := int((g - t.low) / t.step)
	return t.sd[min(max(i, 0), len(t.sd)-1)]
}

// tabulate fills the noise over the scale.
func tabulate(m meter.Meter, mode meter.Mode) noiseTable {
	low, high := span(mode, rangeTop(m, mode, math.Inf(1)))
	t := noiseTable{low: low, step: (high - low) / 64}
	for i := range t.sd {
		v := unscaled(mode, low+(float64(i)+0.5)*t.step)
		t.sd[i] = noise(mode, v, m.MaxError(mode, v))
	}
	return t
}

// focus picks what of the belief is worth planning for.
func (p *Predictor) focus(b *belief) active {
	a := active{other: b.outside, strays: b.likelyStrays()}
	for _, i := range a.strays {
		a.strayProb = append(a.strayProb, b.strays[i])
	}
	least := worthPlanning * (1 - b.outside)
	for f, v := range b.fault {
		if v >= least {
			a.faults = append(a.faults, f)
		}
	}
	slices.SortStableFunc(a.faults, func(x, y int) int {
		switch {
		case b.fault[x] > b.fault[y]:
			return -1
		case b.fault[x] < b.fault[y]:
			return 1
		}
		return 0
	})
	place := map[int]int{}
	for i, f := range a.faults {
		place[f] = i
		a.prob = append(a.prob, b.fault[f])
	}
	used := map[int]bool{healthyRung: true}
	a.rungs = append(a.rungs, healthyRung)
	for s, st := range b.strata {
		row, ok := place[st.fault]
		if !ok || b.stratum[s] < least/10 {
			continue
		}
		a.strata, a.row = append(a.strata, s), append(a.row, row)
		for _, r := range []int{st.low, st.high} {
			if !used[r] {
				used[r] = true
				a.rungs = append(a.rungs, r)
			}
		}
	}
	return a
}
