package sim_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// TestSignals: every shape has the rms value that was asked for, begins as
// documented and jumps at its edges.
func TestSignals(t *testing.T) {
	for shape, peak := range map[string]float64{"sine": math.Sqrt2, "square": 1, "triangle": math.Sqrt(3), "pulse": math.Sqrt(10)} {
		t.Run(shape, func(t *testing.T) {
			w := follow(t, build(t, "G1 signal a gnd voltage=1 frequency=1k resistance=0 shape="+shape, "R1 resistor a gnd value=1k"),
				sim.TransientOptions{For: 3e-3})
			v := w.Nets["a"]
			near(t, "peak", slices.Max(v), peak, 1e-3*peak)
			sum := 0.0
			for k := 1; k < len(v); k++ {
				// Straight between two points: a third of the sum of squares.
				sum += (w.Time[k] - w.Time[k-1]) * (v[k]*v[k] + v[k]*v[k-1] + v[k-1]*v[k-1]) / 3
			}
			near(t, "rms", math.Sqrt(sum/3e-3), 1, 2e-3)
		})
	}
}

// TestEdgesOfSeveralSignals: edges that fall together but for rounding, or at
// the very end, are one; time still rises and ends where it was asked to.
func TestEdgesOfSeveralSignals(t *testing.T) {
	for _, span := range []float64{1e-3, 2.0 / 3e3, 7.0 / 6e3} {
		w := follow(t, build(t, "G1 signal a gnd voltage=1 frequency=1k shape=square", "G2 signal b gnd voltage=1 frequency=3k shape=square",
			"G3 signal c gnd voltage=1 frequency=7k shape=triangle", "R1 resistor a o value=1k", "R2 resistor b o value=1k", "R3 resistor c o value=1k",
			"C1 capacitor o gnd value=10n"), sim.TransientOptions{For: span})
		checkNumbers(t, fmt.Sprint(span), w)
		near(t, "end", w.Time[len(w.Time)-1], span, 0)
	}
}

// TestSettledStaysSettled: from the operating point nothing moves but the last
// figures of an open winding's voltage, which is a slope.
func TestSettledStaysSettled(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=9 resistance=1", "R1 resistor v b value=100k", "R2 resistor b gnd value=22k",
		"RC resistor v c value=4.7k", "RE resistor e gnd value=1k", "Q1 npn c b e gain=200", "C1 capacitor e gnd value=47u",
		"C2 capacitor c o value=1u", "R3 resistor o gnd value=10k", "L1 inductor v x value=1 resistance=10", "R4 resistor x gnd value=1k",
		"T1 transformer x gnd y gnd winding_p=10,100,1 winding_s=10,100"), sim.TransientOptions{For: 0.1, FromSettled: true})
	for _, n := range w.Order() {
		v := w.Nets[n]
		if d := slices.Max(v) - slices.Min(v); d > 1e-7 {
			t.Errorf("%s moves by %g V", n, d)
		}
	}
}

// TestValuesOverTimeAreAskedFor: a value that only matters over time is asked
// for then, not before.
func TestValuesOverTimeAreAskedFor(t *testing.T) {
	rows := []struct {
		name  string
		parts []string
		says  []string
	}{
		{"capacitor without value", []string{"C1 capacitor v gnd"}, []string{"C1", "value"}},
		{"coil without value", []string{"L1 inductor v gnd"}, []string{"L1", "value"}},
		{"transformer without inductance", []string{"T1 transformer v gnd a gnd winding_p=10 winding_s=10"}, []string{"T1", "inductance"}},
		{"transformer coupled beyond one", []string{"T1 transformer v gnd a gnd winding_p=10,100,1 winding_s=10 coupling=1.5"}, []string{"T1", "coupling"}},
		{"signal without voltage", []string{"G1 signal v gnd"}, []string{"G1", "voltage"}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			m := compile(t, build(t, append([]string{"BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k"}, r.parts...)...))
			_, err := m.Transient(t.Context(), circuit.State{}, sim.TransientOptions{For: 1e-3})
			if !sim.IsRefusal(err) {
				t.Fatalf("not refused: %v", err)
			}
			for _, want := range r.says {
				if !strings.Contains(err.Error(), want) {
					t.Errorf("%q does not say %q", err, want)
				}
			}
			if _, err := m.OperatingPoint(t.Context(), circuit.State{}, sim.Run{}); err != nil {
				t.Errorf("at rest it is refused too: %v", err)
			}
		})
	}
}

// TestThrownRelayIsFollowed: contacts that the state throws need no motion.
func TestThrownRelayIsFollowed(t *testing.T) {
	m := compile(t, build(t, "BT1 battery v gnd voltage=9 "+stiff, "K1 relay v gnd v a b pull-in_voltage=5", "R1 resistor a gnd value=1k"))
	w, err := m.Transient(t.Context(), settings(t, "K1=no"), sim.TransientOptions{For: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a", last(w, "a"), 9, 1e-3)
}

// TestAFloatingNetIsTold: a winding that touches nothing else.
func TestAFloatingNetIsTold(t *testing.T) {
	w := follow(t, build(t, "G1 signal a gnd voltage=1", "T1 transformer a gnd x y winding_p=10,100,1 winding_s=10,100", "R1 resistor x y value=1k"),
		sim.TransientOptions{For: 2e-3, Watch: []circuit.NetID{"x", "a"}})
	if len(w.Warnings) != 1 || w.Warnings[0].Net != "x" {
		t.Errorf("warnings %v", w.Warnings)
	}
}

// TestThinningKeepsExtremes: with few points kept, the shortest peak is still
// there, time rises, and both ends stand.
func TestThinningKeepsExtremes(t *testing.T) {
	parts := []string{"G1 signal in gnd voltage=1 shape=pulse frequency=10 resistance=50", "C1 capacitor in d value=1n", "R1 resistor d gnd value=1k",
		"R2 resistor in s value=10k", "C2 capacitor s gnd value=1u"}
	whole := follow(t, build(t, parts...), sim.TransientOptions{For: 1})
	few := follow(t, build(t, parts...), sim.TransientOptions{For: 1, MaxPoints: 200})
	if len(whole.Time) < 1000 || len(few.Time) > 200 {
		t.Fatalf("%d points thinned to %d", len(whole.Time), len(few.Time))
	}
	for n, v := range whole.Nets {
		near(t, string(n)+" largest", slices.Max(few.Nets[n]), slices.Max(v), 0)
		near(t, string(n)+" least", slices.Min(few.Nets[n]), slices.Min(v), 0)
		near(t, string(n)+" at the end", last(few, n), last(whole, n), 0)
	}
	for k := 1; k < len(few.Time); k++ {
		if few.Time[k] <= few.Time[k-1] {
			t.Fatalf("time does not rise at %g s", few.Time[k])
		}
	}
	if few.Time[0] != 0 || few.Time[len(few.Time)-1] != 1 {
		t.Errorf("from %g to %g s", few.Time[0], few.Time[len(few.Time)-1])
	}
}

// TestRunsAreTheSameEveryTime: bit for bit, whatever else the model did.
func TestRunsAreTheSameEveryTime(t *testing.T) {
	r := rectifier{peak: 15, hertz: 50, inner: 10, farads: 10e-6, load: 2200}
	m := compile(t, r.circuit(t))
	run := func() *sim.Waveforms {
		w, err := m.Transient(t.Context(), circuit.State{}, sim.TransientOptions{For: 30e-3, Tolerance: 1e-3})
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	a := run()
	if _, err := m.OperatingPoint(t.Context(), circuit.State{}, sim.Run{}); err != nil {
		t.Fatal(err)
	}
	if b := run(); !slices.Equal(a.Time, b.Time) || !maps.EqualFunc(a.Nets, b.Nets, slices.Equal) {
		t.Error("two runs differ")
	}
}

// TestBadRunsAreRefused: what makes no sense to ask for.
func TestBadRunsAreRefused(t *testing.T) {
	m := compile(t, build(t, "BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k"))
	other := solve(t, build(t, "BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k"), circuit.State{}, nil)
	for name, opt := range map[string]sim.TransientOptions{
		"no time": {}, "negative": {For: -1}, "not a number": {For: math.NaN()}, "endless": {For: math.Inf(1)},
		"unknown net": {For: 1, Watch: []circuit.NetID{"nowhere"}}, "another circuit": {For: 1, From: other},
	} {
		if _, err := m.Transient(t.Context(), circuit.State{}, opt); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// TestContextEndsARun: a cancelled run returns at once with the reason, and
// progress was told.
func TestContextEndsARun(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	m := compile(t, build(t, "G1 signal v gnd voltage=9 frequency=1M", "R1 resistor v gnd value=1k"))
	told := 0
	_, err := m.Transient(ctx, circuit.State{}, sim.TransientOptions{For: 1, Progress: func(float64, string) {
		if told++; told == 3 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) || told != 3 {
		t.Errorf("%v after %d", err, told)
	}
}

// reactive makes a random circuit of package bench one that moves.
func reactive(rng *rand.Rand, c *circuit.Circuit) {
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Capacitor:
			p.Amounts["value"] = circuit.Amount{Value: math.Pow(10, -11+7*rng.Float64())}
		case circuit.Inductor:
			p.Amounts["value"] = circuit.Amount{Value: math.Pow(10, -6+6*rng.Float64())}
		}
	}
}

// TestRandomRunsEnd: whatever the circuit, a run ends with numbers or with a
// reason; nearly all with numbers.
func TestRandomRunsEnd(t *testing.T) {
	ended, refused := 0, 0
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 77))
		c := bench(rng, 3+int(seed)%12, int(seed)%30)
		reactive(rng, c)
		if seed%3 == 0 {
			silly(rng, c)
		}
		m, err := sim.Compile(c, sim.Options{})
		if err != nil {
			continue
		}
		// The time limit is for the tests' sake; it is no failure.
		ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
		w, err := m.Transient(ctx, circuit.State{}, sim.TransientOptions{For: math.Pow(10, -6+7*rng.Float64()), Tolerance: 1e-3})
		cancel()
		switch {
		case errors.Is(err, context.DeadlineExceeded):
		case err != nil:
			if refused++; !sim.IsRefusal(err) {
				t.Errorf("seed %d: no reason: %v", seed, err)
			}
		default:
			ended++
			checkNumbers(t, fmt.Sprint("seed ", seed), w)
		}
	}
	if ended < 20 || refused > 4 {
		t.Errorf("%d ended, %d were refused", ended, refused)
	}
}

// checkNumbers wants finite voltages and rising time.
func checkNumbers(t *testing.T, name string, w *sim.Waveforms) {
	t.Helper()
	for k := 1; k < len(w.Time); k++ {
		if !(w.Time[k] > w.Time[k-1]) {
			t.Fatalf("%s: time does not rise at %g s", name, w.Time[k])
		}
	}
	for n, v := range w.Nets {
		for _, x := range v {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%s: %s is %g", name, n, x)
			}
		}
	}
}
