package charge

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

const (
	// mostOptions are listed.
	mostOptions = 6
	// pairWithin is how near a pair must come to be listed at all.
	pairWithin = 0.02
	// smallEffect is a change of a reading that nobody would notice, where
	// tolerances alone allow less.
	smallEffect = 0.005
)

// resistorOptions ranks single values of E24 and pairs of E12 by how much
// they change the readings of the unit, as a share of what tolerances allow:
// 12 kΩ for 10 kΩ may matter or not, which closeness alone does not tell. Where
// the unit swings its cycles are compared, else its operating points.
func resistorOptions(ctx context.Context, m *sim.Model, p circuit.Part, value float64, r Required) ([]Option, error) {
	candidates := singles(value)
	candidates = append(candidates, couples(value)...)
	swinging, err := measure(ctx, m, p.Ref, value, toleranceOf(p), candidates)
	if err != nil {
		return nil, err
	}
	var allowed snapshot
	if !swinging {
		if allowed, err = scatter(ctx, m); err != nil {
			return nil, err
		}
	}
	for i := range candidates {
		c := &candidates[i]
		if !swinging {
			if c.Effect, err = effect(ctx, m, p.Ref, c.Value/value, allowed); err != nil {
				return nil, err
			}
		}
		c.Text += ratingText(*c, r, p)
	}
	slices.SortStableFunc(candidates, func(a, b Option) int {
		if d := cmp.Compare(len(a.Values), len(b.Values)); d != 0 && a.Effect <= 1 && b.Effect <= 1 {
			return d // one resistor before two, where either serves
		}
		return cmp.Compare(a.Effect, b.Effect)
	})
	return candidates[:min(len(candidates), mostOptions)], nil
}

// ratingText names the power of each resistor, not less than that of the one
// that was fitted: in a pair each takes less, but the share depends, so each
// is asked to stand it all.
func ratingText(o Option, r Required, p circuit.Part) string {
	if fitted, ok := p.Amount("power"); ok {
		r.Watts = math.Max(r.Watts, fitted)
	}
	for _, rating := range filmRatings() {
		if rating.Watts >= r.Watts && WorkingVolts(o.Value, rating.Watts) >= math.Min(r.Volts, math.Sqrt(o.Value*rating.Watts)) && rating.Working >= r.Volts {
			return fmt.Sprintf(", %s", quantity.Format(rating.Watts, quantity.Watt, 3))
		}
	}
	return fmt.Sprintf(", wirewound for %s or several in series", quantity.Format(r.Watts, quantity.Watt, 2))
}

func singles(value float64) []Option {
	near, err := quantity.E24.Near(value, 5)
	if err != nil {
		return nil
	}
	var out []Option
	for _, v := range near {
		out = append(out, Option{Value: v, Text: quantity.Format(v, quantity.Ohm, 3)})
	}
	return out
}

// couples are two values of E12 in series or parallel.
func couples(value float64) []Option {
	var out []Option
	best := map[string]float64{}
	for _, decade := range []float64{0.01, 0.1, 1, 10} {
		for _, mantissa := range quantity.E12.Values() {
			a := mantissa * math.Pow(10, math.Floor(math.Log10(value))) * decade
			if b := value - a; b >= a/20 && b <= a*(1+1e-9) {
				out = addCouple(out, best, "series", a, nearE12(b), value)
			}
			if a > value && a <= 2*value*(1+1e-9) {
				out = addCouple(out, best, "parallel", a, nearE12(a*value/(a-value)), value)
			}
		}
	}
	return out
}

func nearE12(v float64) float64 {
	near, err := quantity.E12.Near(v, 1)
	if err != nil {
		return v
	}
	return near[0]
}

// addCouple keeps the nearest couple of either kind.
func addCouple(out []Option, best map[string]float64, joined string, a, b, value float64) []Option {
	total := a + b
	if joined == "parallel" {
		total = a * b / (a + b)
	}
	off := math.Abs(total/value - 1)
	if old, ok := best[joined]; off > pairWithin || ok && off >= old {
		return out
	}
	best[joined] = off
	o := Option{Value: total, Values: []float64{a, b}, Joined: joined,
		Text: fmt.Sprintf("%s and %s in %s", quantity.Format(a, quantity.Ohm, 3), quantity.Format(b, quantity.Ohm, 3), joined)}
	for i := range out {
		if out[i].Joined == joined {
			out[i] = o
			return out
		}
	}
	return append(out, o)
}

// snapshot is every net's voltage in every state.
type snapshot []float64

func take(ctx context.Context, m *sim.Model, v sim.Variant, d sim.Draw) (snapshot, error) {
	var out snapshot
	for _, state := range statesOf(m.Circuit()) {
		in, err := m.Instance(state, v)
		if err != nil {
			return nil, err
		}
		at, err := in.Solve(ctx, d, nil)
		if err != nil {
			return nil, err
		}
		for _, n := range m.Nets() {
			volts, _ := at.Voltage(n)
			out = append(out, volts)
		}
	}
	return out, nil
}

// scatter is how far tolerances move each voltage of a good unit: two
// standard deviations over a few draws, or a little of the voltage.
func scatter(ctx context.Context, m *sim.Model) (snapshot, error) {
	const draws = 24
	var sum, squares snapshot
	for _, d := range m.Draws(draws, 1) {
		s, err := take(ctx, m, nil, d)
		if err != nil {
			return nil, err
		}
		if sum == nil {
			sum, squares = make(snapshot, len(s)), make(snapshot, len(s))
		}
		for i, v := range s {
			sum[i], squares[i] = sum[i]+v, squares[i]+v*v
		}
	}
	out := make(snapshot, len(sum))
	for i := range out {
		mean := sum[i] / draws
		out[i] = 2*math.Sqrt(math.Max(0, squares[i]/draws-mean*mean)) + smallEffect*math.Abs(mean) + 1e-3
	}
	return out, nil
}

// effect is the largest change of a voltage against what tolerances allow.
func effect(ctx context.Context, m *sim.Model, ref circuit.PartRef, factor float64, allowed snapshot) (float64, error) {
	good, err := take(ctx, m, nil, nil)
	if err != nil {
		return 0, err
	}
	changed, err := take(ctx, m, sim.Variant{sim.Scale(ref, sim.KnobValue, factor)}, nil)
	if err != nil {
		return 0, err
	}
	var worst float64
	for i := range good {
		worst = math.Max(worst, math.Abs(changed[i]-good[i])/allowed[i])
	}
	return worst, nil
}
