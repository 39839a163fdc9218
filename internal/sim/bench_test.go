package sim_test

import (
	"context"
	"fmt"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// amplifier is stages of direct-coupled and divider-biased transistors: 50
// nets at 10 stages.
func amplifier(stages int) []string {
	lines := []string{"BT1 battery v gnd voltage=12 resistance=1"}
	for k := range stages {
		n := func(s string) string { return fmt.Sprintf("%s%d", s, k) }
		lines = append(lines,
			fmt.Sprintf("R%d1 resistor v %s value=47k", k, n("b")), fmt.Sprintf("R%d2 resistor %s gnd value=10k", k, n("b")),
			fmt.Sprintf("R%d3 resistor v %s value=4.7k", k, n("c")), fmt.Sprintf("R%d4 resistor %s gnd value=1k", k, n("e")),
			fmt.Sprintf("Q%d1 npn %s %s %s gain=200", k, n("c"), n("b"), n("e")),
			fmt.Sprintf("Q%d2 npn v %s %s gain=200", k, n("c"), n("o")), fmt.Sprintf("R%d5 resistor %s gnd value=2.2k", k, n("o")),
			fmt.Sprintf("C%d1 capacitor %s %s value=1", k, n("o"), n("i")), fmt.Sprintf("D%d1 diode %s gnd", k, n("i")),
			fmt.Sprintf("R%d6 resistor %s %s value=10k", k, n("i"), n("o")))
	}
	return lines
}

func benchModel(b *testing.B, lines []string) *sim.Instance {
	m := compile(b, build(b, lines...))
	in, err := m.Instance(circuit.State{}, nil)
	if err != nil {
		b.Fatal(err)
	}
	return in
}

// BenchmarkOperatingPoint50 is a 51-node circuit after the first solve, each
// solve another tolerance draw.
func BenchmarkOperatingPoint50(b *testing.B) { benchDraws(b, amplifier(10)) }

// BenchmarkOperatingPoint10 is a small circuit, ten nodes.
func BenchmarkOperatingPoint10(b *testing.B) { benchDraws(b, amplifier(2)) }

func benchDraws(b *testing.B, lines []string) {
	in := benchModel(b, lines)
	ctx := context.Background()
	nominal, err := in.Solve(ctx, nil, nil)
	if err != nil {
		b.Fatal(err)
	}
	draws := in.Model().Draws(64, 1)
	b.ReportAllocs()
	k := 0
	for b.Loop() {
		if _, err := in.Solve(ctx, draws[k%len(draws)], nominal); err != nil {
			b.Fatal(err)
		}
		k++
	}
}

// BenchmarkColdStart50 is the first solve, equations included.
func BenchmarkColdStart50(b *testing.B) {
	m := compile(b, build(b, amplifier(10)...))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.OperatingPoint(context.Background(), circuit.State{}, sim.Run{}); err != nil {
			b.Fatal(err)
		}
	}
}

// singleFaults are faults of every sort, one at a time: parts out, shorted, off
// their value, leads lifted, nets bridged.
func singleFaults(c *circuit.Circuit, nets []circuit.NetID, count int) []sim.Variant {
	out := make([]sim.Variant, count)
	for k := range out {
		p := c.Parts[k/5%len(c.Parts)]
		switch k % 5 {
		case 0:
			out[k] = sim.Variant{sim.Remove(p.Ref)}
		case 1:
			out[k] = sim.Variant{sim.Short(p.Ref, p.Leads[0].Name, p.Leads[1].Name, 1)}
		case 2:
			out[k] = sim.Variant{sim.Scale(p.Ref, sim.KnobValue, 3)}
		case 3:
			out[k] = sim.Variant{sim.Lift(p.Ref, p.Leads[0].Name, 1e6)}
		default:
			out[k] = sim.Variant{sim.Bridge(nets[k%len(nets)], nets[(k*7+3)%len(nets)], 0.1)}
		}
	}
	return out
}

// BenchmarkVariants is 1,000 single faults of a 100-part circuit on two
// workers, each from the good unit's operating point: the budget is 2 s on two
// cores.
func BenchmarkVariants(b *testing.B) {
	c := build(b, amplifier(10)...)
	m := compile(b, c)
	faults := singleFaults(c, m.Nets(), 1000)
	for b.Loop() {
		out, err := m.Batch(b.Context(), circuit.State{}, faults, 2)
		if err != nil {
			b.Fatal(err)
		}
		for k, o := range out {
			if o.Err != nil {
				b.Fatal(faults[k], o.Err)
			}
		}
	}
}

// longLadder is parts in a row of series resistors, with resistors and diodes
// across in turn, on one battery.
func longLadder(parts int) []string {
	lines := []string{"BT1 battery n0 gnd voltage=100 resistance=1"}
	for k := 0; len(lines) < parts; k++ {
		lines = append(lines, fmt.Sprintf("RA%d resistor n%d n%d value=%d", k, k, k+1, 10+k%7), fmt.Sprintf("RB%d resistor n%d gnd value=%dk", k, k+1, 20+k%11))
		if k%3 == 0 {
			lines = append(lines, fmt.Sprintf("D%d diode n%d n%d", k, k+1, k))
		}
	}
	return lines[:parts]
}

// BenchmarkLadder is the whole way from the circuit to its operating point by
// the number of parts: the cost must grow no faster than with its power 1.3.
func BenchmarkLadder(b *testing.B) {
	for _, parts := range []int{100, 1000, 10000} {
		c := build(b, longLadder(parts)...)
		b.Run(fmt.Sprintf("parts=%d", parts), func(b *testing.B) {
			for b.Loop() {
				m := compile(b, c)
				if _, err := m.OperatingPoint(b.Context(), circuit.State{}, sim.Run{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCompile50(b *testing.B) {
	c := build(b, amplifier(10)...)
	for b.Loop() {
		compile(b, c)
	}
}

// BenchmarkTransient is a blocking oscillator through some ten periods, and a
// half-wave rectifier through five.
func BenchmarkTransient(b *testing.B) {
	rows := map[string]struct {
		span  float64
		parts []string
	}{
		"blocking oscillator": {2e-3, []string{"BT1 battery v gnd voltage=6 resistance=0.2",
			"T1 transformer v c b0 v coupling=0.98 winding_p=0.2,20,200u winding_f=0.5,8", "R1 resistor b0 b value=100",
			"C1 capacitor b gnd value=10n", "Q1 npn c b gnd gain=100 current=3", "R2 resistor c gnd value=2.2k"}},
		"rectifier": {0.1, []string{"G1 signal in gnd voltage=20 frequency=50 resistance=1", "D1 diode in out current=1",
			"C1 electrolytic out gnd value=1m", "R1 resistor out gnd value=1k"}},
	}
	for name, r := range rows {
		b.Run(name, func(b *testing.B) {
			m := compile(b, build(b, r.parts...))
			points := 0
			for b.Loop() {
				w, err := m.Transient(b.Context(), circuit.State{}, sim.TransientOptions{For: r.span})
				if err != nil {
					b.Fatal(err)
				}
				points = len(w.Time)
			}
			b.ReportMetric(float64(points), "points")
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*points), "µs/point")
		})
	}
}
