package meter

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// Options are how Expect works.
type Options struct {
	Meter   Meter       // its zero value stands for the digital default
	Variant sim.Variant // nil: a good unit
	Draws   int         // good units that the band is taken over; 0: DefaultDraws, or TableDraws
	Seed    uint64
	// AtRest has a table read operating points only, at once, though the
	// circuit may swing.
	AtRest bool
	// Progress of a table; may be nil.
	Progress func(done float64, what string)
}

// Draws of one reading and of a whole table. A thousand place the ends of the
// band within some 3 % of its width, three hundred within 6 %.
const (
	DefaultDraws = 1000
	TableDraws   = 300
)

func (o Options) filled(draws int) Options {
	if o.Meter.Class == "" {
		o.Meter = Default(Digital)
	}
	if o.Draws <= 0 {
		o.Draws = draws
	}
	return o
}

// Expected is what a good unit reads at one place.
type Expected struct {
	Mode       Mode      `json:"mode"`
	Red        string    `json:"red"`
	Black      string    `json:"black"`
	State      string    `json:"state,omitempty"`
	Unit       string    `json:"unit"`
	Meter      string    `json:"meter,omitempty"`
	Range      float64   `json:"range"`
	Nominal    *float64  `json:"nominal"`  // null when over-range
	Low        *float64  `json:"low"`      // of the 95 % band; null when even that is over-range
	High       *float64  `json:"high"`     // null when over-range
	Unloaded   *float64  `json:"unloaded"` // without the meter; null where nothing sets it
	Overrange  bool      `json:"overrange"`
	Joined     *bool     `json:"joined,omitempty"` // continuity only
	MeterError float64   `json:"meter_error"`      // limit of the meter's own error at the nominal reading
	Also       []float64 `json:"also,omitempty"`   // nominal readings at further points that a latch would stay at
	Hazard     Hazard    `json:"hazard"`
	Cautions   []string  `json:"cautions,omitempty"`
}

// Expect says what a good unit reads, with its 95 % band over the tolerances.
//
// A volts reading of a circuit that swings is taken over its settled cycle,
// and its band over a few units only.
//
// Method: the nominal unit, then Options.Draws units by sim.Draws; the band is
// between the 2.5 % and 97.5 % quantiles of what the meter shows, its own
// error apart (MeterError).
// Errors: those of Read and of sim.
func Expect(ctx context.Context, model *sim.Model, q Query, o Options) (Expected, error) {
	o = o.filled(DefaultDraws)
	if err := q.Mode.supported(); err != nil {
		return Expected{}, err
	}
	if e, ok, err := swinging(ctx, model, q, o); ok || err != nil {
		return e, err
	}
	in, err := Instance(model, q, o.Variant)
	if err != nil {
		return Expected{}, err
	}
	w := worker{in: in, meter: o.Meter}
	if err := w.start(ctx); err != nil {
		return Expected{}, err
	}
	rows, err := w.expect(ctx, []Query{q}, model.Draws(o.Draws, o.Seed))
	if err != nil {
		return Expected{}, err
	}
	if err := addHazards(ctx, model, rows, []Query{q}, o); err != nil {
		return Expected{}, err
	}
	if q.Mode == AmpsDC {
		if err := w.addUnburdened(ctx, q, &rows[0]); err != nil {
			return Expected{}, err
		}
		rows[0].addAmps(tapOf(model.Circuit(), q), o.Meter)
	}
	err = w.addOthers(ctx, q, &rows[0])
	return rows[0], err
}

// addUnburdened is the current that flows without the meter's own resistance.
func (w *worker) addUnburdened(ctx context.Context, q Query, e *Expected) error {
	t := tapOf(w.in.Model().Circuit(), q)
	if err := w.start(ctx); err != nil { // the nominal unit again, after the draws
		return err
	}
	at, err := w.in.Measure(ctx, w.nominal, t.red, t.black, resistance(noBurden))
	if err != nil {
		return err
	}
	e.Unloaded = &at.Amperes
	return nil
}

// addOthers reads the further operating points of a latch.
func (w *worker) addOthers(ctx context.Context, q Query, e *Expected) error {
	if !q.Mode.Powered() {
		return nil
	}
	nominal, err := w.in.Solve(ctx, nil, nil)
	if err != nil {
		return err
	}
	others, err := w.in.Others(ctx, nominal)
	if err != nil {
		return err
	}
	for _, at := range others {
		if !at.Stays() {
			continue
		}
		if r, err := w.meter.Read(ctx, w.in, at, q); err != nil {
			return err
		} else if !r.Overrange {
			e.Also = append(e.Also, r.Value)
		}
	}
	if e.Also != nil {
		e.Cautions = append(e.Cautions, "the circuit latches: it stays at more than one operating point, and this place may read otherwise")
	}
	return nil
}

// worker reads many places of one instance.
type worker struct {
	in      *sim.Instance
	meter   Meter
	nominal *sim.Solution
}

func (w *worker) start(ctx context.Context) (err error) {
	w.nominal, err = w.in.Solve(ctx, nil, nil)
	return err
}

// expect reads every query on the nominal unit and on every draw.
func (w *worker) expect(ctx context.Context, qs []Query, draws []sim.Draw) ([]Expected, error) {
	rows := make([]Expected, len(qs))
	seen := make([][]Reading, len(qs))
	for k, q := range qs {
		r, err := w.meter.Read(ctx, w.in, w.nominal, q)
		if err != nil {
			return nil, err
		}
		rows[k] = w.row(q, r)
	}
	err := w.draws(ctx, qs, draws, func(k int, r Reading) { seen[k] = append(seen[k], r) })
	if err != nil {
		return nil, err
	}
	for k := range rows {
		rows[k].band(seen[k])
	}
	return rows, nil
}

// draws reads every query on every draw.
func (w *worker) draws(ctx context.Context, qs []Query, draws []sim.Draw, take func(query int, r Reading)) error {
	for _, d := range draws {
		at, err := w.in.Solve(ctx, d, w.nominal)
		if err != nil {
			return err
		}
		for k, q := range qs {
			r, err := w.meter.Read(ctx, w.in, at, q)
			if err != nil {
				return err
			}
			take(k, r)
		}
	}
	return nil
}

// row begins an Expected with the nominal reading.
func (w *worker) row(q Query, r Reading) Expected {
	if q.Mode == AmpsDC && w.in != nil {
		t := tapOf(w.in.Model().Circuit(), q)
		q.Red, q.Black = t.red, t.black
	}
	e := Expected{Mode: q.Mode, Red: q.Red.String(), Black: q.Black.String(), State: q.State.Name,
		Unit: q.Mode.Unit().String(), Meter: w.meter.Name, Range: r.Range, Overrange: r.Overrange}
	if !r.Overrange {
		v := r.Value
		e.Nominal = &v
		e.MeterError = w.meter.MaxError(q.Mode, v)
	}
	if q.Mode == Continuity {
		e.Joined = &r.Joined
	}
	if q.Mode == VoltsDC && w.nominal != nil {
		if v, ok := w.nominal.Across(q.Red, q.Black); ok {
			e.Unloaded = &v
		}
	}
	return e
}

// band takes the quantiles of what good units show; over-range counts as
// beyond every number.
func (e *Expected) band(rs []Reading) {
	values := make([]float64, 0, len(rs)+1)
	for _, r := range rs {
		v := r.Value
		if r.Overrange {
			v = math.Inf(1)
		}
		values = append(values, v)
	}
	if len(values) == 0 {
		e.Low, e.High = e.Nominal, e.Nominal
		return
	}
	slices.Sort(values)
	e.Low, e.High = finite(quantile(values, 0.025)), finite(quantile(values, 0.975))
}

// bandOfFew is the band by a few units: where one more would lie in 95 of 100
// cases if they scatter normally, and never less than what they read.
//
// Source: the prediction interval of a normal sample, mean ± t·s·√(1 + 1/n).
func (e *Expected) bandOfFew(rs []Reading) {
	values := make([]float64, len(rs))
	for i, r := range rs {
		if r.Overrange {
			e.band(rs)
			return
		}
		values[i] = r.Value
	}
	n := float64(len(values))
	if n < 2 {
		e.band(rs)
		return
	}
	mean, s := stat.MeanStdDev(values, nil)
	half := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975) * s * math.Sqrt(1+1/n)
	e.Low, e.High = finite(min(mean-half, slices.Min(values))), finite(max(mean+half, slices.Max(values)))
}

// quantile interpolates between sorted values.
func quantile(sorted []float64, p float64) float64 {
	x := p * float64(len(sorted)-1)
	k := int(x)
	if k+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	a, b := sorted[k], sorted[k+1]
	if math.IsInf(b, 1) {
		if x == float64(k) {
			return a
		}
		return b
	}
	return a + (b-a)*(x-float64(k))
}

func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}

// Distribution is what the meter shows on units drawn from a variant: the
// likelihood of a reading is taken from it together with MaxError. draws nil
// gives the nominal unit alone.
func (m Meter) Distribution(ctx context.Context, model *sim.Model, v sim.Variant, q Query, draws []sim.Draw) ([]Reading, error) {
	in, err := Instance(model, q, v)
	if err != nil {
		return nil, err
	}
	w := worker{in: in, meter: m}
	if err := w.start(ctx); err != nil {
		return nil, err
	}
	if draws == nil {
		r, err := m.Read(ctx, in, w.nominal, q)
		return []Reading{r}, err
	}
	var out []Reading
	err = w.draws(ctx, []Query{q}, draws, func(_ int, r Reading) { out = append(out, r) })
	return out, err
}

// Against is the place that readings refer to where no black lead is named.
func Against(c *circuit.Circuit, m *sim.Model) sim.Place {
	if c.Common != "" {
		return sim.OnNet(c.Common)
	}
	return sim.OnNet(m.Reference())
}
