package sim_test

import (
	"fmt"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// Winding resistances are never below 1 mΩ; the resistor in series has that
// much less.
const wire = 1e-3

// TestCoilCurrentIsPublished: current and voltages of a coil behind a
// resistor, switched on at 0 s.
func TestCoilCurrentIsPublished(t *testing.T) {
	rows := []struct {
		name               string
		volts, ohms, henry float64
		at                 float64
		want, within       float64 // amperes
	}{
		{"C04 LIEC DC ch.16, 0.5 s", 15, 1, 1, 0.5, 5.902, 6e-4},
		{"C04 LIEC DC ch.16, 3.5 s", 15, 1, 1, 3.5, 14.547, 6e-4},
		{"C13 Bird ex. 17.7, at 2τ", 60, 20, 0.1, 10e-3, 2.59, 5e-3},
		{"C13 Bird ex. 17.7, 1.5 A at 3.47 ms", 60, 20, 0.1, 3.47e-3, 1.5, 2e-3},
		{"C14 Bird ex. 17.8, at τ", 120, 10, 0.04, 4e-3, 7.59, 5e-3},
		{"C17 Bird ex. 17.12, at τ", 24, 1e3, 0.2, 0.2e-3, 15.17e-3, 6e-6},
		{"C17 Bird ex. 17.12, vL 3.248 V at 2τ", 24, 1e3, 0.2, 0.4e-3, (24 - 3.248) / 1e3, 6e-7},
		{"C17 Bird ex. 17.12, vR 22.81 V at 3τ", 24, 1e3, 0.2, 0.6e-3, 22.81 / 1e3, 6e-6},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			w := follow(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g %s", r.volts, stiff),
				fmt.Sprintf("L1 inductor v out value=%g resistance=%g", r.henry, wire),
				fmt.Sprintf("R1 resistor out gnd value=%g", r.ohms-wire)), sim.TransientOptions{For: r.at})
			near(t, "i", last(w, "out")/(r.ohms-wire), r.want, r.within)
			along(t, w, "out", r.volts, sim.DefaultTolerance, func(t float64) float64 {
				return -r.volts * (1 - wire/r.ohms) * math.Expm1(-t*r.ohms/r.henry)
			})
		})
	}
}

// TestCoilDecayIsPublished: a coil that carries a current is left with a
// resistor alone, and lifts it to a voltage far above the battery's.
func TestCoilDecayIsPublished(t *testing.T) {
	rows := []struct {
		name                string
		amps, across, henry float64
		at                  float64
		want, within        float64
	}{
		{"C16 Bird ex. 17.10, 1.64 A at 3 s", 110.0 / 15, 15, 30, 3, 1.64, 5e-3},
		{"C16 Bird ex. 17.10, 5 A at 0.77 s", 110.0 / 15, 15, 30, 0.77, 5, 0.02},
		{"C21 Bird ex. 45.4, 0.2 A at 0.644 s", 5, 10, 2, 0.644, 0.2, 5e-4},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			m := compile(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g resistance=1", r.amps),
				fmt.Sprintf("L1 inductor v gnd value=%g resistance=%g", r.henry, wire), "S1 switch v a resistance=0",
				fmt.Sprintf("R1 resistor a gnd value=%g", r.across-2*wire)))
			on, err := m.OperatingPoint(t.Context(), settings(t, "S1=open"), sim.Run{})
			if err != nil {
				t.Fatal(err)
			}
			start := amps(t, on, "L1", "1")
			w, err := m.Transient(t.Context(), settings(t, "BT1=off S1=closed"), sim.TransientOptions{For: r.at, From: on})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "peak", w.Nets["a"][0], -start*(r.across-2*wire), 1e-9*start*r.across)
			// The battery's own ohm and the wire leave a thousandth less.
			near(t, "i", -last(w, "a")/r.across, r.want, r.within+1.5e-3*r.want)
			along(t, w, "a", start*r.across, sim.DefaultTolerance, func(t float64) float64 {
				return -start * (r.across - 2*wire) * math.Exp(-t*r.across/r.henry)
			})
		})
	}
}

// series is a coil, a resistor and a capacitor switched to a battery.
type series struct{ volts, henry, ohms, farads float64 }

func (s series) circuit(t testing.TB) *circuit.Circuit {
	return build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g %s", s.volts, stiff),
		fmt.Sprintf("R1 resistor v a value=%g", s.ohms-2*wire), fmt.Sprintf("L1 inductor a out value=%g resistance=%g", s.henry, wire),
		// The capacitor's own milliohm is in every circuit of the simulator.
		fmt.Sprintf("C1 capacitor out gnd value=%g", s.farads))
}

// net is the voltage of the net: the capacitor's and what its own milliohm
// drops.
func (s series) net(t float64) float64 {
	d := 1e-4 * math.Sqrt(s.henry*s.farads)
	return s.at(t) + wire*s.farads*(s.at(t+d)-s.at(t-d))/(2*d)
}

// at is the voltage of the capacitor.
func (s series) at(t float64) float64 {
	alpha := s.ohms / (2 * s.henry)
	square := alpha*alpha - 1/(s.henry*s.farads)
	e := math.Exp(-alpha * t)
	switch {
	case math.Abs(square) < 1e-9*alpha*alpha:
		return s.volts * (1 - e*(1+alpha*t))
	case square < 0:
		w := math.Sqrt(-square)
		return s.volts * (1 - e*(math.Cos(w*t)+alpha/w*math.Sin(w*t)))
	}
	w := math.Sqrt(square)
	return s.volts * (1 - (math.Exp((w-alpha)*t)*(1+alpha/w)+math.Exp(-(w+alpha)*t)*(1-alpha/w))/2)
}

// TestRinging holds all damping cases against the closed form, at every
// tolerance.
func TestRinging(t *testing.T) {
	rows := []struct {
		name string
		s    series
		span float64
	}{
		{"C22 Bird ex. 45.5, overdamped", series{10, 2e-3, 1e3, 5e-6}, 20e-3},
		{"C22 Bird ex. 45.6, critical at 8 nF", series{10, 2e-3, 1e3, 8e-9}, 40e-6},
		{"C22 Bird ex. 45.5, underdamped", series{10, 2e-3, 1e3, 5e-9}, 40e-6},
		{"C23 Bird ex. 45.7, ringing", series{10, 1.5, 90, 5e-6}, 0.1},
		{"hardly damped, ten periods", series{10, 1e-3, 0.1, 1e-6}, 2e-3},
	}
	for _, r := range rows {
		for _, tolerance := range []float64{1e-3, 1e-4, 1e-5, 1e-6} {
			t.Run(fmt.Sprintf("%s, %g", r.name, tolerance), func(t *testing.T) {
				w := follow(t, r.s.circuit(t), sim.TransientOptions{For: r.span, Tolerance: tolerance})
				along(t, w, "out", 2*r.s.volts, tolerance, r.s.net)
			})
		}
	}
}

// TestRingingCurrentIsPublished: C23 (Bird ex. 45.7): 0.0183·e^(−30t)·sin
// (363.9·t) A of a charged capacitor into a coil.
func TestRingingCurrentIsPublished(t *testing.T) {
	s := series{10, 1.5, 90, 5e-6}
	w := follow(t, s.circuit(t), sim.TransientOptions{For: 50e-3})
	for k, v := range w.Nets["a"] {
		i, at := (s.volts-v)/(s.ohms-2*wire), w.Time[k]
		near(t, fmt.Sprintf("i at %g s", at), i, 0.0183*math.Exp(-30*at)*math.Sin(363.9*at), 3e-5)
		if t.Failed() {
			break
		}
	}
}
