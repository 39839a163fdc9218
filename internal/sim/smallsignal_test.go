package sim_test

import (
	"math"
	"math/cmplx"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

func small(t *testing.T, lines ...string) *sim.SmallSignal {
	t.Helper()
	s, err := compile(t, build(t, lines...)).SmallSignal(t.Context(), circuit.State{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestFiltersBySmallSignal: closed forms of complex numbers, to 1e-9.
func TestFiltersBySmallSignal(t *testing.T) {
	const r, c, l = 1e3, 100e-9, 10e-3
	rc := small(t, "G1 signal in gnd voltage=1 resistance=0", "R1 resistor in out value=1k", "C1 capacitor out gnd value=100n")
	rlc := small(t, "G1 signal in gnd voltage=1 resistance=50", "R1 resistor in a value=950", "L1 inductor a out value=10m resistance=5", "C1 capacitor out gnd value=100n")
	for _, hertz := range []float64{1, 100, 1591.5, 5033, 1e5} {
		jw := complex(0, 2*math.Pi*hertz)
		want := 1 / (1 + jw*r*c)
		got, err := rc.Gain("G1", sim.OnNet("out"), sim.OnNet("gnd"), hertz)
		if err != nil {
			t.Fatal(err)
		}
		// A capacitor has a milliohm of leads.
		if cmplx.Abs(got-want) > 3e-6 {
			t.Errorf("RC at %g Hz: %v, want %v", hertz, got, want)
		}
		want = 1 / (jw * c) / (r + 5 + jw*l + 1/(jw*c))
		if got, err = rlc.Gain("G1", sim.OnNet("out"), sim.OnNet("gnd"), hertz); err != nil || cmplx.Abs(got-want) > 3e-6 {
			t.Errorf("RLC at %g Hz: %v, want %v (%v)", hertz, got, want, err)
		}
		z, err := rc.Impedance(sim.OnNet("out"), sim.OnNet("gnd"), hertz)
		if want := r / (1 + jw*r*c); err != nil || cmplx.Abs(z-want) > 3e-3 {
			t.Errorf("impedance at %g Hz: %v, want %v (%v)", hertz, z, want, err)
		}
	}
}

// TestAStageBySmallSignal: a common-emitter stage with its emitter bypassed
// amplifies gm·RC with gm = IC/Vt, less what the base's feed and 0.1 nS
// divide; without the bypass about RC/RE; and above its corner the coupling
// capacitor no longer counts (B-section formulas, from memory).
func TestAStageBySmallSignal(t *testing.T) {
	parts := []string{"BT1 battery v gnd voltage=12 " + stiff, "R1 resistor v b value=47k", "R2 resistor b gnd value=10k", "RC resistor v c value=4.7k",
		"RE resistor e gnd value=1k", "Q1 npn c b e gain=200", "G1 signal in gnd voltage=1 resistance=0", "C1 capacitor in b value=10u"}
	at := solve(t, build(t, parts...), circuit.State{}, nil)
	ic := amps(t, at, "Q1", "c")
	gm := ic / 0.0256926
	gain := func(s *sim.SmallSignal, hertz float64) float64 {
		g, err := s.Gain("G1", sim.OnNet("c"), sim.OnNet("gnd"), hertz)
		if err != nil {
			t.Fatal(err)
		}
		return cmplx.Abs(g)
	}
	plain := small(t, parts...)
	re := 1e3
	near(t, "gain without bypass", gain(plain, 1000), gm*4.7e3/(1+gm*re*(1+1/200.0)), 0.01)
	bypassed := small(t, append(parts, "C2 capacitor e gnd value=1000u")...)
	near(t, "gain with bypass", gain(bypassed, 5000), gm*4.7e3, 0.01*gm*4.7e3)
	if low := gain(plain, 0.5); low > 0.8*gain(plain, 1000) {
		t.Errorf("%g at 0.5 Hz: the coupling capacitor does nothing", low)
	}
}

func TestSmallSignalRefusals(t *testing.T) {
	s := small(t, "BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k")
	if _, err := s.Gain("R1", sim.OnNet("v"), sim.OnNet("gnd"), 1e3); err == nil {
		t.Error("a resistor is no source")
	}
	if _, err := s.Gain("BT1", sim.OnNet("nowhere"), sim.OnNet("gnd"), 1e3); err == nil {
		t.Error("there is no such net")
	}
	if _, err := s.Impedance(sim.OnNet("v"), sim.OnNet("gnd"), 0); err == nil {
		t.Error("no frequency")
	}
}
