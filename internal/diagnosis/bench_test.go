package diagnosis_test

import (
	"math/rand/v2"
	"testing"

	"context"
	"foilside/internal/diagnosis"
)

// BenchmarkFirstNext is the first question about a unit of 27 parts, nothing
// known yet: the budget is 1 s on 2 cores.
func BenchmarkFirstNext(b *testing.B) {
	c := units()[0].circuit()
	for b.Loop() {
		p, err := diagnosis.New(c, diagnosis.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := p.Next(context.Background(), diagnosis.Evidence{}, harmless); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAfterReading is the mean question after each reading of a whole
// search: the budget is 100 ms on 2 cores.
func BenchmarkAfterReading(b *testing.B) {
	c := units()[0].circuit()
	questions := 0
	for b.Loop() {
		b.StopTimer()
		p, err := diagnosis.New(c, diagnosis.Options{})
		if err != nil {
			b.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(uint64(questions), 1))
		all := hiddenFaults(c, rng)
		u := newFaultyUnit(c, all[rng.IntN(len(all))], rng)
		var ev diagnosis.Evidence
		for {
			plan, err := p.Next(context.Background(), ev, harmless)
			b.StopTimer()
			if err != nil {
				b.Fatal(err)
			}
			if len(plan.Next) == 0 || len(ev.Readings) == mostReadings {
				break
			}
			ev.Readings = append(ev.Readings, u.read(plan.Next[0].Check))
			questions++
			b.StartTimer()
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(max(questions, 1)), "ms/question")
}
