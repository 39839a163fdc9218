package meter_test

import (
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
)

// TestContractOfTheDefaultMeter goes through what the contract says of the
// meter taken where none is named, clause by clause, on circuits whose reading
// follows by Ohm's law.
func TestContractOfTheDefaultMeter(t *testing.T) {
	m := meter.Default("")
	battery := func(volts, inner float64) *circuit.Circuit {
		return parts(part("BT1", circuit.Battery, "a", "gnd", "voltage", volts, quantity.Volt, inner), resistor("R9", "a", "gnd", 1e12))
	}
	one := func(ohms float64) *circuit.Circuit { return parts(resistor("R1", "a", "gnd", ohms)) }
	for _, row := range []struct {
		clause string
		c      *circuit.Circuit
		mode   meter.Mode
		want   float64 // infinite: over-range
	}{
		{"10 MΩ on volts", battery(9, 10e6), meter.VoltsDC, 4.5},
		{"a battery that is off is out of the circuit, and every supply is off on ohms", parts(part("BT1", circuit.Battery, "a", "gnd", "voltage", 9, quantity.Volt, 1), resistor("R1", "a", "gnd", 3900)), meter.Ohms, 3900},
		{"ohms from 200 Ω", one(150), meter.Ohms, 150},
		{"ohms up to 20 MΩ", one(19.99e6), meter.Ohms, 19.99e6},
		{"over-range above 20 MΩ", one(20.01e6), meter.Ohms, math.Inf(1)},
		{"junction 1 mA", one(1500), meter.Junction, 1.5},
		{"junction over-range above 2 V", one(2010), meter.Junction, math.Inf(1)},
		{"just below 2 V", one(1990), meter.Junction, 1.99},
	} {
		t.Run(row.clause, func(t *testing.T) {
			r := read(t, row.c, nil, m, between(row.mode, "a", "gnd"))
			if math.IsInf(row.want, 1) != r.Overrange || !r.Overrange && math.Abs(r.Value-row.want) > 2e-5*math.Abs(row.want) {
				t.Errorf("reads %+v, want %g", r, row.want)
			}
		})
	}
	t.Run("0.5 V open circuit behind a resistance equal to the range", func(t *testing.T) {
		if m.OpenCircuit != 0.5 {
			t.Errorf("open circuit %g V", m.OpenCircuit)
		}
		for k, want := range []float64{200, 2e3, 20e3, 200e3, 2e6, 20e6} {
			if m.OhmsRanges[k] != want {
				t.Errorf("range %d is %g Ω, want %g", k, m.OhmsRanges[k], want)
			}
		}
	})
	t.Run("junction from at most 3 V", func(t *testing.T) {
		if m.JunctionOpen != 3 {
			t.Errorf("%g V", m.JunctionOpen)
		}
	})
	for _, row := range []struct {
		clause string
		mode   meter.Mode
		value  float64
		want   float64
	}{
		{"0.5 % + 2 digits of 4 on 5 V", meter.VoltsDC, 5, 0.025 + 2*0.001},
		{"0.5 % + 2 digits of 4 on 50 V", meter.VoltsDC, 50, 0.25 + 2*0.01},
		{"1 % + 1 digit on 1 kΩ", meter.Ohms, 1e3, 10 + 1},
		{"1 % + 1 digit on 100 kΩ", meter.Ohms, 100e3, 1e3 + 100},
	} {
		t.Run(row.clause, func(t *testing.T) {
			if got := m.MaxError(row.mode, row.value); math.Abs(got-row.want) > 1e-9*row.want {
				t.Errorf("%g, want %g", got, row.want)
			}
		})
	}
	for ohms, joined := range map[float64]bool{49.9: true, 50.1: false} {
		if r := read(t, one(ohms), nil, m, between(meter.Continuity, "a", "gnd")); r.Joined != joined {
			t.Errorf("continuity joined below 50 Ω: %v at %g Ω", r.Joined, ohms)
		}
	}
	if m.Rated != 600 || m.Class != meter.Digital || m.AverageResponding || m.Bandwidth != 0 {
		t.Errorf("rated 600 V, digital, true rms without limit: %+v", m)
	}
}

// TestContractOfOwnMeters: what a job says of a meter overrides the default,
// one thing at a time, and is seen in a reading.
func TestContractOfOwnMeters(t *testing.T) {
	behind := func(volts, ohms float64) *circuit.Circuit {
		return parts(part("BT1", circuit.Battery, "a", "gnd", "voltage", volts, quantity.Volt, ohms), resistor("R9", "a", "gnd", 1e12))
	}
	junction := parts(resistor("R1", "a", "gnd", 10e3), diodePart("a", "gnd"))
	reversed := parts(resistor("R1", "a", "gnd", 10e3), diodePart("gnd", "a"))
	for _, row := range []struct {
		name      string
		class     meter.Class
		say       map[string]float64
		c         *circuit.Circuit
		mode      meter.Mode
		low, high float64 // both infinite: over-range
	}{
		{"input", meter.Digital, map[string]float64{"input": 1e6}, behind(10, 1e6), meter.VoltsDC, 4.999, 5.001},
		{"valve 11 MΩ", meter.Valve, nil, behind(12, 1e6), meter.VoltsDC, 10.99, 11.01},
		{"analogue Ω per volt × range", meter.Analogue, map[string]float64{"sensitivity": 20e3, "range": 10}, behind(10, 200e3), meter.VoltsDC, 4.999, 5.001},
		{"range set by hand overflows", meter.Analogue, map[string]float64{"range": 2.5}, behind(10, 0), meter.VoltsDC, math.Inf(1), math.Inf(1)},
		{"high-voltage probe 1000 : 1 loads with 1 GΩ", meter.Digital, map[string]float64{"probe": 1000, "rated": 40e3}, behind(20e3, 100e6), meter.VoltsDC, 18.1e3, 18.2e3},
		{"without it the meter is over-range", meter.Digital, nil, behind(20e3, 0), meter.VoltsDC, math.Inf(1), math.Inf(1)},
		{"low-power ohms leave a junction off", meter.Digital, map[string]float64{"open circuit": 0.2}, junction, meter.Ohms, 9.9e3, 10.1e3},
		{"open circuit: 2.5 V turns junctions on", meter.Digital, map[string]float64{"open circuit": 2.5}, junction, meter.Ohms, 1, 5e3},
		{"and not backwards", meter.Digital, map[string]float64{"open circuit": 2.5}, reversed, meter.Ohms, 9.9e3, 10.1e3},
		{"highest ohms", meter.Digital, map[string]float64{"highest ohms": 2e6}, parts(resistor("R1", "a", "gnd", 3e6)), meter.Ohms, math.Inf(1), math.Inf(1)},
		{"junction current", meter.Digital, map[string]float64{"junction current": 0.5e-3}, parts(resistor("R1", "a", "gnd", 1e3)), meter.Junction, 0.499, 0.501},
		{"junction limit", meter.Digital, map[string]float64{"junction limit": 3.5}, parts(resistor("R1", "a", "gnd", 3e3)), meter.Junction, 2.99, 3.01},
		{"series resistance on amps", meter.Digital, map[string]float64{"series resistance": 100}, behind(1, 100), meter.AmpsDC, 4.99e-3, 5.01e-3},
		{"highest amps", meter.Digital, map[string]float64{"highest amps": 0.5}, behind(10, 1), meter.AmpsDC, math.Inf(1), math.Inf(1)},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := meter.New("mine", row.class, func(p string) (float64, bool) { v, ok := row.say[p]; return v, ok })
			r := read(t, row.c, nil, m, between(row.mode, "a", "gnd"))
			if math.IsInf(row.low, 1) != r.Overrange || !r.Overrange && (r.Value < row.low || r.Value > row.high) {
				t.Errorf("reads %+v, want %g to %g", r, row.low, row.high)
			}
		})
	}
	t.Run("D47 trade, from memory: black lead positive on ohms", func(t *testing.T) {
		m := meter.Default(meter.Analogue)
		m.RedNegative = true
		if on, off := read(t, reversed, nil, m, between(meter.Ohms, "a", "gnd")), read(t, junction, nil, m, between(meter.Ohms, "a", "gnd")); on.Value > 5e3 || math.Abs(off.Value-10e3) > 500 {
			t.Errorf("reads %g Ω with the junction's anode at black, %g Ω the other way", on.Value, off.Value)
		}
	})
	t.Run("a probe does not raise the rating", func(t *testing.T) {
		m := meter.New("mine", meter.Digital, func(p string) (float64, bool) { return 1000, p == "probe" })
		if e := expect(t, behind(5e3, 0), between(meter.VoltsDC, "a", "gnd"), m); !e.Hazard.Exceeded {
			t.Errorf("5 kV on a meter said to stand nothing beyond 600 V: %+v", e.Hazard)
		}
	})
}

// TestBandwidth: a first-order low pass is 3 dB down at its corner, leaves a
// wave alone far below it, and shows an averaging meter the same of a sine as
// a true-rms one.
func TestBandwidth(t *testing.T) {
	for _, row := range []struct {
		name, shape string
		corner      float64
		averaging   bool
		want        float64
	}{
		{"corner at the wave", "sine", 1e3, false, 5 / math.Sqrt2},
		{"corner an octave below", "sine", 500, false, 5 / math.Sqrt(5)},
		{"averaging, at the corner", "sine", 1e3, true, 5 / math.Sqrt2},
		{"far above", "square", 1e6, false, 5},
		// A square wave of ±5 V far above the corner is a triangle of peak
		// 5·T/(4τ), whose rms is that by √3.
		{"far below", "square", 10, false, 5 * 1e-3 / 4 * 2 * math.Pi * 10 / math.Sqrt(3)},
		{"far below, averaging", "square", 10, true, 5 * 1e-3 / 8 * 2 * math.Pi * 10 * math.Pi / math.Sqrt(8)},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := meter.Default(meter.Digital)
			m.Bandwidth, m.AverageResponding = row.corner, row.averaging
			e := expect(t, source(row.shape), between(meter.VoltsAC, "mid", "gnd"), m)
			if e.Nominal == nil || math.Abs(*e.Nominal-row.want) > 4e-3*row.want+1e-4 {
				t.Errorf("reads %v, want %g V", deref(e.Nominal), row.want)
			}
		})
	}
	t.Run("over-range", func(t *testing.T) {
		m := meter.Default(meter.Digital)
		m.Range = 4
		if e := expect(t, source("sine"), between(meter.VoltsAC, "mid", "gnd"), m); !e.Overrange {
			t.Errorf("5 V in the 4 V range reads %v", deref(e.Nominal))
		}
	})
}
