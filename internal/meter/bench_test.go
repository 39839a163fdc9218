package meter_test

import (
	"context"
	"fmt"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// stage is a divider-biased transistor with an emitter follower: 12 parts.
func stages(n int) *circuit.Circuit {
	c := &circuit.Circuit{Common: "gnd", Parts: []circuit.Part{part("BT1", circuit.Battery, "v", "gnd", "voltage", 12, quantity.Volt, 1)}}
	r := func(ref string, a, b circuit.NetID, ohms float64) {
		p := part(circuit.PartRef(ref), circuit.Resistor, a, b, "value", ohms, quantity.Ohm, 0)
		delete(p.Amounts, "tolerance")
		c.Parts = append(c.Parts, p)
	}
	for k := range n {
		at := func(s string) circuit.NetID { return circuit.NetID(fmt.Sprint(s, k)) }
		ref := func(s string) string { return fmt.Sprint(s, k) }
		r(ref("RA"), "v", at("b"), 47e3)
		r(ref("RB"), at("b"), "gnd", 10e3)
		r(ref("RC"), "v", at("c"), 4.7e3)
		r(ref("RD"), at("e"), "gnd", 1e3)
		r(ref("RE"), at("o"), "gnd", 2.2e3)
		for i, nets := range [][3]circuit.NetID{{at("c"), at("b"), at("e")}, {"v", at("c"), at("o")}} {
			c.Parts = append(c.Parts, circuit.Part{Ref: circuit.PartRef(fmt.Sprint("Q", k, i)), Kind: circuit.NPN,
				Amounts: map[string]circuit.Amount{"gain": {Value: 200}},
				Leads:   []circuit.Lead{{Name: "c", Net: nets[0]}, {Name: "b", Net: nets[1]}, {Name: "e", Net: nets[2]}}})
		}
	}
	return c
}

func benchRead(b *testing.B, mode meter.Mode) {
	model, err := sim.Compile(stages(4), sim.Options{})
	if err != nil {
		b.Fatal(err)
	}
	ctx := context.Background()
	q := between(mode, "b1", "gnd")
	in, err := meter.Instance(model, q, nil)
	if err != nil {
		b.Fatal(err)
	}
	at, err := in.Solve(ctx, nil, nil)
	if err != nil {
		b.Fatal(err)
	}
	m := meter.Default(meter.Digital)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Read(ctx, in, at, q); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadVolts(b *testing.B)    { benchRead(b, meter.VoltsDC) }
func BenchmarkReadOhms(b *testing.B)     { benchRead(b, meter.Ohms) }
func BenchmarkReadJunction(b *testing.B) { benchRead(b, meter.Junction) }

// BenchmarkTable is the whole table of a circuit of 16 nets, 200 units each.
func BenchmarkTable(b *testing.B) {
	model, err := sim.Compile(stages(4), sim.Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := meter.Table(context.Background(), model, nil, meter.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
