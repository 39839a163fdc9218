package sim_test

import (
	"context"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// everyFault is every part out, and every part shorted across its first leads.
func everyFault(c *circuit.Circuit) []sim.Variant {
	var out []sim.Variant
	for _, p := range c.Parts {
		out = append(out, sim.Variant{sim.Remove(p.Ref)}, sim.Variant{sim.Short(p.Ref, p.Leads[0].Name, p.Leads[1].Name, 1)})
	}
	return out
}

func TestBatchIsTheSameOnAnyNumberOfWorkers(t *testing.T) {
	c := build(t, amplifier(3)...)
	m := compile(t, c)
	faults := everyFault(c)
	one, err := m.Batch(context.Background(), circuit.State{}, faults, 1)
	if err != nil {
		t.Fatal(err)
	}
	many, err := m.Batch(context.Background(), circuit.State{}, faults, 7)
	if err != nil {
		t.Fatal(err)
	}
	for k := range faults {
		if one[k].Err != nil || many[k].Err != nil {
			t.Fatalf("%v: %v, %v", faults[k], one[k].Err, many[k].Err)
		}
		for _, n := range m.Nets() {
			a, okA := one[k].Solution.Voltage(n)
			b, okB := many[k].Solution.Voltage(n)
			if a != b || okA != okB {
				t.Errorf("%v, net %s: %v and %v", faults[k], n, a, b)
			}
		}
	}
}

func TestBatchEndsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	c := build(t, amplifier(1)...)
	if _, err := compile(t, c).Batch(ctx, circuit.State{}, everyFault(c), 2); err != context.Canceled {
		t.Errorf("got %v", err)
	}
}
