package bench

import (
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// The last two cycles of a sine come out as two cycles of a sine, whatever the
// steps were.
func TestASketchShowsTheLastCycles(t *testing.T) {
	const period = 1e-3
	w := &sim.Waveforms{Nets: map[circuit.NetID][]float64{}}
	for at := 0.0; at < 5*period; at += period / 200 * (1 + 0.5*math.Sin(9e3*at)) {
		w.Time = append(w.Time, at)
		w.Nets["a"] = append(w.Nets["a"], 2+math.Sin(2*math.Pi*at/period))
		w.Nets["still"] = append(w.Nets["still"], 5+0.001*math.Sin(2*math.Pi*at/period))
	}
	end := w.Time[len(w.Time)-1]
	wave := lastCycles(w, "a", period)
	if len(wave) != sketchPoints {
		t.Fatalf("%d points", len(wave))
	}
	for i, v := range wave {
		at := end - 2*period + 2*period*float64(i)/(sketchPoints-1)
		if want := 2 + math.Sin(2*math.Pi*at/period); math.Abs(v-want) > 2e-3 {
			t.Errorf("point %d is %g, not %g", i, v, want)
		}
	}
	if lastCycles(w, "still", period) != nil || lastCycles(w, "nowhere", period) != nil {
		t.Error("a net that hardly swings got a sketch")
	}
	w.Gaps = [][2]float64{{end - 3*period, end - period}}
	if lastCycles(w, "a", period) != nil {
		t.Error("a gap was drawn as a wave")
	}
}
