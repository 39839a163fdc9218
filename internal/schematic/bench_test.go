package schematic

import (
	"context"
	"fmt"
	"testing"

	"foilside/internal/schematic/trial"
)

func BenchmarkDraw(b *testing.B) {
	for _, n := range []int{15, 30, 60, 120} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			c := trial.Random(3, n)
			for b.Loop() {
				d, err := Draw(context.Background(), c, Options{})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(d.Metrics.Crossings), "crossings")
				b.ReportMetric(float64(d.Metrics.Bends), "bends")
			}
		})
	}
}
