package diagnosis

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// Options set how suspects are found. The zero value takes the defaults.
type Options struct {
	Priors   Priors
	Cost     Cost
	Shelf    sim.Shelf    // parts shelf, for the simulator
	Meter    *meter.Meter // taken where a reading names none
	Extra    []Fault      // faults between nets, from the copper
	Draws    int          // tolerance draws for each severity, more for those that lead
	Workers  int          // 0: as many as there are processors
	Seed     uint64
	Progress func(done float64, what string) // may be nil
}

const (
	defaultDraws = 12
	// rounds of as many draws are made for the suspects that lead.
	rounds = 4
	// scoutDraws of the draws are enough to tell which readings are worth a
	// closer look.
	scoutDraws = 3
)

func (o Options) filled() Options {
	if o.Priors == (Priors{}) {
		o.Priors = DefaultPriors()
	}
	if o.Cost == (Cost{}) {
		o.Cost = DefaultCost()
	}
	if o.Meter == nil {
		m := meter.Default(meter.Digital)
		o.Meter = &m
	}
	if o.Draws < scoutDraws {
		o.Draws = defaultDraws
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Progress == nil {
		o.Progress = func(float64, string) {}
	}
	return o
}

// stratum is one fault within a narrow range of severity: one hypothesis.
type stratum struct {
	fault    int
	low      int     // index of the milder rung
	high     int     // the next one; low where there is one only
	before   int     // the rung before low and the one after high, noRung where
	after    int     // there is none: they tell how a reading bends between
	from, to float64 // severity at low and at high
	start    float64 // part of the way from low to high that it spans, 0…1
	end      float64
	unit     string
	at       func(x float64) rung
	logPrior float64
}

// severities are the ends of what the stratum spans.
func (s stratum) severities() (from, to float64) {
	at := func(u float64) float64 { return s.from * math.Pow(s.to/s.from, u) }
	return at(s.start), at(s.end)
}

// Predictor knows what every fault would make every reading be, computing it
// when it is first asked for and keeping it. It is made once for a circuit and
// then asked after each reading. One goroutine at a time may use it.
type Predictor struct {
	circuit *circuit.Circuit
	model   *sim.Model
	opt     Options
	faults  []Fault
	strata  []stratum
	rungs   []*bench
	rungAt  map[string]int // by key
	coarse  int            // rungs that strata are laid out with; finer ones follow
	draws   []sim.Draw
	cold    []sim.Draw    // the same units without power
	within  []float64     // by draw: place between two rungs, 0…1
	meters  []meter.Meter // the case's own first
	columns map[columnKey]*column
	listed  []*column                // what is always looked at, once made
	further [][]*column              // what is screened, by state and power, once made
	starts  map[string]*sim.Solution // by electrical state: the nominal good unit
	motions map[string]motion        // by electrical state: how a good unit behaves with power
	healthy stratum                  // the good unit

	touched    map[*column][]int // faults that change a check; made when first needed
	strays     []stray           // made when first needed
	strayCells map[*column]strayColumn
}

// bench is one rung with the equations made for it so far, by electrical state.
type bench struct {
	rung
	instances map[string]*sim.Instance
	refused   map[string]bool                      // states in which its equations contradict themselves
	hard      map[string]int                       // the first draw that was hard to settle, -1 for the nominal one
	greatest  map[string]map[circuit.NetID]float64 // size of every net's voltage, nominal draw
}

const (
	// healthyRung is the index of the good circuit.
	healthyRung = 0
	// noRung stands where a ladder has none.
	noRung = -1
)

// New prepares a predictor.
//
// Errors: those of sim.Compile, which name the parts that have no model, and
// one for a circuit without parts.
func New(c *circuit.Circuit, opt Options) (*Predictor, error) {
	if len(c.Parts) == 0 {
		return nil, errors.New("there are no suspects: the circuit has no parts; place parts first")
	}
	model, err := sim.Compile(c, sim.Options{Shelf: opt.Shelf})
	if err != nil {
		return nil, fmt.Errorf("finding suspects: %w", err)
	}
	opt = opt.filled()
	p := &Predictor{circuit: c, model: model, opt: opt, columns: map[columnKey]*column{}, starts: map[string]*sim.Solution{}, motions: map[string]motion{}, strayCells: map[*column]strayColumn{}}
	p.meters = []meter.Meter{*opt.Meter}
	p.faults = withExtra(Faults(c, opt.Priors), opt.Extra)
	p.drawUnits()
	p.layOut()
	return p, nil
}

// withExtra adds faults whose Prior is a share of all, before the healthy
// unit, and scales the others down.
func withExtra(faults, extra []Fault) []Fault {
	var share float64
	for _, f := range extra {
		share += f.Prior
	}
	scale := 1.0
	if share > 0.9 {
		scale, share = 0.9/share, 0.9
	}
	for i := range faults {
		faults[i].Prior *= 1 - share
	}
	last := len(faults) - 1
	out := append([]Fault{}, faults[:last]...)
	for _, f := range extra {
		f.Prior *= scale
		out = append(out, f)
	}
	return append(out, faults[last])
}

// layOut makes the strata of every fault, and each rung once.
func (p *Predictor) layOut() {
	p.rungAt = map[string]int{"": healthyRung}
	p.rungs = []*bench{newBench(rung{})}
	for f, fault := range p.faults {
		for _, l := range laddersOf(p.circuit, fault) {
			n := max(len(l.rungs)-1, 1)
			for i := range n {
				s := stratum{fault: f, low: p.index(l.rungs[i]), end: 1, unit: l.unit, at: l.at, logPrior: math.Log(fault.Prior * l.share / float64(n))}
				s.high, s.before, s.after = s.low, noRung, noRung
				if len(l.rungs) > 1 {
					s.high, s.from, s.to = p.index(l.rungs[i+1]), l.marks[i], l.marks[i+1]
				}
				if i > 0 {
					s.before = p.index(l.rungs[i-1])
				}
				if i+2 < len(l.rungs) {
					s.after = p.index(l.rungs[i+2])
				}
				p.strata = append(p.strata, s)
			}
		}
	}
	p.coarse, p.healthy = len(p.rungs), p.strata[len(p.strata)-1] // the last fault of the list is none
}

// index is the number of a rung, which is added where it is new.
func (p *Predictor) index(r rung) int {
	i, ok := p.rungAt[r.key]
	if !ok {
		i = len(p.rungs)
		p.rungAt[r.key] = i
		p.rungs = append(p.rungs, newBench(r))
		for _, c := range p.columns {
			c.cells = append(c.cells, make([]cell, p.opt.Draws))
		}
	}
	return i
}

func newBench(r rung) *bench {
	return &bench{rung: r, instances: map[string]*sim.Instance{}, refused: map[string]bool{}, hard: map[string]int{}, greatest: map[string]map[circuit.NetID]float64{}}
}

// electrical is the state as the circuit sees it: for unpowered modes with
// every source out. Two states that differ in sources only share the key.
func (p *Predictor) electrical(m meter.Mode, name string) (circuit.State, string, error) {
	s, ok := p.circuit.State(name)
	if !ok {
		return s, "", fmt.Errorf("there is no state %q in the job", name)
	}
	out := circuit.State{Name: name, Settings: map[circuit.PartRef]circuit.Setting{}}
	key := ""
	for _, part := range p.circuit.Parts {
		set := s.Setting(part)
		if set.Form == "" {
			continue
		}
		if isSource(part.Kind) && !m.Powered() {
			set = circuit.Setting{Form: circuit.Off}
		}
		out.Settings[part.Ref] = set
		key += fmt.Sprintf("%s:%s%g%s ", part.Ref, set.Form, set.Position, set.Contact)
	}
	return out, key, nil
}

func isSource(k circuit.Kind) bool {
	return k == circuit.Battery || k == circuit.Supply || k == circuit.Signal
}

// instance returns the rung's equations in a state, made when first needed.
func (p *Predictor) instance(b *bench, s circuit.State, key string) *sim.Instance {
	in, ok := b.instances[key]
	if !ok && !b.refused[key] {
		var err error
		if in, err = p.build(b, s); err != nil {
			b.refused[key] = true
			return nil
		}
		if len(p.rungs)*len(p.circuit.Parts) < mostKept {
			b.instances[key] = in
		}
	}
	return in
}

// mostKept bounds rungs times parts up to which equations are kept between
// questions: they grow with both, and beyond some hundred megabytes it is
// better to make them anew.
const mostKept = 100e3

// from is where the search for a rung's operating point may start: the good
// unit's, unless parts are joined otherwise.
func (b *bench) from(good *sim.Solution) *sim.Solution {
	if b.altered != nil {
		return nil
	}
	return good
}

// start is the nominal good unit in a state, from which all others are
// searched; nil where that does not settle.
func (p *Predictor) start(ctx context.Context, s circuit.State, key string) (*sim.Solution, error) {
	sol, ok := p.starts[key]
	if ok {
		return sol, nil
	}
	sol, err := p.model.OperatingPoint(ctx, s, sim.Run{})
	if err != nil && !sim.IsRefusal(err) {
		return nil, err
	}
	p.starts[key] = sol
	return sol, nil
}

// meterNumber finds a meter among those seen, the case's own for nil.
func (p *Predictor) meterNumber(m *meter.Meter) int {
	if m == nil {
		return 0
	}
	for i := range p.meters {
		if reflect.DeepEqual(p.meters[i], *m) {
			return i
		}
	}
	p.meters = append(p.meters, *m)
	return len(p.meters) - 1
}

// Faults lists the faults that are weighed, with their weights.
func (p *Predictor) Faults() []Fault { return slices.Clone(p.faults) }
