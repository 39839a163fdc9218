package bench

import (
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// However much a column stands for, the one peak among a million points shows;
// and looked at closely enough every point is itself.
func TestWindowsKeepPeaks(t *testing.T) {
	const points = 1_000_000
	w := &sim.Waveforms{Nets: map[circuit.NetID][]float64{"out": make([]float64, points)}}
	for i := range points {
		w.Time = append(w.Time, float64(i)*1e-6)
		w.Nets["out"][i] = math.Sin(float64(i) / 500)
	}
	w.Nets["out"][654_321] = 7
	whole := windowOf(w, 0, 0)
	if n := len(whole.Time); n > WindowColumns+2 || n < WindowColumns/2 {
		t.Errorf("the whole run has %d columns, want about %d", n, WindowColumns)
	}
	top := math.Inf(-1)
	for i, v := range whole.Traces[0].High {
		if top = max(top, v); v < whole.Traces[0].Low[i] {
			t.Fatalf("column %d reaches from %g to %g", i, whole.Traces[0].Low[i], v)
		}
	}
	if top != 7 {
		t.Errorf("the greatest of the whole run is %g, want the peak of 7", top)
	}
	near := windowOf(w, 0.654300, 0.654340)
	for i, at := range near.Time {
		k := int(math.Round(at * 1e6))
		if v := near.Traces[0]; v.Low[i] != w.Nets["out"][k] || v.High[i] != v.Low[i] {
			t.Errorf("at %g s the window has %g to %g, the run %g", at, v.Low[i], v.High[i], w.Nets["out"][k])
		}
	}
	if near.Time[0] > 0.654300 || near.Time[len(near.Time)-1] < 0.654340 {
		t.Errorf("the window from %g to %g doesn't reach over what was asked for", near.Time[0], near.Time[len(near.Time)-1])
	}
}

// The bench follows a demonstration once and looks at any part of it.
func TestWaveWindow(t *testing.T) {
	b := openText(t, "common: 0\nparts:\n  B1: {kind: battery, voltage: 10 V, leads: {+: in, -: 0}}\n  R1: {kind: resistor, value: 1 kΩ, leads: {1: in, 2: out}}\n  C1: {kind: capacitor, value: 1 µF, leads: {1: out, 2: 0}}\n", nil)
	q := SimulateQuery{For: "10 ms", Watch: []string{"out"}}
	w, err := b.WaveWindow(t.Context(), q, 0.9e-3, 1.1e-3)
	if err != nil {
		t.Fatal(err)
	}
	got := 0.0
	for i, at := range w.Time {
		if at <= 1e-3 {
			got = w.Traces[0].High[i]
		}
	}
	if want := 10 * (1 - math.Exp(-1)); math.Abs(got-want) > 0.2 {
		t.Errorf("after one time constant the capacitor has %.2f V, want %.2f V", got, want)
	}
	for name, bad := range map[string]SimulateQuery{
		"no net": {For: "10 ms"}, "a strange net": {For: "10 ms", Watch: []string{"nowhere"}}, "no time": {Watch: []string{"out"}},
	} {
		if _, err := b.WaveWindow(t.Context(), bad, 0, 0); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
