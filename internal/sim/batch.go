package sim

import (
	"context"
	"sync"
	"sync/atomic"

	"foilside/internal/circuit"
)

// Outcome is what became of one variant of a batch.
type Outcome struct {
	Solution *Solution
	Err      error // of this variant alone
}

// Batch solves many variants of the circuit in one state, each from the good
// unit's operating point, on the given number of workers (at least one). The
// outcomes stand in the order of the variants and are bit for bit the same
// whatever the number of workers, since no solve starts from another's end.
// Pattern, order of elimination and pivots are the good unit's wherever the
// variant has its unknowns; a bridge between nodes that are far apart is an
// update of rank one to the factors.
//
// Errors: the good unit's, or the context's; those of a variant stand in its
// outcome.
func (m *Model) Batch(ctx context.Context, state circuit.State, variants []Variant, workers int) ([]Outcome, error) {
	good, err := m.OperatingPoint(ctx, state, Run{})
	if err != nil {
		return nil, err
	}
	out := make([]Outcome, len(variants))
	var next atomic.Int64
	var group sync.WaitGroup
	for range max(1, min(workers, len(variants))) {
		group.Go(func() {
			for k := next.Add(1) - 1; int(k) < len(variants) && ctx.Err() == nil; k = next.Add(1) - 1 {
				out[k].Solution, out[k].Err = m.OperatingPoint(ctx, state, Run{Variant: variants[k], From: good})
			}
		})
	}
	group.Wait()
	return out, ctx.Err()
}
