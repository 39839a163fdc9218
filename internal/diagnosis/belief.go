package diagnosis

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/meter"
	"foilside/internal/num/bayes"
)

// misread is the chance that one reading is misread or taken at the wrong
// place. Common practice, between the 2 % and 3 % of careful beginners.
const misread = 0.02

// elsewhereOver is the chance that a reading which tells nothing is over range.
const elsewhereOver = 0.2

// belief is what the evidence makes of the strata.
type belief struct {
	stratum []float64   // probability of each, with outside summing to 1
	draw    [][]float64 // by stratum: weight of each draw, summing to 1
	fault   []float64   // probability of each fault
	outside float64     // probability of a fault that is not in the list
	odd     []float64   // by reading: probability that it is misread
	unknown []Symptom   // words that carry no weight
	columns []*column   // of the readings
}

// infer weighs every stratum by the evidence.
func (p *Predictor) infer(ctx context.Context, ev Evidence) (*belief, error) {
	columns, err := p.evidenceColumns(ctx, ev)
	if err != nil {
		return nil, err
	}
	seen, unknown, err := p.symptomWeights(ctx, ev.Symptoms)
	if err != nil {
		return nil, err
	}
	b := &belief{unknown: unknown, columns: columns, draw: make([][]float64, len(p.strata)), odd: make([]float64, len(ev.Readings))}
	tests := p.tests(ev.Readings, columns)
	prior, likelihood := make([]float64, len(p.strata)+1), make([]float64, len(p.strata)+1)
	odd := make([][]float64, len(p.strata))
	var healthy int
	for i, s := range p.strata {
		w := p.weigh(s, tests)
		prior[i], likelihood[i] = s.logPrior, w.log+seen[i]
		b.draw[i], odd[i] = w.draw, w.odd
		if p.faults[s.fault].Name == None {
			healthy = i
		}
	}
	prior[len(p.strata)] = math.Log(p.opt.Priors.Outside)
	likelihood[len(p.strata)] = p.outside(p.strata[healthy], tests) + mean(seen)
	post, _ := bayes.Posterior(prior, likelihood)
	b.stratum, b.outside = post[:len(p.strata)], post[len(p.strata)]
	b.fault = make([]float64, len(p.faults))
	for i, s := range p.strata {
		b.fault[s.fault] += b.stratum[i]
		for r, v := range odd[i] {
			b.odd[r] += v * b.stratum[i]
		}
	}
	return b, nil
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
	return columns, p.fill(ctx, columns, p.all(), len(p.draws), nil)
}

// all lists every rung.
func (p *Predictor) all() []int {
	out := make([]int, len(p.rungs))
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

// test is one reading ready to be compared: a value, or one of two outcomes
// (over range or not, joined or not).
type test struct {
	column    *column
	plain     func(c cell) float64 // chance of the outcome; nil for a value
	g         float64              // on the scale
	noise     float64
	elsewhere float64 // log density of a reading that tells nothing
}

func (p *Predictor) tests(readings []Reading, columns []*column) []test {
	top := p.topVolts()
	out := make([]test, len(readings))
	for i, r := range readings {
		m := columns[i].meter
		t := test{column: columns[i]}
		low, high := span(r.Mode, rangeTop(m, r.Mode, top))
		t.elsewhere = math.Log((1 - elsewhereOver) / (high - low))
		switch {
		case r.Mode == meter.Continuity:
			t.plain = chanceJoined(columns[i], !r.Overrange && r.Value < m.JoinedBelow)
			t.elsewhere = math.Log(0.5)
		case r.Overrange:
			t.plain = func(c cell) float64 { return chanceOver(columns[i], c) }
			t.elsewhere = math.Log(elsewhereOver)
		default:
			t.g = scaled(r.Mode, r.Value)
			t.noise = noise(r.Mode, r.Value, m.MaxError(r.Mode, r.Value))
		}
		out[i] = t
	}
	return out
}

// weighed is what the readings say of one stratum.
type weighed struct {
	log  float64
	draw []float64
	odd  []float64
}

// block is how many readings are taken together with their correlations. More
// would cost cubic time and gain nothing.
const block = 24

// weigh is the likelihood of the readings under a stratum.
func (p *Predictor) weigh(s stratum, tests []test) weighed {
	out := weighed{odd: make([]float64, len(tests))}
	draw := make([]float64, len(p.draws))
	for from := 0; from < len(tests); from += block {
		part := tests[from:min(from+block, len(tests))]
		w := p.weighBlock(s, part)
		out.log += w.log
		for k := range draw {
			draw[k] += w.draw[k]
		}
		copy(out.odd[from:], w.odd)
	}
	norm := bayes.LogSumExp(draw)
	for k, v := range draw {
		draw[k] = math.Exp(v - norm)
	}
	out.draw = draw
	return out
}

// weighBlock weighs a few readings; its draw weights are logarithms.
func (p *Predictor) weighBlock(s stratum, tests []test) weighed {
	var x, noise, elsewhere []float64
	var index []int
	extra := make([]float64, len(p.draws))
	points := make([][]float64, len(p.draws))
	out := weighed{odd: make([]float64, len(tests))}
	for i, t := range tests {
		values, ok := p.values(s, t, extra)
		switch {
		case t.plain != nil:
			continue
		case !ok: // over range in every draw, so the value must be a slip
			out.log += t.elsewhere + math.Log(misread)
			out.odd[i] = 1
			continue
		}
		x, noise, elsewhere, index = append(x, t.g), append(noise, t.noise), append(elsewhere, t.elsewhere), append(index, i)
		for k := range points {
			points[k] = append(points[k], values[k])
		}
	}
	cloud, err := bayes.NewCloud(points, nil, noise)
	if err != nil { // shapes agree and noise is positive: cannot happen
		return out
	}
	fit := cloud.Fit(x, extra)
	robust := bayes.WithOutlier(fit, elsewhere, misread)
	out.log += robust.Log
	out.draw = fit.Draw
	for j, i := range index {
		out.odd[i] = robust.Outlier[j]
	}
	return out
}

// values are a reading's values in every draw on its scale. Draws that are
// over range or don't settle get the others' mean, and their log likelihood
// is added to extra; so is that of an over-range reading. ok is false where
// no draw has a value.
func (p *Predictor) values(s stratum, t test, extra []float64) (values []float64, ok bool) {
	values = make([]float64, len(p.draws))
	var sum, n float64
	for k := range values {
		c := p.sample(t.column, s, k)
		if t.plain != nil {
			extra[k] += math.Log((1-misread)*t.plain(c) + misread*math.Exp(t.elsewhere))
			continue
		}
		switch c.kind {
		case measured:
			values[k] = c.g
			sum, n = sum+c.g, n+1
		default:
			values[k] = math.NaN()
		}
	}
	if n == 0 {
		return nil, false
	}
	for k, v := range values {
		if math.IsNaN(v) {
			values[k] = sum / n
			extra[k] += t.elsewhere + math.Log(misread)
		}
	}
	return values, true
}

// chanceOver is the chance that a simulated outcome reads over range on the
// bench: near the top of the range, where leakages decide, either may come.
func chanceOver(col *column, c cell) float64 {
	switch c.kind {
	case over:
		return 0.98
	case failed:
		return elsewhereOver
	}
	mode := col.key.Mode
	top := scaled(mode, rangeTop(col.meter, mode, math.Inf(1)))
	width := 0.4 // of the ohms scale: half as much again
	if !inOhms(mode) {
		width = 0.05
	}
	return bayes.NormalCDF((c.g - top) / width)
}

// chanceJoined is the chance that a continuity check says joined, or not.
func chanceJoined(col *column, joined bool) func(c cell) float64 {
	limit := scaled(meter.Continuity, col.meter.JoinedBelow)
	const width = 0.3 // of the ohms scale: thresholds of meters differ
	return func(c cell) float64 {
		yes := 0.5
		switch c.kind {
		case over:
			yes = 0.01
		case measured:
			yes = bayes.NormalCDF((limit - c.g) / width)
		}
		if joined {
			return yes
		}
		return 1 - yes
	}
}

// outside is the likelihood of a fault that is not in the list: any reading
// is as in a good unit or anything.
func (p *Predictor) outside(healthy stratum, tests []test) float64 {
	var log float64
	for i := range tests {
		w := p.weighBlock(healthy, tests[i:i+1])
		log += bayes.LogSumExp([]float64{math.Log(0.5) + w.log, math.Log(0.5) + tests[i].elsewhere})
	}
	return log
}

// topVolts is the greatest voltage that a reading that tells nothing may show.
func (p *Predictor) topVolts() float64 {
	top := 1.0
	for _, part := range p.circuit.Parts {
		if v, ok := part.Amount("voltage"); ok && isSource(part.Kind) {
			top += math.Abs(v)
		}
	}
	return top
}

// rangeTop is the greatest value that the meter shows in a mode, where volts
// are no more than the sources give.
func rangeTop(m meter.Meter, mode meter.Mode, volts float64) float64 {
	switch mode {
	case meter.Ohms:
		return m.HighestOhms
	case meter.Continuity:
		return m.OhmsRanges[0]
	case meter.Junction:
		return m.JunctionLimit
	}
	return math.Min(volts, m.Ranges[len(m.Ranges)-1])
}
