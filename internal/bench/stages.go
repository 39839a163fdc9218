package bench

import (
	"context"

	"foilside/internal/stage"
)

// Stages are the functional groups of the job's circuit, how each works and
// which feeds which.
func (b *Bench) Stages(ctx context.Context) (stage.Found, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return stage.Found{}, err
	}
	if len(built.Circuit.Parts) == 0 {
		return stage.Found{}, NotDone(errNoParts, "place parts on the board, or write them in the job text")
	}
	return remember(ctx, &b.memo, "stages", key(built.Circuit), func(ctx context.Context) (stage.Found, error) {
		return stage.Find(ctx, built.Circuit)
	})
}
