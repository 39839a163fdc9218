package sim_test

import (
	"fmt"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// TestChargingIsPublished: what the books print of a capacitor that charges
// through a resistor from nothing.
func TestChargingIsPublished(t *testing.T) {
	type row struct {
		name         string
		volts        float64
		ohms, farads float64
		at           float64
		want, within float64 // volts on the capacitor
	}
	rows := []row{
		{"C03 LIEC DC ch.16, 7.25 s", 15, 10e3, 100e-6, 7.25, 14.989, 5e-4},
		{"C07 Bird ex. 17.1, at τ", 120, 47e3, 15e-6, 0.705, 75.85, 5e-3},
		{"C07 Bird ex. 17.1, half at 0.489 s", 120, 47e3, 15e-6, 0.489, 60, 0.06},
		{"C09 Bird ex. 17.3, 17.3 V at 2 s", 20, 50e3, 20e-6, 2, 17.3, 0.05},
		{"C09 Bird ex. 17.3, vR 15 V at 0.288 s", 20, 50e3, 20e-6, 0.288, 5, 0.01},
		{"C18 Bird ex. 45.1, 80 ms", 50, 100e3, 500e-9, 0.080, 39.91, 6e-3},
		{"C18 Bird ex. 45.1, vR 35 V at 17.83 ms", 50, 100e3, 500e-9, 17.83e-3, 15, 5e-3},
		{"C26 Grob ch. 22, 24 V at 0.549 ms", 36, 10e3, 0.05e-6, 0.549e-3, 24, 0.01},
	}
	for k, at := range []float64{0.5, 1, 2, 3, 4, 5, 6, 10} {
		want := []float64{5.902, 9.482, 12.970, 14.253, 14.725, 14.899, 14.963, 14.999}[k]
		rows = append(rows, row{fmt.Sprintf("C01 LIEC DC ch.16, %g s", at), 15, 10e3, 100e-6, at, want, 6e-4})
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			w := follow(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g %s", r.volts, stiff),
				fmt.Sprintf("R1 resistor v out value=%g", r.ohms), fmt.Sprintf("C1 capacitor out gnd value=%g", r.farads)),
				sim.TransientOptions{For: r.at})
			near(t, "v", last(w, "out"), r.want, r.within)
			along(t, w, "out", r.volts, sim.DefaultTolerance, func(t float64) float64 {
				return -r.volts * math.Expm1(-t/(r.ohms*r.farads))
			})
		})
	}
}

// TestChargingCurrentIsPublished: the current is what the resistor drops.
func TestChargingCurrentIsPublished(t *testing.T) {
	type row struct {
		name         string
		volts        float64
		ohms, farads float64
		at           float64
		want, within float64 // amperes
	}
	rows := []row{
		{"C03 LIEC DC ch.16, 7.25 s", 15, 10e3, 100e-6, 7.25, 1.065e-6, 3e-9},
		{"C09 Bird ex. 17.3, 1 s", 20, 50e3, 20e-6, 1, 0.147e-3, 5e-7},
		{"C18 Bird ex. 45.1, 150 ms", 50, 100e3, 500e-9, 0.150, 24.89e-6, 1e-8},
	}
	for k, at := range []float64{0.5, 1, 2, 3, 4, 5, 6, 10} {
		want := []float64{909.8, 551.8, 203.0, 74.68, 27.47, 10.11, 3.718, 0.068}[k] * 1e-6
		rows = append(rows, row{fmt.Sprintf("C02 LIEC DC ch.16, %g s", at), 15, 10e3, 100e-6, at, want, 6e-8})
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			w := follow(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g %s", r.volts, stiff),
				fmt.Sprintf("C1 capacitor v out value=%g", r.farads), fmt.Sprintf("R1 resistor out gnd value=%g", r.ohms)),
				sim.TransientOptions{For: r.at, Tolerance: 1e-6})
			near(t, "i", last(w, "out")/r.ohms, r.want, r.within)
			near(t, "i at 0 s", w.Nets["out"][0]/r.ohms, r.volts/r.ohms, 1e-6*r.volts/r.ohms)
		})
	}
}

// TestDischargeIsPublished begins at the operating point with the battery on
// and follows the circuit with it off.
func TestDischargeIsPublished(t *testing.T) {
	rows := []struct {
		name         string
		volts        float64
		ohms, farads float64
		at           float64
		want, within float64
	}{
		{"C08 Bird ex. 17.2", 24, 220e3, 4e-6, 1.5, 4.4, 0.05},
		{"C11 Bird ex. 17.5, 20 V at 1.29 s", 100, 50e3, 16e-6, 1.29, 20, 0.07},
		{"C11 Bird ex. 17.5, 1.07 mA at 0.5 s", 100, 50e3, 16e-6, 0.5, 1.07e-3 * 50e3, 5e-6 * 50e3},
		{"C11 Bird ex. 17.5, 28.7 V at 1 s", 100, 50e3, 16e-6, 1, 28.7, 0.06},
		{"C12 Bird ex. 17.6, 2 V at 1.84 ms", 200, 4e3, 0.1e-6, 1.8421e-3, 2, 5e-4},
		{"C19 Bird ex. 45.2", 200, 2e6, 5e-6, 20, 27.07, 6e-3},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			m := compile(t, build(t, fmt.Sprintf("BT1 battery out gnd voltage=%g %s", r.volts, stiff),
				fmt.Sprintf("R1 resistor out gnd value=%g", r.ohms), fmt.Sprintf("C1 capacitor out gnd value=%g", r.farads)))
			full, err := m.OperatingPoint(t.Context(), circuit.State{}, sim.Run{})
			if err != nil {
				t.Fatal(err)
			}
			w, err := m.Transient(t.Context(), settings(t, "BT1=off"), sim.TransientOptions{For: r.at, From: full})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "v", last(w, "out"), r.want, r.within)
			along(t, w, "out", r.volts, sim.DefaultTolerance, func(t float64) float64 { return r.volts * math.Exp(-t/(r.ohms*r.farads)) })
		})
	}
}

// TestReducedChargeIsPublished: C06, a capacitor in a network of resistors.
func TestReducedChargeIsPublished(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=20 "+stiff, "R1 resistor v m value=2k", "R2 resistor m out value=3k",
		"R3 resistor out gnd value=500", "C1 capacitor out gnd value=100u"), sim.TransientOptions{For: 60e-3})
	near(t, "C06 LIEC DC ch.16, 60 ms", last(w, "out"), 1.3325, 6e-5)
}

// TestStepFromBelowIsPublished: C27 (Bell, Solid State Pulse Circuits, ex.
// 2-3): a capacitor at −3 V is switched to 6 V behind 10 kΩ.
func TestStepFromBelowIsPublished(t *testing.T) {
	m := compile(t, build(t, "BT1 battery hi gnd voltage=6 "+stiff, "BT2 battery gnd lo voltage=3 "+stiff,
		"S1 changeover c hi lo resistance=0", "R1 resistor c out value=10k", "C1 capacitor out gnd value=1u"))
	below, err := m.OperatingPoint(t.Context(), settings(t, "S1=nc"), sim.Run{})
	if err != nil {
		t.Fatal(err)
	}
	w, err := m.Transient(t.Context(), settings(t, "S1=no"), sim.TransientOptions{For: 8e-3, From: below})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "v at 0 s", w.Nets["out"][0], -3, 1e-6)
	near(t, "v at 8 ms", last(w, "out"), 1.96, 0.005)
}

// TestRiseTimesArePublished: from a tenth to nine tenths in 2.2·R·C.
func TestRiseTimesArePublished(t *testing.T) {
	rows := []struct {
		name         string
		ohms, farads float64
		want, within float64
	}{
		{"C28 Bell ex. 2-5", 39e3, 500e-12, 42.9e-6, 0.1e-6},
		{"C29 Bell ex. 2-7", 600, 30e-12, 39.6e-9, 0.1e-9},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			w := follow(t, build(t, "BT1 battery v gnd voltage=1 "+stiff, fmt.Sprintf("R1 resistor v out value=%g", r.ohms),
				fmt.Sprintf("C1 capacitor out gnd value=%g", r.farads)), sim.TransientOptions{For: 4 * r.ohms * r.farads})
			near(t, "rise", crossing(t, w, "out", 0.9)-crossing(t, w, "out", 0.1), r.want, r.within)
		})
	}
}
