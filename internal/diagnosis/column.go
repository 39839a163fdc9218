package diagnosis

import (
	"context"
	"math"
	"sync"
	"sync/atomic"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// outcomeKind says what a simulated reading came to.
type outcomeKind uint8

const (
	unasked  outcomeKind = iota // not simulated yet
	measured                    // a value, on the mode's scale
	over                        // beyond the meter's range
	failed                      // the circuit does not settle: nothing is foretold
)

// cell is one simulated reading of one rung and draw.
type cell struct {
	g    float64
	kind outcomeKind
}

// columnKey names a check with the meter that takes it, by its number among
// the predictor's meters.
type columnKey struct {
	Check
	meter int
}

// column is one check over every rung and draw.
type column struct {
	key   columnKey
	meter meter.Meter
	noise noiseTable
	cells [][]cell // by rung, then draw
}

func (p *Predictor) column(k columnKey) *column {
	c, ok := p.columns[k]
	if !ok {
		m := p.meters[k.meter]
		c = &column{key: k, meter: m, noise: tabulate(m, k.Mode), cells: make([][]cell, len(p.rungs))}
		for i := range c.cells {
			c.cells[i] = make([]cell, len(p.draws))
		}
		p.columns[k] = c
	}
	return c
}

// task is the checks of one electrical state.
type task struct {
	state   circuit.State
	key     string
	start   *sim.Solution
	columns []*column
}

// fill simulates the checks over the rungs for the first n draws, leaving out
// what is known already. Results do not depend on the number of workers, nor
// on what was asked before: every search starts from the nominal good unit.
//
// Errors: the context's; a check at a net or state that is gone.
func (p *Predictor) fill(ctx context.Context, columns []*column, rungs []int, n int, progress func(float64)) error {
	tasks, err := p.tasks(ctx, columns)
	if err != nil {
		return err
	}
	var next, done atomic.Int64
	var wg sync.WaitGroup
	var mu sync.Mutex
	var first error
	for range min(p.opt.Workers, len(rungs)) {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(rungs) {
					return
				}
				err := p.fillRung(ctx, tasks, rungs[i], n)
				mu.Lock()
				if err != nil && first == nil {
					first = err
				}
				stop := first != nil
				if progress != nil {
					progress(float64(done.Add(1)) / float64(len(rungs)))
				}
				mu.Unlock()
				if stop {
					return
				}
			}
		})
	}
	wg.Wait()
	return first
}

// tasks sorts the columns by electrical state, in order of appearance.
func (p *Predictor) tasks(ctx context.Context, columns []*column) ([]*task, error) {
	var out []*task
	at := map[string]*task{}
	for _, c := range columns {
		s, key, err := p.electrical(c.key.Mode, c.key.State)
		if err != nil {
			return nil, err
		}
		t, ok := at[key]
		if !ok {
			start, err := p.start(ctx, s, key)
			if err != nil {
				return nil, err
			}
			t = &task{state: s, key: key, start: start}
			at[key] = t
			out = append(out, t)
		}
		t.columns = append(t.columns, c)
	}
	return out, nil
}

func (p *Predictor) fillRung(ctx context.Context, tasks []*task, rung, n int) error {
	b := p.rungs[rung]
	for _, t := range tasks {
		in := p.instance(b, t.state, t.key)
		for k := range n {
			if err := p.fillDraw(ctx, t, in, rung, k); err != nil {
				return err
			}
		}
	}
	return nil
}

// fillDraw simulates the checks of one state that are not known yet.
func (p *Predictor) fillDraw(ctx context.Context, t *task, in *sim.Instance, rung, k int) error {
	var sol *sim.Solution
	for _, c := range t.columns {
		at := &c.cells[rung][k]
		if at.kind != unasked {
			continue
		}
		if in == nil {
			at.kind = failed
			continue
		}
		if sol == nil {
			var err error
			if sol, err = in.Solve(ctx, p.draws[k], t.start); err != nil {
				if !sim.IsRefusal(err) {
					return err
				}
				in = nil
				at.kind = failed
				continue
			}
		}
		var err error
		if *at, err = c.simulate(ctx, in, sol); err != nil {
			return err
		}
	}
	return nil
}

// simulate takes the reading in one solved circuit.
func (c *column) simulate(ctx context.Context, in *sim.Instance, sol *sim.Solution) (cell, error) {
	q := meter.Query{Mode: c.key.Mode, Red: sim.OnNet(c.key.Red), Black: sim.OnNet(c.key.Black)}
	r, err := c.meter.Read(ctx, in, sol, q)
	switch {
	case err != nil && sim.IsRefusal(err):
		return cell{kind: failed}, nil
	case err != nil:
		return cell{}, err
	case r.Overrange:
		return cell{kind: over}, nil
	}
	g := scaled(c.key.Mode, r.Value)
	if math.IsNaN(g) || math.IsInf(g, 0) {
		return cell{kind: failed}, nil
	}
	return cell{g: g, kind: measured}, nil
}

// sample is a stratum's reading in a draw: between its two rungs.
func (p *Predictor) sample(c *column, s stratum, k int) cell {
	low, high := c.cells[s.low][k], c.cells[s.high][k]
	u := p.within[k]
	switch {
	case s.low == s.high:
		return low
	case low.kind == measured && high.kind == measured:
		return cell{g: low.g + u*(high.g-low.g), kind: measured}
	case u < 0.5:
		return low
	}
	return high
}
