package charge

import (
	"cmp"
	"context"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// cheapSteps is up to how many steps a cycle is followed anew for every option.
const cheapSteps = 20_000

// ranked orders options for a capacitor by what they change, and says how much.
// Where the unit swings its period and the averages and ripple of every net are
// compared, measured by what the part's own tolerance changes. At rest no
// voltage depends on a capacitor: there the departure itself counts, as a share
// of its tolerance, and more than marked counts for nothing in an electrolytic,
// which only has to be large enough.
func ranked(ctx context.Context, m *sim.Model, p circuit.Part, value float64, options []Option) error {
	swinging, err := measure(ctx, m, p.Ref, value, toleranceOf(p), options)
	if err != nil {
		return err
	}
	if !swinging {
		for i := range options {
			off := options[i].Value/value - 1
			if p.Kind == circuit.Electrolytic {
				off = math.Min(off, 0)
			}
			options[i].Effect = math.Abs(off) / math.Max(toleranceOf(p), 0.01)
		}
	}
	slices.SortStableFunc(options, func(a, b Option) int {
		if d := cmp.Compare(len(a.Values), len(b.Values)); d != 0 && a.Effect <= 1+1e-9 && b.Effect <= 1+1e-9 {
			return d
		}
		return cmp.Compare(a.Effect, b.Effect)
	})
	return nil
}

// measure fills in the effect on the settled cycles; false where the unit is at
// rest in every state, or its cycles take too long to follow.
func measure(ctx context.Context, m *sim.Model, ref circuit.PartRef, value, tolerance float64, options []Option) (bool, error) {
	good, err := figuresOf(ctx, m, nil)
	if err != nil || len(good.values) == 0 || good.steps > cheapSteps {
		return false, err
	}
	allowed := slices.Clone(good.floor)
	for _, factor := range []float64{1 - tolerance, 1 + tolerance} {
		moved, err := figuresOf(ctx, m, sim.Variant{sim.Scale(ref, sim.KnobValue, factor)})
		if err != nil {
			return false, err
		}
		for i := range min(len(allowed), len(moved.values)) {
			allowed[i] = math.Max(allowed[i], math.Abs(moved.values[i]-good.values[i]))
		}
	}
	for k := range options {
		moved, err := figuresOf(ctx, m, sim.Variant{sim.Scale(ref, sim.KnobValue, options[k].Value/value)})
		if err != nil {
			return false, err
		}
		options[k].Effect = good.change(moved, allowed)
	}
	return true, nil
}

// figures are what is compared of the settled cycles: in each state that swings
// the logarithm of the period, and every net's average and ripple.
type figures struct {
	values snapshot
	floor  snapshot // the change of each that nobody would notice
	steps  int
}

// stopped is the effect of what keeps a unit from swinging: beyond any other.
const stopped = 1e6

// change is the largest change of a figure against what is allowed.
func (f figures) change(moved figures, allowed snapshot) float64 {
	if len(moved.values) != len(f.values) {
		return stopped
	}
	var worst float64
	for i, v := range f.values {
		worst = math.Max(worst, math.Abs(moved.values[i]-v)/allowed[i])
	}
	return worst
}

func figuresOf(ctx context.Context, m *sim.Model, v sim.Variant) (figures, error) {
	var f figures
	for _, state := range statesOf(m.Circuit()) {
		s, err := cycleOf(ctx, m, state, v, nil)
		if err != nil {
			return figures{}, err
		}
		if s == nil {
			continue
		}
		f.steps += s.Steps
		if s.Period > 0 {
			f.values, f.floor = append(f.values, math.Log(s.Period)), append(f.floor, smallEffect)
		}
		for _, n := range m.Nets() {
			c, _ := s.Net(n)
			for _, volts := range []float64{c.Average, c.Ripple} {
				f.values, f.floor = append(f.values, volts), append(f.floor, smallEffect*math.Abs(volts)+1e-3)
			}
		}
	}
	return f, nil
}
