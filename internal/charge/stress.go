package charge

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// Load is the worst that a good unit does to a part over its states.
type Load struct {
	Volts float64 `json:"voltage"`
	Amps  float64 `json:"current"`
	Watts float64 `json:"power"`
	State string  `json:"state"` // in which the power, or else the voltage, is greatest
}

// Stress is a part's load against its rating.
type Stress struct {
	Load
	RatedVolts *float64 `json:"rated_voltage"` // null: not known
	RatedAmps  *float64 `json:"rated_current"`
	RatedWatts *float64 `json:"rated_power"`
	Worst      *float64 `json:"worst_share"` // the greatest share of a rating that is used; null: no rating known
	Text       string   `json:"text"`
}

// stressOf finds the load on a part over all states, with sources at their
// upper limit.
func stressOf(ctx context.Context, m *sim.Model, p circuit.Part) (Stress, error) {
	var l Load
	draw := highSources(m)
	for _, state := range statesOf(m.Circuit()) {
		in, err := m.Instance(state, nil)
		if err != nil {
			return Stress{}, err
		}
		at, err := in.Solve(ctx, draw, nil)
		if err != nil {
			return Stress{}, err
		}
		raise(&l, at, p, state.Name)
	}
	return against(l, p), nil
}

// raise takes over what is greater in one state.
func raise(l *Load, at *sim.Solution, p circuit.Part, state string) {
	var volts, amps float64
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
	watts := math.Abs(at.Power(p.Ref))
	if watts > l.Watts || watts == l.Watts && volts > l.Volts {
		l.State = state
	}
	l.Volts, l.Amps, l.Watts = math.Max(l.Volts, volts), math.Max(l.Amps, amps), math.Max(l.Watts, watts)
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

func against(l Load, p circuit.Part) Stress {
	s := Stress{Load: l}
	share := func(load float64, name string) *float64 {
		rated, ok := p.Amount(name)
		if !ok || rated <= 0 || isSource(p.Kind) {
			return nil
		}
		used := load / rated
		if s.Worst == nil || used > *s.Worst {
			s.Worst = &used
		}
		return &rated
	}
	s.RatedVolts = share(l.Volts, ratedVoltage(p.Kind))
	if p.Kind != circuit.Resistor {
		s.RatedAmps = share(l.Amps, "current")
	}
	s.RatedWatts = share(l.Watts, "power")
	if p.Kind == circuit.Resistor && s.RatedWatts == nil {
		info, _ := circuit.Lookup(p.Kind)
		if w, ok := info.Default("power"); ok {
			used := l.Watts / w
			s.RatedWatts, s.Worst = &w, &used
		}
	}
	s.Text = s.words()
	return s
}

// ratedVoltage is the name of the parameter that limits the voltage.
func ratedVoltage(k circuit.Kind) string {
	switch k {
	case circuit.Diode, circuit.LED, circuit.Bridge:
		return "reverse voltage"
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
