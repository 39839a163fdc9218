package sim_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// silly puts values that no bench has into a random circuit.
func silly(rng *rand.Rand, c *circuit.Circuit) {
	amounts := []float64{0, 1e-300, 1e-15, 1e-6, 1, 1e6, 1e15, 1e300, -1, math.MaxFloat64}
	for _, p := range c.Parts {
		info, _ := circuit.Lookup(p.Kind)
		for _, param := range info.Params {
			if len(param.Units) == 0 || rng.IntN(4) > 0 {
				continue
			}
			a := circuit.Amount{Value: amounts[rng.IntN(len(amounts))], Unit: param.Units[0]}
			if at := amounts[rng.IntN(len(amounts))]; rng.IntN(2) == 0 {
				a.At = &at
			}
			p.Amounts[param.Name] = a
		}
		for k := range p.Windings {
			w := &p.Windings[k]
			for _, figure := range []*float64{&w.Turns, w.Resistance, w.Inductance} {
				if figure != nil && rng.IntN(4) == 0 {
					*figure = amounts[rng.IntN(len(amounts))]
				}
			}
		}
	}
}

// FuzzCircuit: whatever the values, a circuit ends with an answer in numbers
// or with a reason, and soon.
func FuzzCircuit(f *testing.F) {
	for seed := range uint64(60) {
		f.Add(seed, uint8(3+seed%9), uint8(2+seed%25), seed%2 == 0)
	}
	f.Fuzz(func(t *testing.T, seed uint64, nets, parts uint8, odd bool) {
		rng := rand.New(rand.NewPCG(seed, 9))
		c := bench(rng, 2+int(nets)%14, int(parts)%40)
		if parts%3 == 0 { // stages of every kind instead of parts anywhere
			c = build(t, plausible(t, int(seed%1e6)).lines...)
		}
		if odd {
			silly(rng, c)
		}
		m, err := sim.Compile(c, sim.Options{})
		if err != nil {
			if !sim.IsRefusal(err) {
				t.Fatalf("not a refusal: %v", err)
			}
			return
		}
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		s, err := m.OperatingPoint(ctx, circuit.State{}, sim.Run{})
		if errors.Is(err, context.DeadlineExceeded) {
			t.Fatal("took more than ten seconds")
		}
		if err != nil {
			if !sim.IsRefusal(err) || err.Error() == "" {
				t.Fatalf("no reason: %v", err)
			}
			return
		}
		for _, p := range c.Parts {
			for _, l := range p.Leads {
				v, _ := s.Voltage(l.Net)
				i, _ := s.Current(p.Ref, l.Name)
				if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(i) || math.IsInf(i, 0) {
					t.Fatalf("%s.%s: %g V, %g A", p.Ref, l.Name, v, i)
				}
			}
		}
	})
}
