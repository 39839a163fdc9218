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

// divider is volts across upper and lower, the reading being over lower.
func divider(volts, upper, lower float64) *circuit.Circuit {
	return &circuit.Circuit{Common: "gnd", Parts: []circuit.Part{
		part("BT1", circuit.Battery, "top", "gnd", "voltage", volts, quantity.Volt, 0),
		part("R1", circuit.Resistor, "top", "mid", "value", upper, quantity.Ohm, 0),
		part("R2", circuit.Resistor, "mid", "gnd", "value", lower, quantity.Ohm, 0),
	}}
}

// part is a two-lead part with one amount, no tolerance, and for a source the
// given inner resistance.
func part(ref circuit.PartRef, k circuit.Kind, a, b circuit.NetID, name string, v float64, u quantity.Unit, inner float64) circuit.Part {
	info, _ := circuit.Lookup(k)
	p := circuit.Part{Ref: ref, Kind: k, Leads: []circuit.Lead{{Name: info.Leads[0], Net: a}, {Name: info.Leads[1], Net: b}},
		Amounts: map[string]circuit.Amount{name: {Value: v, Unit: u}, "tolerance": {Unit: quantity.Percent}}}
	if k == circuit.Battery {
		p.Amounts["resistance"] = circuit.Amount{Value: inner, Unit: quantity.Ohm}
	}
	return p
}

func perVolt(sensitivity, rng float64) meter.Meter {
	m := meter.Default(meter.Analogue)
	m.Sensitivity, m.Range = sensitivity, rng
	return m
}

func input(ohms float64) meter.Meter {
	m := meter.Default(meter.Digital)
	m.Input = ohms
	return m
}

func expect(t *testing.T, c *circuit.Circuit, q meter.Query, m meter.Meter) meter.Expected {
	t.Helper()
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	e, err := meter.Expect(context.Background(), model, q, meter.Options{Meter: m, Draws: 20})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func between(mode meter.Mode, red, black circuit.NetID) meter.Query {
	return meter.Query{Mode: mode, Red: sim.OnNet(red), Black: sim.OnNet(black)}
}

// TestMeterLoadsThePublishedCircuit holds volts readings against section d of
// the outside checks. Half a unit of the last printed figure is allowed.
func TestMeterLoadsThePublishedCircuit(t *testing.T) {
	for _, row := range []struct {
		name                string
		volts, upper, lower float64
		meter               meter.Meter
		want, within        float64
	}{
		{"D01 Kuphaldt, Lessons in Electric Circuits I, ch. 8", 24, 250e6, 250e6, input(10e6), 0.8889, 5e-5},
		{"D06 US Army subcourse SS0602 p. 18", 120, 70e3, 50e3, perVolt(1e3, 500), 47.2, 0.05},
		{"D09 US Army MM4557 fig. 5-1", 10, 10e3, 10e3, input(10e3), 3.3, 0.05},
		{"D11 Kalsi, Electronic Instrumentation 3e, ex. 4.11, 1 kΩ/V", 100, 10e3, 10e3, perVolt(1e3, 50), 45.45, 0.005},
		{"D11 Kalsi, Electronic Instrumentation 3e, ex. 4.11, 20 kΩ/V", 100, 10e3, 10e3, perVolt(20e3, 50), 49.75, 0.005},
		{"D12 Kalsi, Electronic Instrumentation 3e, ex. 4.12, 1 kΩ/V", 30, 25e3, 5e3, perVolt(1e3, 10), 3.53, 0.005},
		{"D12 Kalsi, Electronic Instrumentation 3e, ex. 4.12, 20 kΩ/V", 30, 25e3, 5e3, perVolt(20e3, 10), 4.9, 0.05},
		{"D13 Kalsi, Electronic Instrumentation 3e, ex. 4.13, 5 V range", 50, 45e3, 5e3, perVolt(20e3, 5), 4.785, 0.0005},
		{"D13 Kalsi, Electronic Instrumentation 3e, ex. 4.13, 10 V range", 50, 45e3, 5e3, perVolt(20e3, 10), 4.89, 0.005},
		{"D13 Kalsi, Electronic Instrumentation 3e, ex. 4.13, 30 V range", 50, 45e3, 5e3, perVolt(20e3, 30), 4.96, 0.005},
		{"D16 Bird, Electrical Circuit Theory and Technology, ex. 10.5 p. 120", 100, 60e3, 40e3, perVolt(1600, 100), 34.78, 0.005},
		{"D19 public physics page", 12, 500, 500, input(7500), 5.806, 0.0006},
		{"D48 circuit theory, 10 MΩ", 10, 1e6, 1e6, input(10e6), 4.762, 0.0005},
		{"D48 circuit theory, 11 MΩ", 10, 1e6, 1e6, meter.Default(meter.Valve), 4.783, 0.0005},
		{"D48 circuit theory, 20 kΩ/V on 10 V", 10, 1e6, 1e6, perVolt(20e3, 10), 1.429, 0.0005},
	} {
		t.Run(row.name, func(t *testing.T) {
			e := expect(t, divider(row.volts, row.upper, row.lower), between(meter.VoltsDC, "mid", "gnd"), row.meter)
			if e.Nominal == nil || math.Abs(*e.Nominal-row.want) > row.within {
				t.Errorf("reads %v, want %g ± %g", deref(e.Nominal), row.want, row.within)
			}
			truth := row.volts * row.lower / (row.upper + row.lower)
			if e.Unloaded == nil || math.Abs(*e.Unloaded-truth) > 1e-9*truth {
				t.Errorf("unloaded %v, want %g", deref(e.Unloaded), truth)
			}
		})
	}
	t.Run("D49 circuit theory, 10 MΩ on 300 V behind 1 MΩ", func(t *testing.T) {
		c := divider(300, 1e6, 1e15)
		e := expect(t, c, between(meter.VoltsDC, "mid", "gnd"), input(10e6))
		if math.Abs(*e.Nominal-272.7) > 0.05 || !e.Hazard.Danger || e.Hazard.Exceeded {
			t.Errorf("reads %v with hazard %+v", *e.Nominal, e.Hazard)
		}
	})
}

func deref(v *float64) any {
	if v == nil {
		return "over-range"
	}
	return *v
}
