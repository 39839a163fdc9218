package sim_test

import (
	"context"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// follow runs a circuit over time.
func follow(t testing.TB, c *circuit.Circuit, opt sim.TransientOptions) *sim.Waveforms {
	t.Helper()
	w, err := compile(t, c).Transient(context.Background(), circuit.State{}, opt)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// last is the voltage of a net at the end.
func last(w *sim.Waveforms, net circuit.NetID) float64 {
	v := w.Nets[net]
	return v[len(v)-1]
}

// stiff is a source without inner resistance, in the words of build.
const stiff = "resistance=0"

// along holds a net against its closed form at every point of a run, to ten
// times the tolerance asked for, of the largest value.
func along(t testing.TB, w *sim.Waveforms, net circuit.NetID, largest, tolerance float64, exact func(t float64) float64) {
	t.Helper()
	worst, at := 0.0, 0.0
	for k, v := range w.Nets[net] {
		if d := math.Abs(v - exact(w.Time[k])); !(d <= worst) {
			worst, at = d, w.Time[k]
		}
	}
	if !(worst <= 10*tolerance*largest) {
		t.Errorf("%s is off by %.3g at %g s, more than 10 × %g of %g", net, worst, at, tolerance, largest)
	}
}

// crossing is when a net first passes a level, by the straight line between
// points.
func crossing(t testing.TB, w *sim.Waveforms, net circuit.NetID, level float64) float64 {
	t.Helper()
	v := w.Nets[net]
	for k := 1; k < len(v); k++ {
		if (v[k-1] < level) != (v[k] < level) {
			return w.Time[k-1] + (w.Time[k]-w.Time[k-1])*(level-v[k-1])/(v[k]-v[k-1])
		}
	}
	t.Fatalf("%s never passes %g V", net, level)
	return 0
}

// falls lists when a net falls through a level.
func falls(w *sim.Waveforms, net circuit.NetID, level float64) []float64 {
	var out []float64
	v := w.Nets[net]
	for k := 1; k < len(v); k++ {
		if v[k-1] >= level && v[k] < level {
			out = append(out, w.Time[k-1]+(w.Time[k]-w.Time[k-1])*(v[k-1]-level)/(v[k-1]-v[k]))
		}
	}
	return out
}
