package stage_test

import (
	"context"
	"testing"

	"foilside/internal/schematic/trial"
	"foilside/internal/stage"
)

// Two hundred parts in at most 80 ms is the aim.
func BenchmarkFind200(b *testing.B) {
	c, err := trial.Composed(7, 200)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(c.Parts)), "parts")
	for b.Loop() {
		if _, err := stage.Find(context.Background(), c); err != nil {
			b.Fatal(err)
		}
	}
}
