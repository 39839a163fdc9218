package bench

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// Model is the circuit with its parameters resolved.
func (b *Bench) Model(ctx context.Context) (*sim.Model, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return nil, err
	}
	return remember(ctx, &b.memo, "model", key(built.Circuit), func(context.Context) (*sim.Model, error) {
		m, err := sim.Compile(built.Circuit, sim.Options{Shelf: b.shelf})
		return m, simFault(err)
	})
}

// simFault tells what the person can mend from what could not be worked out.
func simFault(err error) error {
	var unmodelled *sim.UnmodelledError
	var problem *sim.ProblemError
	switch {
	case errors.As(err, &unmodelled):
		return NotDone(err)
	case errors.As(err, &problem):
		return BadInput(err, "look at the parts and nets it names; `foilside check` lists more")
	case err == nil || cancelled(err):
		return err
	}
	return NotDone(err)
}

// Query is a reading as the command line and the page ask for it.
type Query struct {
	Mode  string
	Red   string // a net, or a lead: R1.2
	Black string // empty: the common
	State string // empty: every part at its default
	Meter string // empty: the default meter
}

// Expect says what a good unit reads.
func (b *Bench) Expect(ctx context.Context, q Query) (meter.Expected, error) {
	model, err := b.Model(ctx)
	if err != nil {
		return meter.Expected{}, err
	}
	asked, m, err := b.query(ctx, model, q)
	if err != nil {
		return meter.Expected{}, err
	}
	k := key(model.Circuit(), q, m)
	return remember(ctx, &b.memo, "expect", k, func(ctx context.Context) (meter.Expected, error) {
		e, err := meter.Expect(ctx, model, asked, meter.Options{Meter: m})
		return e, readingFault(err)
	})
}

// Table is what a good unit reads at every net, without power and with it in
// every state of the job.
func (b *Bench) Table(ctx context.Context, meterName string) ([]meter.Expected, error) {
	return b.table(ctx, meterName, false)
}

// table is that, or where somebody waits, at operating points only.
func (b *Bench) table(ctx context.Context, meterName string, atRest bool) ([]meter.Expected, error) {
	model, err := b.Model(ctx)
	if err != nil {
		return nil, err
	}
	m, err := b.meterNamed(meterName)
	if err != nil {
		return nil, err
	}
	return remember(ctx, &b.memo, "table", key(model.Circuit(), m, atRest), func(ctx context.Context) ([]meter.Expected, error) {
		rows, err := meter.Table(ctx, model, model.Circuit().States, meter.Options{Meter: m, AtRest: atRest, Progress: b.reporter("table")})
		return rows, readingFault(err)
	})
}

func readingFault(err error) error {
	var unsupported *meter.UnsupportedError
	if errors.As(err, &unsupported) {
		return NotDone(err)
	}
	return simFault(err)
}

// query resolves the words of a reading against the circuit.
func (b *Bench) query(ctx context.Context, model *sim.Model, q Query) (meter.Query, meter.Meter, error) {
	fail := func(err error) (meter.Query, meter.Meter, error) { return meter.Query{}, meter.Meter{}, err }
	c := model.Circuit()
	m, err := b.meterNamed(q.Meter)
	if err != nil {
		return fail(err)
	}
	mode, err := modeNamed(q.Mode)
	if err != nil {
		return fail(err)
	}
	state, ok := c.State(q.State)
	if !ok {
		return fail(badf("there is no state %q; the job has %s", q.State, stateNames(c)))
	}
	out := meter.Query{Mode: mode, State: state, Black: meter.Against(c, model)}
	if out.Red, err = place(c, q.Red); err != nil {
		return fail(err)
	}
	switch {
	case q.Black != "":
		if out.Black, err = place(c, q.Black); err != nil {
			return fail(err)
		}
	case mode == meter.AmpsDC && out.Red.Part != "":
		// A lead alone: the current into it, the meter between its net and it.
		out.Red, out.Black = sim.OnNet(out.Red.Net), out.Red
	}
	if out.Red == out.Black {
		return fail(badf("both leads are on %s; put them on two different nets", out.Red))
	}
	return out, m, nil
}

func modeNamed(word string) (meter.Mode, error) {
	for _, m := range job.Modes() {
		if m == word {
			return meter.Mode(word), nil
		}
	}
	return "", badf("there is no mode %q; expected one of %s", word, strings.Join(job.Modes(), ", "))
}

func stateNames(c *circuit.Circuit) string {
	if len(c.States) == 0 {
		return "none"
	}
	var names []string
	for _, s := range c.States {
		names = append(names, s.Name)
	}
	return strings.Join(names, ", ")
}

// place finds a net, or a lead written R1.2.
func place(c *circuit.Circuit, word string) (sim.Place, error) {
	if word == "" {
		return sim.Place{}, badf("no place is named for the red lead; give a net, or a lead such as R1.2")
	}
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			if string(l.Net) == word {
				return sim.OnNet(l.Net), nil
			}
		}
	}
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			if word == string(p.Ref)+"."+string(l.Name) {
				return sim.Place{Net: l.Net, Part: p.Ref, Lead: l.Name}, nil
			}
		}
	}
	return sim.Place{}, BadInput(fmt.Errorf("there is no net or lead %q in the circuit", word),
		"the nets are: "+strings.Join(netNames(c), ", "))
}

func netNames(c *circuit.Circuit) []string {
	var out []string
	for _, n := range c.Nets() {
		out = append(out, string(n.ID))
	}
	return out
}

// meterNamed is a meter that the job describes; "" is the default.
func (b *Bench) meterNamed(name string) (meter.Meter, error) {
	if name == "" {
		return meter.Default(meter.Digital), nil
	}
	d := b.document()
	m, ok := d.Meter(name)
	if !ok {
		var names []string
		for _, m := range d.Meters {
			names = append(names, m.Name)
		}
		if len(names) == 0 {
			names = []string{"none"}
		}
		return meter.Meter{}, badf("the job describes no meter %q; it has %s", name, strings.Join(names, ", "))
	}
	out := meter.New(m.Name, meter.Class(m.Class), m.Param)
	for _, p := range m.Params {
		switch p.Name {
		case "responding":
			out.AverageResponding = p.Text == "average"
		case "red on ohms":
			out.RedNegative = p.Text == "negative"
		}
	}
	return out, nil
}
