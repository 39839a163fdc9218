package charge

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// Load is the worst that a good unit does to a part over its states, with
// sources at their upper limit: at rest, or over the settled cycle where it
// swings.
type Load struct {
	Volts float64 `json:"voltage"` // the peak of it
	Amps  float64 `json:"current"` // rms
	Watts float64 `json:"power"`   // average
	State string  `json:"state"`   // in which the power, or else the voltage, is greatest
	Pulse Pulse   `json:"pulse"`
}

// Pulse is what a part takes for a moment: at the peaks of a cycle, and when
// the supplies come on and some capacitors are still empty.
type Pulse struct {
	Volts float64 `json:"voltage"`
	Amps  float64 `json:"current"`
	Watts float64 `json:"power"`
	When  string  `json:"when,omitempty"` // of the power, or else the current
}

// Stress is a part's load against its rating.
type Stress struct {
	Load
	RatedVolts *float64 `json:"rated_voltage"` // null: not known
	RatedAmps  *float64 `json:"rated_current"`
	RatedWatts *float64 `json:"rated_power"`
	Worst      *float64 `json:"worst_share"` // the greatest share of a rating that is used; null: no rating known
	Swings     bool     `json:"swings"`      // the load is that of a cycle
	Text       string   `json:"text"`
}

// stressOf finds the load on a part over all states.
func stressOf(ctx context.Context, m *sim.Model, p circuit.Part, shelf sim.Shelf) (Stress, error) {
	var l Load
	swings := false
	draw := highSources(m)
	for _, state := range statesOf(m.Circuit()) {
		if err := l.cutOff(ctx, m, p, state, draw); err != nil {
			return Stress{}, err
		}
		settled, err := cycleOf(ctx, m, state, nil, draw)
		if err != nil {
			return Stress{}, err
		}
		if settled != nil {
			swings = true
			l.cycle(settled, p, state.Name)
			continue
		}
		if err := l.atRest(ctx, m, p, state, draw); err != nil {
			return Stress{}, err
		}
	}
	s := against(l, p, shelf)
	s.Swings = swings
	return s, nil
}

// cycleOf is the settled cycle in a state; nil where the unit comes to rest or
// can't be followed.
func cycleOf(ctx context.Context, m *sim.Model, state circuit.State, v sim.Variant, draw sim.Draw) (*sim.Settled, error) {
	if !meter.MaySwing(m.Circuit(), state) {
		return nil, nil
	}
	s, err := m.Settle(ctx, state, sim.SettleOptions{Variant: v, Draw: draw})
	switch {
	case err != nil && sim.IsRefusal(err):
		return nil, nil
	case err != nil:
		return nil, err
	case !meter.Swings(m, s):
		return nil, nil
	}
	return s, nil
}

// cycle takes over what is greater over a settled cycle.
func (l *Load) cycle(s *sim.Settled, p circuit.Part, state string) {
	var volts, amps, peak float64
	for i, a := range p.Leads {
		if c, ok := s.Current(p.Ref, a.Name); ok {
			amps, peak = math.Max(amps, c.RMS), math.Max(peak, math.Max(c.High, -c.Low))
		}
		for _, b := range p.Leads[i+1:] {
			if c, ok := s.Between(sim.OnNet(a.Net), sim.OnNet(b.Net)); ok {
				volts = math.Max(volts, math.Max(c.High, -c.Low))
			}
		}
	}
	watts := s.Power(p.Ref)
	l.raise(volts, amps, math.Abs(watts.Average), state)
	l.Pulse.raise(volts, peak, math.Max(watts.High, -watts.Low), "at the peak of the cycle"+inState(state))
}

// atRest takes over what is greater at the operating point, and for a moment
// while capacitors are still empty.
func (l *Load) atRest(ctx context.Context, m *sim.Model, p circuit.Part, state circuit.State, draw sim.Draw) error {
	at, err := pointOf(ctx, m, state, nil, draw)
	if err != nil {
		return err
	}
	volts, amps, watts := loadAt(at, p)
	l.raise(volts, amps, watts, state.Name)
	l.Pulse.raise(volts, amps, watts, "")
	c := m.Circuit()
	for _, s := range withEmpty([]scenario{{}}, capacitors(c), c.Common)[1:] {
		filling, err := pointOf(ctx, m, state, s.variant, draw)
		if err != nil && sim.IsRefusal(err) {
			continue // no such moment
		}
		if err != nil {
			return err
		}
		volts, amps, watts := loadAt(filling, p)
		l.Pulse.raise(volts, amps, watts, "as capacitors fill"+inState(state.Name))
	}
	return nil
}

// cutOff takes over the voltage between the leads of what may stop conducting:
// it then stands off what the circuit gives, at switching on and in every swing.
func (l *Load) cutOff(ctx context.Context, m *sim.Model, p circuit.Part, state circuit.State, draw sim.Draw) error {
	switch p.Kind {
	case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.SCR, circuit.Triac:
	default:
		return nil
	}
	at, err := pointOf(ctx, m, state, sim.Variant{sim.Remove(p.Ref)}, draw)
	if err != nil {
		if sim.IsRefusal(err) {
			return nil
		}
		return err
	}
	volts, _, _ := loadAt(at, p)
	l.Pulse.raise(volts, 0, 0, "while it does not conduct"+inState(state.Name))
	return nil
}

func pointOf(ctx context.Context, m *sim.Model, state circuit.State, v sim.Variant, draw sim.Draw) (*sim.Solution, error) {
	in, err := m.Instance(state, v)
	if err != nil {
		return nil, err
	}
	return in.Solve(ctx, draw, nil)
}

// loadAt is the greatest voltage between a part's leads, the greatest current
// into one, and its power.
func loadAt(at *sim.Solution, p circuit.Part) (volts, amps, watts float64) {
	for i, a := range p.Leads {
		if current, ok := at.Current(p.Ref, a.Name); ok {
			amps = math.Max(amps, math.Abs(current))
		}
		for _, b := range p.Leads[i+1:] {
			if v, ok := at.Between(a.Net, b.Net); ok {
				volts = math.Max(volts, math.Abs(v))
			}
		}
	}
	return volts, amps, math.Abs(at.Power(p.Ref))
}

func (l *Load) raise(volts, amps, watts float64, state string) {
	if watts > l.Watts || watts == l.Watts && volts > l.Volts {
		l.State = state
	}
	l.Volts, l.Amps, l.Watts = math.Max(l.Volts, volts), math.Max(l.Amps, amps), math.Max(l.Watts, watts)
}

func (p *Pulse) raise(volts, amps, watts float64, when string) {
	if watts > p.Watts || watts == p.Watts && amps > p.Amps {
		p.When = when
	}
	p.Volts, p.Amps, p.Watts = math.Max(p.Volts, volts), math.Max(p.Amps, amps), math.Max(p.Watts, watts)
}

// highSources is the draw with every source at its upper limit and all else
// as marked.
func highSources(m *sim.Model) sim.Draw {
	spreads := m.Spreads()
	draw := make(sim.Draw, len(spreads))
	for i, s := range spreads {
		p, _ := m.Circuit().Part(s.Part)
		if s.Knob == sim.KnobValue && isSource(p.Kind) {
			draw[i] = 1
		}
	}
	return draw
}

// against holds a load against the ratings of the job, or else of the parts
// shelf, or else of the part's kind.
func against(l Load, p circuit.Part, shelf sim.Shelf) Stress {
	s := Stress{Load: l}
	share := func(load float64, name string) *float64 {
		rated, ok := rating(p, name, shelf)
		if !ok || rated <= 0 || isSource(p.Kind) {
			return nil
		}
		used := load / rated
		if s.Worst == nil || used > *s.Worst {
			s.Worst = &used
		}
		return &rated
	}
	s.RatedVolts = share(math.Max(l.Volts, l.Pulse.Volts), ratedVoltage(p.Kind))
	if p.Kind != circuit.Resistor {
		s.RatedAmps = share(l.Amps, "current")
	}
	s.RatedWatts = share(l.Watts, "power")
	s.Text = s.words()
	return s
}

// rating is what a part is rated for: by the job, by its type number, or, for
// resistors, by what is usual. A lamp or relay works at its voltage, so that is
// no limit for a replacement to keep away from; it is told all the same.
func rating(p circuit.Part, name string, shelf sim.Shelf) (float64, bool) {
	if v, ok := p.Amount(name); ok {
		return v, true
	}
	if shelf != nil && p.Type != "" {
		if a, _, ok := shelf.Amount(p.Kind, p.Type, name); ok {
			return a.Value, true
		}
	}
	if p.Kind == circuit.Resistor {
		info, _ := circuit.Lookup(p.Kind)
		return info.Default(name)
	}
	return 0, false
}

// ratedVoltage is the name of the parameter that limits the voltage.
func ratedVoltage(k circuit.Kind) string {
	switch k {
	case circuit.Diode, circuit.LED, circuit.Bridge:
		return "reverse voltage"
	case circuit.SCR, circuit.Triac:
		return "blocking voltage"
	}
	return "voltage"
}

func (s Stress) words() string {
	if s.Worst == nil {
		return "No rating of the part is known."
	}
	switch share := 100 * *s.Worst; {
	case share > 100:
		return fmt.Sprintf("It is worked beyond its rating, at %.0f %%: fit a larger one.", share)
	case share > 70:
		return fmt.Sprintf("It is worked hard, at %.0f %% of its rating: a larger one lasts longer.", share)
	default:
		return fmt.Sprintf("It is worked at %.0f %% of its rating.", share)
	}
}
