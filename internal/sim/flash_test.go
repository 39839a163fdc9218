package sim_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// flash is a whole flash unit: a blocking converter, a storage capacitor with
// its bleeder, a trigger capacitor that a thyristor empties into a trigger
// transformer, and the tube, whose cathode current R8 shows.
func flash(t testing.TB, hertz float64) *circuit.Circuit {
	return build(t,
		"BT1 battery v gnd voltage=12 resistance=0.2",
		"T1 transformer v c b1 b0 gnd s winding_p=0.2,12,200u winding_f=0.5,6 winding_s=100,500 coupling=0.985",
		"Q1 npn c b gnd gain=60 current=2", "R1 resistor v b0 value=4.7k", "C1 capacitor b0 gnd value=22n", "R2 resistor b1 b value=47",
		"D9 diode s out type=UF4007", "C9 capacitor out gnd value=470n", "R9 resistor out gnd value=470k",
		"R5 resistor out x value=1M", "C5 capacitor x p value=47n", "Q5 scr x gnd g5 gate_trigger_current=1m holding_current=5m blocking_voltage=800",
		"R7 resistor h1 h value=22k", "T5 transformer p gnd h1 gnd winding_p=0.1,20,20u winding_s=200,800 coupling=0.8",
		"V1 flash-tube out k h hold-off_voltage=600 trigger_voltage=4000 arc_resistance=2", "R8 resistor k gnd value=0.05",
		fmt.Sprintf("G1 signal tr gnd shape=pulse voltage=1.58 frequency=%g", hertz), "C6 capacitor tr g5 value=100n", "R6 resistor g5 gnd value=1k")
}

// strike is one flash: when, from and to which voltage, and what left the
// store.
type strike struct{ at, from, to, joules float64 }

// strikes finds the flashes in a run.
func strikes(w *sim.Waveforms) []strike {
	const lit = 0.05 // volts across R8: an ampere
	var out []strike
	v, k := w.Nets["out"], w.Nets["k"]
	burning := false
	for n := 1; n < len(w.Time); n++ {
		switch {
		case !burning && k[n] > lit:
			burning = true
			out = append(out, strike{at: w.Time[n], from: v[n-1]})
		case burning && k[n] < lit/10:
			burning = false
			out[len(out)-1].to = v[n]
		}
		if burning {
			s := &out[len(out)-1]
			s.joules += (w.Time[n] - w.Time[n-1]) * (v[n]*k[n] + v[n-1]*k[n-1]) / 2 / 0.05
		}
	}
	return out
}

// TestAFlashUnit: it charges, fires on its trigger, goes out and charges
// again; a flash takes ½·C·(V₁² − V₂²) from the store (C66), and the highest
// rate at which it still begins with nine tenths of the voltage that it would
// come to is that of the time it needs to get there.
//
// It takes minutes: FOILSIDE_STUDY=flash.
func TestAFlashUnit(t *testing.T) {
	if os.Getenv("FOILSIDE_STUDY") != "flash" {
		t.Skip("a study: FOILSIDE_STUDY=flash")
	}
	run := func(hertz, span float64) ([]strike, *sim.Waveforms) {
		w := follow(t, flash(t, hertz), sim.TransientOptions{For: span, Tolerance: 3e-3, Leaps: true, MaxPoints: 4_000_000,
			Watch: []circuit.NetID{"out", "k"}})
		all := strikes(w)
		for _, s := range all {
			stored := 0.5 * 0.47e-6 * (s.from*s.from - s.to*s.to)
			near(t, "energy of a flash", s.joules, stored, 0.01*stored)
			t.Logf("at %g Hz: %.4g s, %.4g V to %.4g V, %.4g J", hertz, s.at, s.from, s.to, s.joules)
		}
		return all, w
	}
	slow, w := run(1.5, 1.25)
	if len(slow) != 1 {
		t.Fatalf("%d flashes: %v", len(slow), slow)
	}
	s := slow[0]
	near(t, "first flash", s.at, 1/1.5, 1e-3)
	if s.to > s.from/4 {
		t.Errorf("goes out at %g V of %g V", s.to, s.from)
	}
	unfired := flash(t, 1)
	settled, err := compile(t, unfired).Settle(t.Context(), settings(t, "G1=off"), sim.SettleOptions{})
	if err != nil {
		t.Fatal(err)
	}
	full, _ := settled.Net("out")
	again := math.Inf(1) // seconds to nine tenths of it
	for k, v := range w.Nets["out"] {
		if w.Time[k] > s.at+1e-3 && v >= 0.9*full.Average {
			again = w.Time[k] - s.at
			break
		}
	}
	t.Logf("%v at %.4g V; charged again to nine tenths after %.4g s, so up to %.3g Hz", settled, full.Average, again, 1/again)
	for share, reaches := range map[float64]bool{0.94: true, 1.06: false} {
		hertz := share / again
		fast, _ := run(hertz, 2.5/hertz)
		if len(fast) != 2 {
			t.Fatalf("%d flashes at %g Hz", len(fast), hertz)
		}
		if got := fast[1].from >= 0.9*full.Average; got != reaches {
			t.Errorf("at %g Hz it begins with %g V of %g V", hertz, fast[1].from, full.Average)
		}
	}
}
