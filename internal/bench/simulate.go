package bench

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// SimulateQuery is a run over time as the command line and the page ask for
// it.
type SimulateQuery struct {
	For   string   // how long, with its unit: 20ms
	Watch []string // nets; none: all
	State string   // empty: every part at its default
	From  string   // empty: discharged; FromSettled: at the operating point
	// Tolerance is the error allowed, of a net's largest voltage; 0 stands for
	// the simulator's default.
	Tolerance float64
	// Leaps goes over cycles that hardly differ: a second of a converter.
	Leaps bool
	// Points is the most points kept, every peak among them; 0 stands for the
	// simulator's default.
	Points int
}

// FromSettled is the word for a run that begins at the operating point.
const FromSettled = "settled"

// Simulate follows the circuit over time.
func (b *Bench) Simulate(ctx context.Context, q SimulateQuery) (*sim.Waveforms, error) {
	model, err := b.Model(ctx)
	if err != nil {
		return nil, err
	}
	state, opt, err := runQuery(model.Circuit(), q)
	if err != nil {
		return nil, err
	}
	opt.Progress = b.reporter("simulate")
	return remember(ctx, &b.memo, "simulate", key(model.Circuit(), q), func(ctx context.Context) (*sim.Waveforms, error) {
		w, err := model.Transient(ctx, state, opt)
		return w, runFault(err)
	})
}

// runQuery resolves the words of a run against the circuit.
func runQuery(c *circuit.Circuit, q SimulateQuery) (circuit.State, sim.TransientOptions, error) {
	var opt sim.TransientOptions
	fail := func(err error) (circuit.State, sim.TransientOptions, error) { return circuit.State{}, opt, err }
	if strings.TrimSpace(q.For) == "" {
		return fail(BadInput(errors.New("no time is given to simulate for"), "give it with its unit: --for 20ms"))
	}
	span, err := quantity.Parse(q.For, quantity.Second)
	if err != nil {
		return fail(BadInput(err, "give the time with its unit: --for 20ms"))
	}
	if span <= 0 {
		return fail(BadInput(fmt.Errorf("a run of %s goes nowhere", q.For), "give a time above nothing: --for 20ms"))
	}
	state, ok := c.State(q.State)
	if !ok {
		return fail(badf("there is no state %q; the job has %s", q.State, stateNames(c)))
	}
	if q.From != "" && q.From != FromSettled {
		return fail(badf("a run cannot begin from %q; say %s for the operating point, or nothing for a discharged unit", q.From, FromSettled))
	}
	if !(q.Tolerance >= 0 && q.Tolerance <= 0.1) {
		return fail(BadInput(fmt.Errorf("a tolerance of %g makes no sense", q.Tolerance), "give one from 1e-7 to 1e-2, or none for 1e-4"))
	}
	opt.For, opt.FromSettled, opt.Tolerance, opt.Leaps, opt.MaxPoints = span, q.From == FromSettled, q.Tolerance, q.Leaps, q.Points
	opt.Watch, err = watched(c, q.Watch)
	if err != nil {
		return fail(err)
	}
	return state, opt, nil
}

// watched finds the nets to watch; nil stands for all of them.
func watched(c *circuit.Circuit, words []string) ([]circuit.NetID, error) {
	names := netNames(c)
	var out []circuit.NetID
	for _, word := range words {
		word = strings.TrimSpace(word)
		if !slices.Contains(names, word) {
			return nil, BadInput(fmt.Errorf("there is no net %q to watch in the circuit", word), "the nets are: "+strings.Join(names, ", "))
		}
		if !slices.Contains(out, circuit.NetID(word)) {
			out = append(out, circuit.NetID(word))
		}
	}
	return out, nil
}

// runFault is simFault for a run over time.
func runFault(err error) error {
	var stall *sim.StallError
	if errors.As(err, &stall) {
		return NotDone(err, "simulate for a shorter time to see how it gets there, with a coarser --tolerance 1e-3, or with --leaps over cycles that hardly differ")
	}
	return simFault(err)
}
