package job_test

import (
	"fmt"
	"strings"
	"testing"

	"foilside/internal/job"
)

// large is a job with that many parts, and a reading for every fourth.
func large(b *testing.B, parts int) job.Document {
	b.Helper()
	var s strings.Builder
	s.WriteString("common: gnd\nparts:\n")
	for i := range parts {
		fmt.Fprintf(&s, "  R%d: {kind: resistor, value: 4k7, tolerance: 5%%, leads: {1: n%d, 2: n%d}}\n", i, i, i+1)
	}
	s.WriteString("readings:\n")
	for i := range parts / 4 {
		fmt.Fprintf(&s, "  - {mode: ohms, red: n%d, black: n%d, value: 3k9}\n", i, i+2)
	}
	d, problems := job.ReadText([]byte(s.String()), "")
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	return d
}

func BenchmarkReadText(b *testing.B) {
	for _, parts := range []int{30, 300} {
		b.Run(fmt.Sprint(parts, " parts"), func(b *testing.B) {
			text := job.WriteText(large(b, parts))
			for b.Loop() {
				if _, problems := job.ReadText(text, ""); len(problems) > 0 {
					b.Fatal(problems)
				}
			}
		})
	}
}

func BenchmarkCommand(b *testing.B) {
	for _, parts := range []int{30, 300} {
		b.Run(fmt.Sprint(parts, " parts"), func(b *testing.B) {
			d := large(b, parts)
			for i := 0; b.Loop(); i++ {
				edit := job.Edit{Op: job.SetOp, Path: []string{"parts", "R7", "value"}, Value: []byte(fmt.Sprintf(`"%dk"`, 1+i%9))}
				c, err := job.Plan(d, "Value", edit)
				if err != nil {
					b.Fatal(err)
				}
				if d, _, err = job.Apply(d, c); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
