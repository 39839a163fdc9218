package sim_test

import (
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

func settle(t testing.TB, c *circuit.Circuit, opt sim.SettleOptions) *sim.Settled {
	t.Helper()
	s, err := compile(t, c).Settle(t.Context(), circuit.State{}, opt)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func cycle(t testing.TB, s *sim.Settled, net circuit.NetID) sim.Cycle {
	t.Helper()
	c, ok := s.Net(net)
	if !ok {
		t.Fatalf("net %s has no cycle", net)
	}
	return c
}

// TestSettledCyclesOfSignals: averages, peaks, rms and rectified averages of
// waves that are known, straight and through a divider.
func TestSettledCyclesOfSignals(t *testing.T) {
	rows := []struct {
		shape                              string
		average, low, high, rms, rectified float64
	}{
		{"sine", 0, -math.Sqrt2, math.Sqrt2, 1, 2 * math.Sqrt2 / math.Pi},
		{"square", 0, -1, 1, 1, 1},
		{"triangle", 0, -math.Sqrt(3), math.Sqrt(3), 1, math.Sqrt(3) / 2},
		// A tenth of the time at √10.
		{"pulse", math.Sqrt(10) / 10, 0, math.Sqrt(10), 1, 2 * 0.1 * 0.9 * math.Sqrt(10)},
	}
	for _, r := range rows {
		t.Run(r.shape, func(t *testing.T) {
			s := settle(t, build(t, "G1 signal a gnd voltage=1 frequency=1k resistance=0 shape="+r.shape, "R1 resistor a b value=1k", "R2 resistor b gnd value=1k"),
				sim.SettleOptions{})
			if !s.Swings || !s.Reached {
				t.Fatal(s)
			}
			near(t, "period", s.Period, 1e-3, 1e-9)
			a, b := cycle(t, s, "a"), cycle(t, s, "b")
			near(t, "average", a.Average, r.average, 1e-3)
			near(t, "low", a.Low, r.low, 1e-3)
			near(t, "high", a.High, r.high, 2e-3)
			near(t, "rms", a.RMS, r.rms, 1e-3)
			near(t, "rectified", a.Rectified, r.rectified, 1e-3)
			near(t, "half of the rms", b.RMS, r.rms/2, 1e-3)
			i, _ := s.Current("R1", "1")
			near(t, "current", i.RMS, r.rms/2e3, 1e-6)
			near(t, "power", s.Power("R2").Average, r.rms*r.rms/4e3, 1e-6)
		})
	}
}

// TestSupplyRipple: a supply's ripple is a triangle at 100 Hz about its
// voltage.
func TestSupplyRipple(t *testing.T) {
	s := settle(t, build(t, "PS1 supply v gnd voltage=12 ripple=1", "R1 resistor v gnd value=1k"), sim.SettleOptions{})
	v := cycle(t, s, "v")
	near(t, "period", s.Period, 10e-3, 1e-9)
	near(t, "average", v.Average, 12, 2e-3)
	near(t, "peak to peak", v.High-v.Low, 1, 2e-3)
	near(t, "rms of the ripple", v.Ripple, 0.5/math.Sqrt(3), 1e-3)
}

// TestRestIsSettled: what does not swing comes to rest at its operating point,
// also through a time constant of seconds, and is not followed for long.
func TestRestIsSettled(t *testing.T) {
	s := settle(t, build(t, "BT1 battery v gnd voltage=9 resistance=1", "R1 resistor v a value=10k", "R2 resistor a gnd value=20k", "C1 capacitor a gnd value=100u"),
		sim.SettleOptions{})
	if s.Swings || !s.Reached {
		t.Fatal(s)
	}
	near(t, "a", cycle(t, s, "a").Average, 9*20/30.001, 1e-2)
}

// TestRectifierSettles: a half-wave rectifier's reservoir with seconds of its
// own (10 mF, 1 kΩ at 50 Hz), against its charge balance: over a cycle the
// diode brings what the load takes. Its voltage lies within the diode's drop
// of the peak; the ripple is I·T/C.
func TestRectifierSettles(t *testing.T) {
	c := build(t, "G1 signal ac gnd voltage=10 frequency=50 resistance=5", "D1 diode ac out type=1N4001", "C1 electrolytic out gnd value=10m", "R1 resistor out gnd value=1k")
	s := settle(t, c, sim.SettleOptions{Within: 60})
	if !s.Reached {
		t.Fatalf("%v after %g s", s, s.At)
	}
	out := cycle(t, s, "out")
	i, _ := s.Current("D1", "a")
	load, _ := s.Current("R1", "1")
	near(t, "charge", i.Average, load.Average, 2e-2*load.Average)
	near(t, "ripple", out.High-out.Low, out.Average/1e3*0.02/10e-3, 0.15*out.Average/1e3*0.02/10e-3)
	all := settle(t, c, sim.SettleOptions{Within: 60, FollowAll: true})
	near(t, "as with every cycle", out.Average, cycle(t, all, "out").Average, 1e-3*out.Average)
}

// TestAConverterSettles: the storage capacitor takes thousands of cycles, of
// which few are followed. What the battery gives then is what the load and the
// parts take.
func TestAConverterSettles(t *testing.T) {
	s := settle(t, build(t, blockingConverter(3, 150e-6, 10, 990, 47e-9, 1e6)...), sim.SettleOptions{})
	if !s.Reached {
		t.Fatal(s)
	}
	if s.Skipped < 4*s.Followed {
		t.Errorf("%d cycles were followed, %d gone over", s.Followed, s.Skipped)
	}
	out := cycle(t, s, "out")
	if out.Average < 100 || out.Average > 400 {
		t.Errorf("%g V from 3 V", out.Average)
	}
	sum, most := 0.0, 0.0
	for _, p := range s.Parts() {
		w := s.Power(p).Average
		sum, most = sum+w, max(most, math.Abs(w))
	}
	near(t, "power of all parts together", sum, 0, 1e-2*most)
}

// TestAChargingConverterIsFollowed: a run over time that goes over cycles
// comes out where one does that follows every cycle.
func TestAChargingConverterIsFollowed(t *testing.T) {
	c := build(t, blockingConverter(3, 150e-6, 10, 990, 22e-9, 1e6)...)
	opt := sim.TransientOptions{For: 4e-3, Tolerance: 1e-3, Watch: []circuit.NetID{"out"}}
	whole := follow(t, c, opt)
	opt.Leaps = true
	quick := follow(t, c, opt)
	near(t, "out", last(quick, "out"), last(whole, "out"), 3e-3*last(whole, "out"))
	checkNumbers(t, "with leaps", quick)
	if len(quick.Gaps) == 0 {
		t.Error("no cycle was gone over")
	}
	near(t, "end", quick.Time[len(quick.Time)-1], 4e-3, 1e-12)
}

// TestALeakyBaseKeepsAConverterStill: dirt from base to emitter takes the
// starting current away; from some value on the converter does not start.
func TestALeakyBaseKeepsAConverterStill(t *testing.T) {
	m := compile(t, build(t, blockingConverter(3, 150e-6, 10, 47e3, 47e-9, 1e6)...))
	starts := func(ohms float64) bool {
		s, err := m.Settle(t.Context(), circuit.State{}, sim.SettleOptions{Within: 20e-3, Variant: sim.Variant{sim.Bridge("b", "gnd", ohms)}})
		if err != nil {
			t.Fatal(err)
		}
		return s.Swings
	}
	if !starts(1e6) {
		t.Error("does not start with 1 MΩ across its base")
	}
	if starts(1e3) {
		t.Error("starts with 1 kΩ across its base")
	}
}

// TestFromWhichLeakageOnAConverterStands: halving finds the leakage across the
// base from which on a converter that starts through 1.5 MΩ stays at rest;
// 100 kΩ are beyond it. Runs over time say the same on either side.
func TestFromWhichLeakageOnAConverterStands(t *testing.T) {
	m := compile(t, build(t, "BT1 battery v gnd voltage=12 resistance=0.2",
		"T1 transformer v c b1 b0 gnd s winding_p=1,20,1m winding_f=0.5,8 winding_s=60,200 coupling=0.99",
		"Q1 npn c b gnd gain=200", "R1 resistor v b0 value=1.5M", "C1 capacitor b0 gnd value=10n", "R2 resistor b1 b value=1k",
		"D1 diode s out type=UF4007", "C2 capacitor out gnd value=10n", "R3 resistor out gnd value=10M"))
	leaking := func(ohms float64) sim.Variant { return sim.Variant{sim.Bridge("b", "gnd", ohms)} }
	const within = 0.25
	starts := func(ohms float64) bool {
		s, err := m.Settle(t.Context(), circuit.State{}, sim.SettleOptions{Within: within, Variant: leaking(ohms)})
		if err != nil {
			t.Fatal(err)
		}
		return s.Swings
	}
	low, high := 30e3, 3e6
	if starts(low) || !starts(high) {
		t.Fatal("nothing to look for")
	}
	for high > 1.05*low {
		if middle := math.Sqrt(low * high); starts(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	t.Logf("it stands from %.4g Ω on", low)
	if low < 100e3 {
		t.Errorf("stands from %g Ω on: 100 kΩ do not stop it", low)
	}
	for ohms, swings := range map[float64]bool{0.8 * low: false, 1.25 * high: true} {
		w, err := m.Transient(t.Context(), circuit.State{}, sim.TransientOptions{For: within, Tolerance: 1e-3, Leaps: true, Watch: []circuit.NetID{"c"}, Variant: leaking(ohms)})
		if err != nil {
			t.Fatal(err)
		}
		swing := 0.0
		for k, v := range w.Nets["c"] {
			if w.Time[k] > 0.9*within {
				swing = max(swing, math.Abs(v-12))
			}
		}
		if (swing > 1) != swings {
			t.Errorf("%g Ω: the collector swings by %g V at the end", ohms, swing)
		}
	}
}
