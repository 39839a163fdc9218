package diagnosis_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

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
			r, err := u.read(plan.Next[0].Check)
			if err != nil {
				b.Fatal(err)
			}
			ev.Readings = append(ev.Readings, r)
			questions++
			b.StartTimer()
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(max(questions, 1)), "ms/question")
}

// stages is a chain of capacitor-coupled stages with seven parts each, for
// the growth of time with size.
func stages(n int) unit {
	text := "B1 battery 12 supply chassis\n"
	for i := range n {
		text += fmt.Sprintf(`
			R%[1]d1 resistor 47k supply base%[1]d
			R%[1]d2 resistor 10k base%[1]d chassis
			R%[1]d3 resistor 4k7 supply collector%[1]d
			R%[1]d4 resistor 1k emitter%[1]d chassis
			Q%[1]d npn collector%[1]d base%[1]d emitter%[1]d gain=200
			C%[1]d1 electrolytic 10u collector%[1]d base%[2]d
			C%[1]d2 electrolytic 47u emitter%[1]d chassis
		`, i+1, i+2)
	}
	text += fmt.Sprintf("R1 resistor 100k base%d chassis\n", n+1)
	return unit{fmt.Sprintf("%d stages", n), text + "state off B1=off\nstate on"}
}

// BenchmarkFirstNextLarge is the first question by size; 150 parts have 10 s on
// 2 cores.
func BenchmarkFirstNextLarge(b *testing.B) {
	for _, n := range []int{8, 21} {
		c := stages(n).circuit()
		b.Run(fmt.Sprintf("%d parts", len(c.Parts)), func(b *testing.B) {
			for b.Loop() {
				p, err := diagnosis.New(c, diagnosis.Options{})
				if err != nil {
					b.Fatal(err)
				}
				if _, err := p.Next(context.Background(), diagnosis.Evidence{}, harmless); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
