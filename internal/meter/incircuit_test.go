package meter_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// transistor is a part with the drop the books take.
func transistor(ref circuit.PartRef, k circuit.Kind, c, b, e circuit.NetID, gain, vbe, at float64) circuit.Part {
	return circuit.Part{Ref: ref, Kind: k, Leads: []circuit.Lead{{Name: "c", Net: c}, {Name: "b", Net: b}, {Name: "e", Net: e}},
		Amounts: map[string]circuit.Amount{"gain": {Value: gain}, "base-emitter voltage": {Value: vbe, At: &at}}}
}

func resistor(ref circuit.PartRef, a, b circuit.NetID, ohms float64) circuit.Part {
	return part(ref, circuit.Resistor, a, b, "value", ohms, quantity.Ohm, 0)
}

// diodePart is a small silicon diode of no known type.
func diodePart(a, k circuit.NetID) circuit.Part {
	return circuit.Part{Ref: "D1", Kind: circuit.Diode, Leads: []circuit.Lead{{Name: "a", Net: a}, {Name: "k", Net: k}}}
}

func parts(ps ...circuit.Part) *circuit.Circuit {
	return &circuit.Circuit{Common: "gnd", Parts: ps}
}

// read is the nominal reading of one variant.
func read(t *testing.T, c *circuit.Circuit, v sim.Variant, m meter.Meter, q meter.Query) meter.Reading {
	t.Helper()
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rs, err := m.Distribution(context.Background(), model, v, q, nil)
	if err != nil {
		t.Fatal(err)
	}
	return rs[0]
}

func TestOhmsInCircuit(t *testing.T) {
	digital := meter.Default(meter.Digital)
	loud := digital
	loud.OpenCircuit = 2.5
	diode := func(a, k circuit.NetID) circuit.Part {
		return diodePart(a, k)
	}
	for _, row := range []struct {
		name    string
		circuit *circuit.Circuit
		meter   meter.Meter
		red     circuit.NetID
		black   circuit.NetID
		want    float64 // 0: over-range
		within  float64
	}{
		{"D21 Grob's Basic Electronics ex. 5-6 p. 158: 40 Ω beside 60 Ω", parts(resistor("R1", "a", "gnd", 40), resistor("R2", "a", "gnd", 60)), digital, "a", "gnd", 24, 1e-6},
		{"D22 Grob's Basic Electronics ex. 5-7 p. 158: 50 kΩ twice", parts(resistor("R1", "a", "gnd", 50e3), resistor("R2", "a", "gnd", 50e3)), digital, "a", "gnd", 25e3, 1e-3},
		{"D23 Grob's Basic Electronics ex. 5-2 p. 150: three branches", parts(resistor("R1", "a", "gnd", 20), resistor("R2", "a", "gnd", 40), resistor("R3", "a", "gnd", 60)), digital, "a", "gnd", 10.91, 0.005},
		{"a supply is out of the circuit", parts(part("BT1", circuit.Battery, "a", "gnd", "voltage", 9, quantity.Volt, 1), resistor("R1", "a", "gnd", 4700)), digital, "a", "gnd", 4700, 1e-6},
		{"D44 Kuphaldt, LIEC: low-power ohms leave a junction off", parts(resistor("R1", "a", "gnd", 1e3), diode("a", "gnd")), digital, "a", "gnd", 1e3, 2},
		// On the lowest range: 0.72 V at 8.9 mA.
		{"a 2.5 V ohms function turns it on", parts(resistor("R1", "a", "gnd", 1e3), diode("a", "gnd")), loud, "a", "gnd", 81, 5},
		{"and not with its leads changed over", parts(resistor("R1", "a", "gnd", 1e3), diode("a", "gnd")), loud, "gnd", "a", 1e3, 0.01},
		{"a capacitor alone is open", parts(part("C1", circuit.Capacitor, "a", "gnd", "value", 1e-6, quantity.Farad, 0)), digital, "a", "gnd", 0, 0},
		{"above 20 MΩ", parts(resistor("R1", "a", "gnd", 21e6)), digital, "a", "gnd", 0, 0},
		{"just below", parts(resistor("R1", "a", "gnd", 19.9e6)), digital, "a", "gnd", 19.9e6, 1},
		{"nets with nothing between them", parts(resistor("R1", "a", "gnd", 1e3), resistor("R2", "b", "c", 1e3)), digital, "a", "b", 0, 0},
		{"nets of an island", parts(resistor("R1", "a", "gnd", 1e3), resistor("R2", "b", "c", 1e3)), digital, "b", "c", 1e3, 1e-6},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := read(t, row.circuit, nil, row.meter, between(meter.Ohms, row.red, row.black))
			if row.want == 0 {
				if !r.Overrange {
					t.Errorf("reads %g Ω, want over-range", r.Value)
				}
				return
			}
			if r.Overrange || math.Abs(r.Value-row.want) > row.within {
				t.Errorf("reads %+v, want %g ± %g", r, row.want, row.within)
			}
		})
	}
}

// TestSeriesOhmmeterScale holds the ohms function against the published
// scale: with the mid-scale resistance connected half the cell's voltage is
// left, with a third of it a quarter, with three times it three quarters.
func TestSeriesOhmmeterScale(t *testing.T) {
	for _, row := range []struct {
		name             string
		volts, mid, ohms float64
		share            float64
	}{
		{"D03 Kuphaldt, LIEC DC ch. 8: half scale 9 kΩ", 9, 9e3, 9e3, 0.5},
		{"D03 Kuphaldt, LIEC DC ch. 8: quarter scale 27 kΩ", 9, 9e3, 27e3, 0.25},
		{"D03 Kuphaldt, LIEC DC ch. 8: three quarters 3 kΩ", 9, 9e3, 3e3, 0.75},
		{"D24 Bell, Electronic Instrumentation 2e ex. 3-14: half 15 kΩ", 1.5, 15e3, 15e3, 0.5},
		{"D24 Bell, Electronic Instrumentation 2e ex. 3-14: quarter 45 kΩ", 1.5, 15e3, 45e3, 0.25},
		{"D24 Bell, Electronic Instrumentation 2e ex. 3-14: three quarters 5 kΩ", 1.5, 15e3, 5e3, 0.75},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := meter.Default(meter.Analogue)
			m.OpenCircuit, m.OhmsRanges = row.volts, []float64{row.mid}
			r := read(t, parts(resistor("R1", "a", "gnd", row.ohms)), nil, m, between(meter.Ohms, "a", "gnd"))
			deflection := row.mid / (row.mid + r.Value)
			if math.Abs(r.Value-row.ohms) > 1e-9*row.ohms || math.Abs(deflection-row.share) > 1e-9 {
				t.Errorf("reads %g Ω at %g of full deflection, want %g at %g", r.Value, deflection, row.ohms, row.share)
			}
		})
	}
}

func TestJunctionFunction(t *testing.T) {
	digital := meter.Default(meter.Digital)
	diode := parts(diodePart("a", "gnd"))
	// LIEC's unknown transistor is a PNP; base 3, emitter 1, collector 2.
	// With its collector open the emitter junction drops 13 mV more than at the
	// same emitter current with the collector at work.
	pnp := parts(transistor("Q1", circuit.PNP, "2", "3", "1", 100, 0.6417, 0.001))
	for _, row := range []struct {
		name       string
		circuit    *circuit.Circuit
		fault      sim.Variant
		red, black circuit.NetID
		low, high  float64 // both 0: over-range
	}{
		{"D32 instrument manual p. 17: silicon forward 0.4 to 0.7 V", diode, nil, "a", "gnd", 0.4, 0.7},
		{"D43 Kuphaldt, LIEC Semi ch. 3: a diode at 0.548 V", diode, nil, "a", "gnd", 0.5, 0.65},
		{"D32 instrument manual p. 17: reverse over-range", diode, nil, "gnd", "a", 0, 0},
		{"D32 instrument manual p. 17: shorted 0 V", diode, sim.Variant{sim.Short("D1", "a", "k", 0.1)}, "gnd", "a", 1e-9, 0.001},
		{"D32 instrument manual p. 17: open both ways", diode, sim.Variant{sim.Remove("D1")}, "a", "gnd", 0, 0},
		{"D42 Kuphaldt, LIEC Semi ch. 4: emitter + to base", pnp, nil, "1", "3", 0.654, 0.656},
		// 0.621 V in the book, of one sample; how far the larger collector
		// junction lies below is a matter of the reverse gain, a class value.
		{"D42 Kuphaldt, LIEC Semi ch. 4: collector + to base", pnp, nil, "2", "3", 0.61, 0.64},
		{"D42 Kuphaldt, LIEC Semi ch. 4: base + to emitter", pnp, nil, "3", "1", 0, 0},
		{"D42 Kuphaldt, LIEC Semi ch. 4: base + to collector", pnp, nil, "3", "2", 0, 0},
		{"D42 Kuphaldt, LIEC Semi ch. 4: emitter + to collector", pnp, nil, "1", "2", 0, 0},
		{"D42 Kuphaldt, LIEC Semi ch. 4: collector + to emitter", pnp, nil, "2", "1", 0, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := read(t, row.circuit, row.fault, digital, between(meter.Junction, row.red, row.black))
			switch {
			case row.high == 0 && !r.Overrange:
				t.Errorf("reads %g V, want over-range", r.Value)
			case row.high != 0 && (r.Overrange || r.Value < row.low || r.Value > row.high):
				t.Errorf("reads %+v, want %g to %g V", r, row.low, row.high)
			}
		})
	}
}

// TestAnalogueOhmsOnAJunction: a junction has no single resistance (D33).
func TestAnalogueOhmsOnAJunction(t *testing.T) {
	c := parts(diodePart("a", "gnd"))
	for _, row := range []struct {
		name      string
		mid       float64
		want      float64
		withinPer float64
	}{
		// Class values: the maker says "about", and its mid-scale is remembered.
		{"D33 gvda-instrument.com: R×1k about 10 kΩ", 16.5e3, 10e3, 0.25},
		{"D33 gvda-instrument.com: R×10 about 200 Ω", 165, 200, 0.4},
		{"D33 gvda-instrument.com: R×1 about 30 Ω", 16.5, 30, 0.4},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := meter.Default(meter.Analogue)
			m.OhmsRanges = []float64{row.mid}
			r := read(t, c, nil, m, between(meter.Ohms, "a", "gnd"))
			if r.Overrange || math.Abs(r.Value-row.want) > row.withinPer*row.want {
				t.Errorf("reads %+v, want about %g Ω", r, row.want)
			}
			if back := read(t, c, nil, m, between(meter.Ohms, "gnd", "a")); !back.Overrange && back.Value < 10*r.Value {
				t.Errorf("D34: reads %g Ω backwards, want ten times %g at least", back.Value, r.Value)
			}
		})
	}
}

func TestContinuity(t *testing.T) {
	for _, row := range []struct {
		name   string
		ohms   float64
		joined bool
	}{{"D31 instrument manuals: 49 Ω sounds", 49, true}, {"D31 instrument manuals: 51 Ω is silent", 51, false}, {"a wire", 0, true}, {"1 MΩ", 1e6, false}} {
		t.Run(row.name, func(t *testing.T) {
			r := read(t, parts(resistor("R1", "a", "gnd", row.ohms)), nil, meter.Default(meter.Digital), between(meter.Continuity, "a", "gnd"))
			if r.Joined != row.joined {
				t.Errorf("joined %v at %g Ω", r.Joined, row.ohms)
			}
		})
	}
}

// malvino is the stage of Malvino & Bates 7e, chapter 8.
func malvino() *circuit.Circuit {
	return parts(part("BT1", circuit.Battery, "v", "gnd", "voltage", 10, quantity.Volt, 0),
		resistor("R1", "v", "b", 10e3), resistor("R2", "b", "gnd", 2.2e3), resistor("RC", "v", "c", 3.6e3), resistor("RE", "e", "gnd", 1e3),
		transistor("Q1", circuit.NPN, "c", "b", "e", 200, 0.7, 0.0011))
}

// TestFaultsThatTheMeterShows are the faults whose reading comes from the
// meter's own current.
func TestFaultsThatTheMeterShows(t *testing.T) {
	open := math.Inf(1)
	for _, row := range []struct {
		name   string
		fault  sim.Variant
		meter  meter.Meter
		net    circuit.NetID
		want   float64
		within float64
	}{
		{"B52 Malvino & Bates 7e ch. 8: RE open, base", sim.Variant{sim.Remove("RE")}, meter.Default(meter.Digital), "b", 1.8, 0.01},
		// The junction carries 0.13 µA: 0.23 V below its drop at 1.1 mA.
		{"B52 Malvino & Bates 7e ch. 8: RE open, emitter at a 10 MΩ meter", sim.Variant{sim.Remove("RE")}, meter.Default(meter.Digital), "e", 1.3, 0.1},
		{"B52 Malvino & Bates 7e ch. 8: RE open, collector", sim.Variant{sim.Remove("RE")}, meter.Default(meter.Digital), "c", 10, 0.01},
		{"E25 Knott, Transistor fault finding: the emitter depends on the meter", sim.Variant{sim.Remove("RE")}, perVolt(20e3, 10), "e", 1.2, 0.08},
		{"B56 Malvino & Bates 7e ch. 8: collector and emitter open, base", sim.Variant{sim.Lift("Q1", "c", open), sim.Lift("Q1", "e", open)}, meter.Default(meter.Digital), "b", 1.8, 0.01},
		{"B56 Malvino & Bates 7e ch. 8: collector and emitter open, emitter", sim.Variant{sim.Lift("Q1", "c", open), sim.Lift("Q1", "e", open)}, meter.Default(meter.Digital), "e", 0, 0.001},
		{"B56 Malvino & Bates 7e ch. 8: collector and emitter open, collector", sim.Variant{sim.Lift("Q1", "c", open), sim.Lift("Q1", "e", open)}, meter.Default(meter.Digital), "c", 10, 0.01},
		{"E24 Knott, Transistor fault finding: collector resistor open, read through the junction", sim.Variant{sim.Remove("RC")}, meter.Default(meter.Digital), "c", 0.45, 0.1},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := read(t, malvino(), row.fault, row.meter, between(meter.VoltsDC, row.net, "gnd"))
			if r.Overrange || math.Abs(r.Value-row.want) > row.within {
				t.Errorf("reads %+v, want %g ± %g V", r, row.want, row.within)
			}
		})
	}
}

func TestDryJointIsSeenAtTheLead(t *testing.T) {
	c := divider(10, 1e3, 1e3)
	v := sim.Variant{sim.Lift("R2", "1", math.Inf(1))}
	q := between(meter.VoltsDC, "mid", "gnd")
	if r := read(t, c, v, meter.Default(meter.Digital), q); math.Abs(r.Value-10) > 0.01 {
		t.Errorf("the net reads %g V, want the whole 10 V", r.Value)
	}
	q.Red = sim.Place{Part: "R2", Lead: "1"}
	if r := read(t, c, v, meter.Default(meter.Digital), q); math.Abs(r.Value) > 1e-6 {
		t.Errorf("the lead reads %g V, want 0", r.Value)
	}
}

func TestRefusals(t *testing.T) {
	model, err := sim.Compile(divider(9, 1e3, 1e3), sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, mode := range []meter.Mode{"amps-ac", "weight"} {
		var unsupported *meter.UnsupportedError
		if _, err := meter.Expect(context.Background(), model, between(mode, "mid", "gnd"), meter.Options{}); !errors.As(err, &unsupported) {
			t.Errorf("%s: got %v, want a refusal", mode, err)
		}
	}
	if _, err := meter.Expect(context.Background(), model, between(meter.VoltsDC, "nowhere", "gnd"), meter.Options{}); err == nil {
		t.Error("a net that is not there gave a reading")
	}
}
