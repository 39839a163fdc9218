package meter_test

import (
	"context"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// biased is a divider-biased stage with a lamp, a diode, a follower and a neon
// about it: bent elements of every sort, some conducting, some not.
func biased() *circuit.Circuit {
	transistor := circuit.Part{Ref: "Q1", Kind: circuit.NPN, Leads: []circuit.Lead{{Name: "c", Net: "c"}, {Name: "b", Net: "b"}, {Name: "e", Net: "e"}}}
	diode := circuit.Part{Ref: "D1", Kind: circuit.Diode, Leads: []circuit.Lead{{Name: "a", Net: "e"}, {Name: "k", Net: "k"}}}
	lamp := circuit.Part{Ref: "DS1", Kind: circuit.Lamp, Leads: []circuit.Lead{{Name: "1", Net: "s"}, {Name: "2", Net: "l"}},
		Amounts: map[string]circuit.Amount{"voltage": {Value: 6, Unit: quantity.Volt}, "current": {Value: 0.05, Unit: quantity.Ampere}}}
	follower := circuit.Part{Ref: "U1", Kind: circuit.OpAmp, Leads: []circuit.Lead{{Name: "+in", Net: "e"}, {Name: "-in", Net: "f"}, {Name: "out", Net: "f"}, {Name: "v+", Net: "s"}, {Name: "v-", Net: "0"}}}
	neon := circuit.Part{Ref: "DS2", Kind: circuit.Neon, Leads: []circuit.Lead{{Name: "1", Net: "s"}, {Name: "2", Net: "f"}}}
	r := func(ref circuit.PartRef, a, b circuit.NetID, ohms float64) circuit.Part {
		return part(ref, circuit.Resistor, a, b, "value", ohms, quantity.Ohm, 0)
	}
	return &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("B1", circuit.Battery, "s", "0", "voltage", 9, quantity.Volt, 1), transistor, diode, lamp, follower, neon,
		r("R1", "s", "b", 100e3), r("R2", "b", "0", 22e3), r("R3", "s", "c", 4.7e3), r("R4", "e", "0", 1e3), r("R5", "k", "0", 470), r("R6", "l", "0", 220), r("R7", "f", "0", 10e3),
	}}
}

// TestGlanceAgreesWithRead: wherever a glance is taken to serve, the full
// reading is the same to a percent or so; and it serves often.
func TestGlanceAgreesWithRead(t *testing.T) {
	model, err := sim.Compile(biased(), sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ctx, m := context.Background(), meter.Default(meter.Digital)
	served, asked := 0, 0
	for _, mode := range []meter.Mode{meter.VoltsDC, meter.Ohms, meter.Continuity, meter.Junction} {
		for _, red := range model.Nets() {
			for _, black := range model.Nets() {
				q := between(mode, red, black)
				in, err := meter.Instance(model, q, nil)
				if err != nil {
					t.Fatal(err)
				}
				at, err := in.Solve(ctx, nil, nil)
				if err != nil {
					t.Fatal(err)
				}
				tangent, ok := in.Tangent(at)
				if !ok {
					t.Fatal("no tangent at the operating point")
				}
				quick, ok, err := m.Glance(tangent, q)
				if err != nil {
					t.Fatal(err)
				}
				full, err := m.Read(ctx, in, at, q)
				if err != nil {
					t.Fatal(err)
				}
				asked++
				if !ok {
					continue
				}
				served++
				if quick.Overrange != full.Overrange || math.Abs(quick.Value-full.Value) > 0.012*math.Abs(full.Value)+5e-4 {
					t.Errorf("%s from %s to %s: glance %+v, read %+v", mode, red, black, quick, full)
				}
			}
		}
	}
	if served < asked/2 {
		t.Errorf("a glance served for %d of %d readings only", served, asked)
	}
}
