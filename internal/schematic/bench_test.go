package schematic

import (
	"context"
	"fmt"
	"testing"

	"foilside/internal/schematic/trial"
)

// BenchmarkSheets draws units as people build them, chained from published
// stages, on as many sheets as they need.
func BenchmarkSheets(b *testing.B) {
	for _, n := range []int{60, 200} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			c, err := trial.Composed(5, n)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				d, err := Draw(context.Background(), c, Options{})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(d.Parts)), "parts")
				b.ReportMetric(float64(d.Metrics.Crossings), "crossings")
			}
		})
	}
}

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
