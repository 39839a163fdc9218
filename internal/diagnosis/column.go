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
	soft float32 // deviation by what leaks unseen, in volts; told by the first draw
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

// taskKey tells tasks apart: a unit whose sources are all off in a state may
// be read with volts all the same.
type taskKey struct {
	electrical string
	powered    bool
}

func (p *Predictor) column(k columnKey) *column {
	c, ok := p.columns[k]
	if !ok {
		m := p.meters[k.meter]
		c = &column{key: k, meter: m, noise: tabulate(m, k.Mode), cells: make([][]cell, len(p.rungs))}
		// One piece for all rungs: there are very many.
		n := p.opt.Draws
		store := make([]cell, len(c.cells)*n)
		for i := range c.cells {
			c.cells[i] = store[i*n : (i+1)*n : (i+1)*n]
		}
		p.columns[k] = c
	}
	return c
}

// task is the checks of one electrical state.
type task struct {
	volts   float64 // that may stand about
	motion  motion  // with power
	state   circuit.State
	key     string
	start   *sim.Solution
	draws   []sim.Draw
	columns []*column
}

// fill simulates the checks over the rungs for the first n draws, leaving out
// what is known already. Results do not depend on the number of workers, nor
// on what was asked before: every search starts from the rung's nominal
// unit, and that one from the good unit's.
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
	at := map[taskKey]*task{}
	for _, c := range columns {
		s, key, err := p.electrical(c.key.Mode, c.key.State)
		if err != nil {
			return nil, err
		}
		which := taskKey{key, c.key.Mode.Powered()}
		t, ok := at[which]
		if !ok {
			start, err := p.start(ctx, s, key)
			if err != nil {
				return nil, err
			}
			m := still
			if which.powered {
				if m, err = p.motion(ctx, s, key); err != nil {
					return nil, err
				}
			}
			t = &task{volts: p.topVolts(), motion: m, state: s, key: key, start: start, draws: p.cold}
			if which.powered {
				t.draws = p.draws
			}
			at[which] = t
			out = append(out, t)
		}
		t.columns = append(t.columns, c)
	}
	return out, nil
}

func (p *Predictor) fillRung(ctx context.Context, tasks []*task, rung, n int) error {
	b := p.rungs[rung]
	for _, t := range tasks {
		if !t.wants(rung, n) {
			continue
		}
		w := &reader{task: t, in: p.instance(b, t.state, t.key), bench: b, rung: rung}
		if t.motion != still {
			if err := w.follow(ctx, n); err != nil {
				return err
			}
			continue
		}
		if err := w.settle(ctx); err != nil {
			return err
		}
		for k := range n {
			if err := w.draw(ctx, k, t.draws[k]); err != nil {
				return err
			}
		}
	}
	return nil
}

// wants makes room for n draws of a rung and tells whether any is not known.
func (t *task) wants(rung, n int) bool {
	wanted := false
	for _, c := range t.columns {
		if more := n - len(c.cells[rung]); more > 0 {
			c.cells[rung] = append(c.cells[rung], make([]cell, more)...)
		}
		for _, one := range c.cells[rung][:n] {
			wanted = wanted || one.kind == unasked
		}
	}
	return wanted
}

// reader takes the readings of one rung in one electrical state.
type reader struct {
	task  *task
	in    *sim.Instance // nil: nothing can be foretold
	bench *bench
	rung  int
	start *sim.Solution // the rung with every part nominal
}

// settle finds the rung's own start. A fault often moves the circuit far from
// the good unit, but its draws lie close together. Where even this does not
// settle, no draw is tried.
func (w *reader) settle(ctx context.Context) error {
	if w.in == nil {
		return nil
	}
	var err error
	w.start, err = w.in.Solve(ctx, nil, w.bench.from(w.task.start))
	if err != nil && sim.IsRefusal(err) {
		w.in = nil
		return nil
	}
	if err == nil && !easy(w.start.Road()) {
		w.bench.hard[w.task.key] = -1
	}
	return err
}

// draw simulates the checks that are not known yet for one draw: those that
// hardly bend the circuit at a glance, then the others.
func (w *reader) draw(ctx context.Context, k int, d sim.Draw) error {
	var wanted []int
	for i, c := range w.task.columns {
		if c.cells[w.rung][k].kind == unasked {
			wanted = append(wanted, i)
		}
	}
	if len(wanted) == 0 {
		return nil
	}
	sol, err := w.solve(ctx, k, d)
	if err != nil {
		return err
	}
	if sol == nil {
		for _, i := range wanted {
			w.task.columns[i].cells[w.rung][k].kind = failed
		}
		return nil
	}
	wanted, err = w.glance(sol, wanted, k)
	if err != nil {
		return err
	}
	for _, i := range wanted {
		c := w.task.columns[i]
		r, err := c.meter.Read(ctx, w.in, sol, c.query())
		if err != nil && !sim.IsRefusal(err) {
			return err
		}
		c.take(w.rung, k, cellOf(c.key.Mode, r, err))
	}
	return nil
}

// solve returns nil where the circuit does not settle. A circuit that is hard
// to settle costs a hundred times more: after its first such draw the nominal
// unit stands for the further ones.
func (w *reader) solve(ctx context.Context, k int, d sim.Draw) (*sim.Solution, error) {
	if w.in == nil {
		return nil, nil
	}
	hard, known := w.bench.hard[w.task.key]
	if known && k > hard {
		d = nil
	}
	sol, err := w.in.Solve(ctx, d, w.start)
	if refused := err != nil && sim.IsRefusal(err); refused || err == nil && !easy(sol.Road()) {
		if !known || k < hard {
			w.bench.hard[w.task.key] = k
		}
		if refused {
			return nil, nil
		}
	}
	return sol, err
}

// easy tells the roads to an operating point that cost little.
func easy(r sim.Road) bool { return r == sim.Warm || r == sim.Cold }

// glance takes what can be taken at a glance and returns the others.
func (w *reader) glance(sol *sim.Solution, wanted []int, k int) ([]int, error) {
	t, ok := w.in.Tangent(sol)
	if !ok {
		return wanted, nil
	}
	left := wanted[:0]
	var sunk map[circuit.NetID]float64
	if k == 0 {
		sunk = w.saturated(sol)
	}
	for _, i := range wanted {
		c := w.task.columns[i]
		if k == 0 && c.key.Mode == meter.VoltsDC {
			port, err := t.Port(c.query().Red, c.query().Black)
			if err != nil {
				return nil, err
			}
			leak := strayLeak * w.task.volts * beside(port, c.meter.Input)
			c.cells[w.rung][k].soft = float32(math.Hypot(leak, math.Max(sunk[c.key.Red], sunk[c.key.Black])))
		}
		r, ok, err := c.meter.Glance(t, c.query())
		if err != nil {
			return nil, err
		}
		if !ok {
			left = append(left, i)
			continue
		}
		c.take(w.rung, k, cellOf(c.key.Mode, r, nil))
	}
	return left, nil
}

// take keeps a cell, and what was told of its softness before.
func (c *column) take(rung, k int, one cell) {
	one.soft = c.cells[rung][k].soft
	c.cells[rung][k] = one
}

// What a saturated transistor holds across it hangs on its bulk and on how its
// maker built it. Common practice: 30 mV, and half an ohm.
const (
	saturatedBelow  = 0.4 // volts across a saturated transistor
	saturatedSpread = 0.03
	bulkSpread      = 0.5
)

// saturated lists the collectors of saturated transistors with the deviation
// of their voltage.
func (w *reader) saturated(sol *sim.Solution) map[circuit.NetID]float64 {
	out := map[circuit.NetID]float64{}
	for _, part := range w.in.Model().Circuit().Parts {
		if part.Kind != circuit.NPN && part.Kind != circuit.PNP {
			continue
		}
		v, ok := sol.Between(part.Net("c"), part.Net("e"))
		i, known := sol.Current(part.Ref, "c")
		if ok && known && math.Abs(v) < saturatedBelow && math.Abs(i) > 1e-6 {
			out[part.Net("c")] = math.Max(out[part.Net("c")], saturatedSpread+bulkSpread*math.Abs(i))
		}
	}
	return out
}

// strayLeak is the current that leaks into a net unseen, in amperes for each
// volt that stands about: a gigohm of board and junctions. Common practice.
const strayLeak = 1e-9

// beside is the resistance of two places with a meter's input across them.
func beside(port sim.Port, input float64) float64 {
	ohms := port.Ohms
	if port.Apart || math.IsInf(ohms, 0) || math.IsNaN(ohms) {
		ohms = 1 / strayLeak
	}
	if input <= 0 {
		return ohms
	}
	return ohms * input / (ohms + input)
}

// softness is the deviation that unseen leakages give a stratum's readings, on
// the scale.
func softness(c *column, s stratum) float64 {
	at := func(one cell) float64 {
		if one.soft == 0 || one.kind != measured {
			return 0
		}
		return slope(c.key.Mode, unscaled(c.key.Mode, one.g)) * float64(one.soft)
	}
	return math.Max(at(c.cells[s.low][0]), at(c.cells[s.high][0]))
}

func (c *column) query() meter.Query {
	return meter.Query{Mode: c.key.Mode, Red: sim.OnNet(c.key.Red), Black: sim.OnNet(c.key.Black)}
}

// cellOf keeps what a simulated reading came to; err is a refusal or nil.
func cellOf(m meter.Mode, r meter.Reading, err error) cell {
	if err != nil {
		return cell{kind: failed}
	}
	if r.Overrange {
		return cell{kind: over}
	}
	g := scaled(m, r.Value)
	if math.IsNaN(g) || math.IsInf(g, 0) {
		return cell{kind: failed}
	}
	return cell{g: g, kind: measured}
}

// sample is a stratum's reading in a draw: between its two rungs.
func (p *Predictor) sample(c *column, s stratum, k int) cell {
	low, high := c.cells[s.low][k], c.cells[s.high][k]
	u := s.start + (s.end-s.start)*p.within[k]
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

// unbent is the share of the way between two rungs by which a reading may be
// off the straight line where no third rung tells. Common practice.
const unbent = 0.12

// bend is how far a stratum's readings may be off the straight line between
// its rungs, as a deviation: an eighth of the second difference with the rung
// before or after, which is what the line misses in the middle.
func bend(c *column, s stratum) float64 {
	if s.low == s.high {
		return 0
	}
	low, high := c.cells[s.low][0], c.cells[s.high][0]
	if low.kind != measured || high.kind != measured {
		return 0
	}
	var most float64
	known := false
	for _, third := range []struct {
		rung     int
		beside   float64
		opposite float64
	}{{s.before, low.g, high.g}, {s.after, high.g, low.g}} {
		if third.rung == noRung || len(c.cells[third.rung]) == 0 || c.cells[third.rung][0].kind != measured {
			continue
		}
		known = true
		most = math.Max(most, math.Abs(c.cells[third.rung][0].g-2*third.beside+third.opposite)/8)
	}
	if !known {
		most = unbent * math.Abs(high.g-low.g)
	}
	return most * (s.end - s.start)
}
