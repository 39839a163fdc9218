package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/circuit"
)

// Waves follows the circuit over time and shows a stretch of it.
func (l *live) Waves(ctx context.Context, w WaveWish) (Waves, error) {
	q := bench.SimulateQuery{For: w.For, Watch: w.Watch, State: w.State, Leaps: w.Leaps}
	if w.Settled {
		q.From = bench.FromSettled
	}
	got, err := l.bench.WaveWindow(ctx, q, w.From, w.To)
	if err != nil {
		return Waves{}, fault(err)
	}
	return Waves{From: got.From, To: got.To, Whole: got.Whole, Time: got.Time, Gaps: got.Gaps,
		Traces:   each(got.Traces, func(t bench.WaveTrace) Trace { return Trace{string(t.Net), t.Low, t.High} }),
		Cautions: each(got.Warnings, func(p circuit.Problem) string { return p.Text })}, nil
}
