package diagnosis

import (
	"math"
	"slices"

	"foilside/internal/meter"
	"foilside/internal/num/bayes"
)

// misread is the chance that one reading is misread or taken at the wrong
// place. Common practice: 2 % of values misread, 3 % of leads misplaced, of
// which some land where it makes no difference.
const misread = 0.04

// misreadTwice is the chance of that after the reading was repeated and agreed:
// one slip in a hundred leads to the same value again: the leads have dozens of
// other places to be, and the display other figures. Tuned by judgement.
const misreadTwice = misread / 100

// elsewhereOver is the chance that a reading which tells nothing is over range.
const elsewhereOver = 0.2

// test is one reading ready to be compared: a value, or one of two outcomes
// (over range or not, joined or not).
type test struct {
	column    *column
	plain     func(c cell) float64 // chance of the outcome; nil for a value
	g         float64              // on the scale
	noise     float64
	elsewhere float64 // log density of a reading that tells nothing
	misread   float64 // chance that it is one
	yes       bool    // of a plain one: which of the two outcomes it was
}

// tests makes readings ready, and says for each reading which test it went
// into: a reading that was repeated and agreed counts once, since what the
// model leaves out is the same both times, but hardly can be a slip.
func (p *Predictor) tests(readings []Reading, columns []*column) (tests []test, of []int) {
	of = make([]int, len(readings))
	for i, t := range p.single(readings, columns) {
		of[i] = slices.IndexFunc(tests, t.repeats)
		if of[i] >= 0 {
			tests[of[i]].g = (tests[of[i]].g + t.g) / 2
			tests[of[i]].misread = misreadTwice
			continue
		}
		of[i] = len(tests)
		tests = append(tests, t)
	}
	return tests, of
}

// repeats tells whether two outcomes of one check agree.
func (t test) repeats(other test) bool {
	switch {
	case t.column != other.column || (t.plain == nil) != (other.plain == nil):
		return false
	case t.plain != nil:
		return t.yes == other.yes
	}
	return math.Abs(t.g-other.g) < 2*t.noise
}

// single makes every reading ready by itself.
func (p *Predictor) single(readings []Reading, columns []*column) []test {
	top := p.topVolts()
	out := make([]test, len(readings))
	for i, r := range readings {
		m := columns[i].meter
		t := test{column: columns[i], misread: misread}
		low, high := span(r.Mode, rangeTop(m, r.Mode, top))
		t.elsewhere = math.Log((1 - elsewhereOver) / (high - low))
		switch {
		case r.Mode == meter.Continuity:
			t.yes = !r.Overrange && r.Value < m.JoinedBelow
			t.plain = chanceJoined(columns[i], t.yes)
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

// Leakages of boards and junctions, which no part list knows, are taken as
// anything from 10 MΩ to 10 GΩ. Common practice.
const (
	leastLeak = 10e6
	leakRange = 1e3
)

// leaks tells a resistance so high that a leakage alone may make it.
func (t test) leaks() bool {
	return t.column.key.Mode == meter.Ohms && t.g > scaled(meter.Ohms, leastLeak)
}

// beyond is the log density of a value where over range is foretold.
func (t test) beyond() float64 {
	if t.leaks() {
		return -math.Log(math.Log(leakRange))
	}
	return t.elsewhere + math.Log(t.misread)
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

// weigh is the likelihood of the readings under a stratum by its first draws.
func (p *Predictor) weigh(s stratum, tests []test, draws int) weighed {
	out := weighed{odd: make([]float64, len(tests))}
	draw := make([]float64, draws)
	for from := 0; from < len(tests); from += block {
		part := tests[from:min(from+block, len(tests))]
		w := p.weighBlock(s, part, draws)
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
func (p *Predictor) weighBlock(s stratum, tests []test, draws int) weighed {
	var x, noise, elsewhere, slips []float64
	var index []int
	extra := make([]float64, draws)
	points := make([][]float64, draws)
	out := weighed{odd: make([]float64, len(tests))}
	for i, t := range tests {
		if t.plain != nil {
			out.odd[i] = p.plainly(s, t, extra)
			continue
		}
		values, ok := p.values(s, t, extra)
		switch {
		case !ok && p.sample(t.column, s, 0).kind == failed: // nothing is foretold
			out.log += t.elsewhere
			continue
		case !ok: // over range in every draw: a leakage, or a slip
			out.log += t.beyond()
			if !t.leaks() {
				out.odd[i] = 1
			}
			continue
		}
		x, noise, elsewhere = append(x, t.g), append(noise, math.Hypot(t.noise, math.Hypot(bend(t.column, s), softness(t.column, s)))), append(elsewhere, t.elsewhere)
		slips, index = append(slips, t.misread), append(index, i)
		for k := range points {
			points[k] = append(points[k], values[k])
		}
	}
	cloud, err := bayes.NewCloud(points, nil, noise)
	if err != nil { // shapes agree and noise is positive: cannot happen
		return out
	}
	fit := cloud.Fit(x, extra)
	robust := bayes.WithOutlier(fit, elsewhere, slips)
	out.log += robust.Log
	out.draw = fit.Draw
	for j, i := range index {
		out.odd[i] = robust.Outlier[j]
	}
	return out
}

// plainly adds the log likelihood of one of two outcomes to every draw, and
// gives the chance that it is a slip.
func (p *Predictor) plainly(s stratum, t test, extra []float64) (odd float64) {
	slip := t.misread * math.Exp(t.elsewhere)
	var sum float64
	for k := range extra {
		chance := (1-t.misread)*t.plain(p.sample(t.column, s, k)) + slip
		extra[k] += math.Log(chance)
		sum += chance
	}
	return slip * float64(len(extra)) / sum
}

// values are a reading's values in every draw on its scale. Draws that are
// over range or don't settle get the others' mean, and their log likelihood
// is added to extra. ok is false where no draw has a value.
func (p *Predictor) values(s stratum, t test, extra []float64) (values []float64, ok bool) {
	values = make([]float64, len(extra))
	var sum, n float64
	for k := range values {
		c := p.sample(t.column, s, k)
		values[k] = math.NaN()
		if c.kind == measured {
			values[k] = c.g
			sum, n = sum+c.g, n+1
		}
	}
	if n == 0 {
		return nil, false
	}
	for k, v := range values {
		if math.IsNaN(v) {
			values[k] = sum / n
			extra[k] += t.beyond()
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
