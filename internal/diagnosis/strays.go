package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"foilside/internal/circuit"
	"foilside/internal/num/bayes"
	"foilside/internal/sim"
)

// A stray is something definite that is not in the list of faults: a short
// between nets that share no part, a part that was put in turned, a lead on
// the wrong net, a net that was traced wrongly. Nothing of the sort is called
// a suspect; but where one explains the readings better than any suspect does,
// the answer says that it lies outside the list, and names it.

// stray is one of them.
type stray struct {
	text  string
	nets  []circuit.NetID // of a bridge
	rungs []rung          // mild to severe; one where it has one severity
}

// Beyond is a stray that explains the readings.
type Beyond struct {
	Text        string          `json:"text"`
	Nets        []circuit.NetID `json:"nets,omitempty"`
	Probability float64         `json:"probability"`
}

const (
	// definite is the share of the faults outside the list that strays make up.
	definite = 0.5
	// mostStrays are looked at, those between near nets first.
	mostStrays = 400
	// strayScatter is the deviation that tolerances give a reading at least.
	strayScatter = 0.03
	// planned strays take part in choosing the next reading.
	plannedStrays = 8
)

// straysOf lists the strays of a circuit.
func (p *Predictor) straysOf() []stray {
	var out []stray
	out = append(out, p.turned()...)
	for _, pair := range p.nearest() {
		if len(out) >= mostStrays {
			break
		}
		if !p.shareSmallPart(pair[0], pair[1]) {
			out = append(out, p.bridgeOf(pair))
		}
	}
	return out
}

// bridgeOf is a short from a piece of wire to a few hundred ohms.
func (p *Predictor) bridgeOf(pair [2]circuit.NetID) stray {
	s := stray{text: fmt.Sprintf("%s and %s joined: a bridge of solder, or one net that was traced as two", pair[0], pair[1]), nets: pair[:]}
	for _, ohms := range []float64{0.3, 10, 300} {
		s.rungs = append(s.rungs, rung{fmt.Sprintf("stray %s %s %g", pair[0], pair[1], ohms), sim.Variant{sim.Bridge(pair[0], pair[1], ohms)}, nil})
	}
	return s
}

// shareSmallPart tells whether a part of three leads at most is on both nets:
// a short between them is a fault of that part.
func (p *Predictor) shareSmallPart(a, b circuit.NetID) bool {
	for _, part := range p.circuit.Parts {
		if len(part.Leads) > 3 {
			continue
		}
		onA, onB := false, false
		for _, l := range part.Leads {
			onA, onB = onA || l.Net == a, onB || l.Net == b
		}
		if onA && onB {
			return true
		}
	}
	return false
}

// turned are parts put in the wrong way round.
func (p *Predictor) turned() []stray {
	var out []stray
	for i, part := range p.circuit.Parts {
		var swaps [][2]int
		switch part.Kind {
		case circuit.Diode, circuit.LED, circuit.Zener:
			swaps = [][2]int{{0, 1}}
		case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.SCR:
			swaps = [][2]int{{0, 1}, {0, 2}, {1, 2}}
		}
		for _, w := range swaps {
			a, b := part.Leads[w[0]], part.Leads[w[1]]
			if a.Net == b.Net {
				continue
			}
			words := fmt.Sprintf("%s the other way round", part.Ref)
			if len(part.Leads) > 2 {
				words = fmt.Sprintf("%s with %s and %s exchanged", part.Ref, a.Name, b.Name)
			}
			out = append(out, stray{text: words, rungs: []rung{{"turned " + words, nil, func() *circuit.Circuit {
				c := p.circuit.Clone()
				c.Parts[i].Leads[w[0]].Net, c.Parts[i].Leads[w[1]].Net = b.Net, a.Net
				return c
			}}}})
		}
	}
	return out
}

// strayColumn is one check over every rung of every stray, the nominal unit.
type strayColumn [][]cell

// weighStrays is the log likelihood of the readings under every stray.
//
// Errors: the context's.
func (p *Predictor) weighStrays(ctx context.Context, tests []test) ([]float64, error) {
	if p.strays == nil {
		p.strays = p.straysOf()
	}
	columns := make([]*column, len(tests))
	for i, t := range tests {
		columns[i] = t.column
	}
	all := make([]int, len(p.strays))
	for i := range all {
		all[i] = i
	}
	if err := p.fillStrays(ctx, columns, all); err != nil {
		return nil, err
	}
	scatter := make([]float64, len(tests))
	for i, t := range tests {
		_, deviation, _ := p.spreadOf(t.column, p.healthy)
		scatter[i] = math.Max(deviation, strayScatter)
	}
	out := make([]float64, len(p.strays))
	for s := range p.strays {
		out[s] = p.weighStray(s, tests, scatter)
	}
	return out, nil
}

// weighStray takes a stray's severities as equally likely.
func (p *Predictor) weighStray(s int, tests []test, scatter []float64) float64 {
	const pieces = 3 // of the way between two rungs
	n := len(p.strays[s].rungs)
	if n == 1 {
		return p.weighSeverity(s, 0, 0, tests, scatter)
	}
	var terms []float64
	for low := range n - 1 {
		for k := range pieces {
			terms = append(terms, p.weighSeverity(s, low, (float64(k)+0.5)/pieces, tests, scatter))
		}
	}
	return bayes.LogSumExp(terms) - math.Log(float64(len(terms)))
}

// weighSeverity is the log likelihood at a place between two rungs.
func (p *Predictor) weighSeverity(s, low int, u float64, tests []test, scatter []float64) float64 {
	var sum float64
	for i, t := range tests {
		cells := p.strayCells[t.column][s]
		c, crooked := cells[low], 0.0
		if low+1 < len(cells) {
			if next := cells[low+1]; c.kind == measured && next.kind == measured {
				crooked = unbent * math.Abs(next.g-c.g)
				c.g += u * (next.g - c.g)
			} else if u > 0.5 {
				c = next
			}
		}
		sum += math.Log((1-t.misread)*chanceUnder(t, c, math.Hypot(scatter[i], crooked)) + t.misread*math.Exp(t.elsewhere))
	}
	return sum
}

// chanceUnder is the density of a reading where a cell is foretold.
func chanceUnder(t test, c cell, scatter float64) float64 {
	switch {
	case t.plain != nil:
		return t.plain(c)
	case c.kind == failed:
		return math.Exp(t.elsewhere)
	case c.kind != measured:
		return math.Exp(t.beyond())
	}
	sd := math.Hypot(t.noise, scatter)
	z := (t.g - c.g) / sd
	return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
}

// fillStrays simulates checks of the nominal unit under strays, leaving out
// what is known.
func (p *Predictor) fillStrays(ctx context.Context, columns []*column, strays []int) error {
	if len(strays) == 0 {
		return nil
	}
	tasks, err := p.tasks(ctx, columns)
	if err != nil {
		return err
	}
	for _, c := range columns {
		if p.strayCells[c] == nil {
			p.strayCells[c] = make(strayColumn, len(p.strays))
		}
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	var once sync.Once
	var first error
	for range min(p.opt.Workers, len(strays)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(strays); i = int(next.Add(1)) - 1 {
				if err := p.fillStray(ctx, tasks, strays[i]); err != nil {
					once.Do(func() { first = err })
					return
				}
			}
		})
	}
	wg.Wait()
	return first
}

func (p *Predictor) fillStray(ctx context.Context, tasks []*task, s int) error {
	for _, t := range tasks {
		var wanted []*column
		for _, c := range t.columns {
			if p.strayCells[c][s] == nil {
				wanted = append(wanted, c)
			}
		}
		if len(wanted) == 0 {
			continue
		}
		part := *t
		part.columns = wanted
		rows := make([][]cell, len(wanted))
		for _, r := range p.strays[s].rungs {
			cells, err := p.readNominal(ctx, &part, r)
			if err != nil {
				return err
			}
			for i := range rows {
				rows[i] = append(rows[i], cells[i])
			}
		}
		for i, c := range wanted {
			p.strayCells[c][s] = rows[i]
		}
	}
	return nil
}

// readNominal takes a task's readings of the nominal unit with a rung's change.
func (p *Predictor) readNominal(ctx context.Context, t *task, r rung) ([]cell, error) {
	b := newBench(r)
	out := make([]cell, len(t.columns))
	for i := range out {
		out[i].kind = failed
	}
	in, err := p.build(b, t.state)
	if err != nil || t.motion != still {
		return out, nil // a contradiction of its own, or too long to follow: nothing is foretold
	}
	sol, err := in.Solve(ctx, nil, b.from(t.start))
	if err != nil {
		if sim.IsRefusal(err) {
			return out, nil
		}
		return nil, err
	}
	tangent, smooth := in.Tangent(sol)
	for i, c := range t.columns {
		if smooth {
			r, ok, err := c.meter.Glance(tangent, c.query())
			if err != nil {
				return nil, err
			}
			if ok {
				out[i] = cellOf(c.key.Mode, r, nil)
			}
		}
	}
	for i, c := range t.columns {
		if out[i].kind != failed {
			continue
		}
		r, err := c.meter.Read(ctx, in, sol, c.query())
		if err != nil && !sim.IsRefusal(err) {
			return nil, err
		}
		out[i] = cellOf(c.key.Mode, r, err)
	}
	return out, nil
}

// build makes a rung's equations in a state.
func (p *Predictor) build(b *bench, s circuit.State) (*sim.Instance, error) {
	model := p.model
	if b.altered != nil {
		var err error
		if model, err = sim.Compile(b.altered(), sim.Options{Shelf: p.opt.Shelf}); err != nil {
			return nil, err
		}
		for _, n := range p.model.Nets() {
			if !slices.Contains(model.Nets(), n) {
				return nil, fmt.Errorf("nothing is left on net %s", n)
			}
		}
	}
	return model.Instance(s, b.variant)
}

// likelyStrays are those that carry most of the belief, likeliest first.
func (b *belief) likelyStrays() []int {
	var out []int
	for i, v := range b.strays {
		if v > leastLeading {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(x, y int) int { return cmp.Compare(b.strays[y], b.strays[x]) })
	return out[:min(len(out), plannedStrays)]
}

// beyond lists what outside the list explains the readings: strays, or else
// pairs of faults.
func (s *study) beyond() []Beyond {
	out := []Beyond{}
	const least = 0.05
	for _, i := range s.b.likelyStrays() {
		if s.b.strays[i] >= least {
			one := s.p.strays[i]
			out = append(out, Beyond{one.text, one.nets, s.b.strays[i]})
		}
	}
	return append(out, s.double...)
}
