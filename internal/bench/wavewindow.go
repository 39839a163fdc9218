package bench

import (
	"context"
	"errors"
	"sort"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

const (
	// windowPoints is how many points of a run are kept for looking at closely:
	// 80 MB with nine nets.
	windowPoints = 1 << 20
	// windowNets is the most nets that one run notes for it.
	windowNets = 8
	// WindowColumns is how many columns a window is divided into.
	WindowColumns = 1000
)

// WaveWindow is a stretch of waveforms as a chart shows it: in each column the
// least and the greatest that each net reaches, so that no peak is lost, however
// much time a column stands for.
type WaveWindow struct {
	From, To float64   // s
	Whole    float64   // s, of the run
	Time     []float64 // s, of the columns, rising
	Traces   []WaveTrace
	Gaps     [][2]float64 // stretches in which cycles were gone over
	Warnings []circuit.Problem
}

// WaveTrace is one net in a window, in V to the common net.
type WaveTrace struct {
	Net       circuit.NetID
	Low, High []float64 // of each column
}

// WaveWindow follows the circuit over time, once, and gives what is between two
// times of it; to at or before from stands for the whole run.
func (b *Bench) WaveWindow(ctx context.Context, q SimulateQuery, from, to float64) (*WaveWindow, error) {
	if len(q.Watch) == 0 {
		return nil, BadInput(errors.New("no net is chosen to look at"), "choose one net or more")
	}
	if len(q.Watch) > windowNets {
		return nil, badf("%d nets are chosen to look at; take %d at most", len(q.Watch), windowNets)
	}
	q.Points = windowPoints
	w, err := b.Simulate(ctx, q)
	if err != nil {
		return nil, err
	}
	return windowOf(w, from, to), nil
}

func windowOf(w *sim.Waveforms, from, to float64) *WaveWindow {
	whole := w.Time[len(w.Time)-1]
	from, to = max(from, 0), min(to, whole)
	if to <= from {
		from, to = 0, whole
	}
	out := &WaveWindow{From: from, To: to, Whole: whole, Gaps: w.Gaps, Warnings: w.Warnings}
	// The points on either side of the window belong to it: lines lead to them.
	first := max(sort.SearchFloat64s(w.Time, from)-1, 0)
	last := min(sort.SearchFloat64s(w.Time, to)+1, len(w.Time))
	cuts := columnsOf(w.Time[first:last], from, to)
	for i := range len(cuts) - 1 {
		out.Time = append(out.Time, w.Time[first+cuts[i]])
	}
	for _, net := range w.Order() {
		t := WaveTrace{Net: net}
		volts := w.Nets[net][first:last]
		for i := range len(cuts) - 1 {
			low, high := volts[cuts[i]], volts[cuts[i]]
			for _, v := range volts[cuts[i]:cuts[i+1]] {
				low, high = min(low, v), max(high, v)
			}
			t.Low, t.High = append(t.Low, low), append(t.High, high)
		}
		out.Traces = append(out.Traces, t)
	}
	return out
}

// columnsOf cuts rising times into columns of equal length in time, and gives
// where each begins, and the end. Few points are a column each.
func columnsOf(time []float64, from, to float64) []int {
	cuts := []int{0}
	if len(time) <= 2*WindowColumns {
		for i := 1; i <= len(time); i++ {
			cuts = append(cuts, i)
		}
		return cuts
	}
	column := -1
	for i, t := range time {
		if k := int(WindowColumns * (t - from) / (to - from)); i > 0 && k > column && t >= from {
			cuts, column = append(cuts, i), k
		}
	}
	return append(cuts, len(time))
}
