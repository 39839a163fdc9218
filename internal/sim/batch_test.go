package sim_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

func TestBatchIsTheSameOnAnyNumberOfWorkers(t *testing.T) {
	c := build(t, amplifier(3)...)
	m := compile(t, c)
	faults := singleFaults(c, m.Nets(), 400)
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
	m := compile(t, c)
	if _, err := m.Batch(ctx, circuit.State{}, singleFaults(c, m.Nets(), 10), 2); err != context.Canceled {
		t.Errorf("got %v", err)
	}
}

// drawnAs is the circuit with a fault drawn into it, as far as a part can
// stand for it; ok is false where none can.
func drawnAs(t *testing.T, lines []string, fault sim.Change) (drawn *circuit.Circuit, ok bool) {
	c := build(t, lines...)
	at := slices.IndexFunc(c.Parts, func(p circuit.Part) bool { return p.Ref == fault.Part })
	switch fault.Op {
	case sim.OpRemove:
		// Its nets stay, held by test points.
		for k, l := range c.Parts[at].Leads {
			c.Parts = append(c.Parts, parsePart(t, fmt.Sprintf("TPX%d test-point %s", k, l.Net)))
		}
		c.Parts = slices.Delete(c.Parts, at, at+1)
	case sim.OpShort:
		p := c.Parts[at]
		c.Parts = append(c.Parts, parsePart(t, fmt.Sprintf("RX resistor %s %s value=%g", p.Net(fault.Leads[0]), p.Net(fault.Leads[1]), fault.Ohms)))
	case sim.OpBridge:
		c.Parts = append(c.Parts, parsePart(t, fmt.Sprintf("RX resistor %s %s value=%g", fault.Nets[0], fault.Nets[1], fault.Ohms)))
	case sim.OpLift:
		for k := range c.Parts[at].Leads {
			if l := &c.Parts[at].Leads[k]; l.Name == fault.Leads[0] {
				c.Parts = append(c.Parts, parsePart(t, fmt.Sprintf("RX resistor %s xx value=%g", l.Net, fault.Ohms)))
				l.Net = "xx"
			}
		}
	default:
		return nil, false
	}
	return c, true
}

// TestFaultsAreTheCircuitsDrawnForThem: with the good unit's pattern, pivots
// and links, every single fault gives what its circuit gives when drawn and
// solved from nothing.
func TestFaultsAreTheCircuitsDrawnForThem(t *testing.T) {
	lines := amplifier(4)
	c := build(t, lines...)
	m := compile(t, c)
	faults := singleFaults(c, m.Nets(), 600)
	out, err := m.Batch(t.Context(), circuit.State{}, faults, 2)
	if err != nil {
		t.Fatal(err)
	}
	compared, linked := 0, 0
	for k, fault := range faults {
		drawn, ok := drawnAs(t, lines, fault[0])
		if !ok {
			continue
		}
		if out[k].Err != nil {
			t.Fatal(fault, out[k].Err)
		}
		compared++
		if out[k].Solution.Links() > 0 {
			linked++
		}
		alone := solve(t, drawn, circuit.State{}, nil)
		for _, n := range m.Nets() {
			got, okGot := out[k].Solution.Voltage(n)
			want, okWant := alone.Voltage(n)
			if okGot != okWant || math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
				t.Errorf("%v, net %s: %.10g V (%v), drawn %.10g V (%v)", fault, n, got, okGot, want, okWant)
			}
		}
	}
	if compared < 400 || linked < 20 {
		t.Errorf("only %d faults compared, %d with links", compared, linked)
	}
}

// TestSolvesDoNotDependOnWhatWasSolvedBefore: also where another solve needed
// other pivots.
func TestSolvesDoNotDependOnWhatWasSolvedBefore(t *testing.T) {
	m := compile(t, build(t, amplifier(3)...))
	fresh := func() (*sim.Instance, *sim.Solution) {
		in, err := m.Instance(circuit.State{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		s, err := in.Solve(t.Context(), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		return in, s
	}
	draws := m.Draws(2, 3)
	in, from := fresh()
	alone, err := in.Solve(t.Context(), draws[0], from)
	if err != nil {
		t.Fatal(err)
	}
	in, from = fresh()
	for _, d := range []sim.Draw{draws[1], nil} {
		if _, err := in.Solve(t.Context(), d, nil); err != nil {
			t.Fatal(err)
		}
	}
	after, err := in.Solve(t.Context(), draws[0], from)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range m.Nets() {
		if a, b := volts(t, alone, n), volts(t, after, n); a != b {
			t.Errorf("net %s: %v alone, %v after others", n, a, b)
		}
	}
}
