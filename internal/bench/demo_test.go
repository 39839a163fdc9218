package bench

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/specimen"
)

// clock stands still, so that logs and sheets are the same every time.
func clock() time.Time { return time.Date(2026, 3, 14, 9, 30, 0, 0, time.UTC) }

// openText opens a bench on a job text, in memory.
func openText(t *testing.T, text string, change func(*job.Document)) *Bench {
	t.Helper()
	d, problems := job.ReadText([]byte(text), "job.yaml")
	if err := job.AsError(problems); err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(&d)
	}
	b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}), Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A person who only does what the card says finds the hidden fault of each
// demonstration unit.
func TestTheCardLeadsToTheHiddenFault(t *testing.T) {
	for _, name := range specimen.Names() {
		t.Run(name, func(t *testing.T) {
			demo, err := specimen.About(name)
			if err != nil {
				t.Fatal(err)
			}
			b := openText(t, demo.Job, func(d *job.Document) { d.Demonstration = name })
			readings := follow(t, b, 12)
			f, err := b.Diagnosis(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			first := f.Answer.Suspects[0]
			var group []string
			for _, s := range f.Answer.Suspects {
				if s.Group == first.Group && s.Part != nil {
					group = append(group, string(*s.Part)+" "+string(s.Fault))
				}
			}
			t.Logf("%d readings, group of %d: %s", readings, len(group), strings.Join(group, ", "))
			if !slices.Contains(group, demo.Fault.Part+" "+demo.Fault.Fault) {
				t.Errorf("%s %s is not in the first group", demo.Fault.Part, demo.Fault.Fault)
			}
			if readings > 7 {
				t.Errorf("%d readings", readings)
			}
		})
	}
}

// follow takes the proposed reading until the plan says that it is done, and
// counts the readings.
func follow(t *testing.T, b *Bench, most int) int {
	t.Helper()
	ctx := context.Background()
	for n := range most {
		f, err := b.Diagnosis(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if f.Plan.Done || len(f.Plan.Next) == 0 {
			return n
		}
		p := f.Plan.Next[0]
		q := Query{Mode: string(p.Mode), Red: string(p.Red), Black: string(p.Black), State: p.State}
		value, err := b.DemoReading(ctx, q)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s %s-%s %s: %s", q.Mode, q.Red, q.Black, q.State, value)
		if _, err := b.LogReading(ctx, q, value, ""); err != nil {
			t.Fatal(err)
		}
	}
	return most
}

// The demonstration's photographs, marked as a careful person would, become
// the circuit that the board was made from.
func TestDemonstrationPhotographsBecomeTheCircuit(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and traces photographs")
	}
	for _, name := range specimen.Names() {
		t.Run(name, func(t *testing.T) {
			d, photos, err := DemoJob(t.Context(), name, false)
			if err != nil {
				t.Fatal(err)
			}
			b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}, photos...), Options{Now: clock})
			if err != nil {
				t.Fatal(err)
			}
			built, err := b.Circuit(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			demo, err := specimen.About(name)
			if err != nil {
				t.Fatal(err)
			}
			want, problems := job.ReadText([]byte(demo.Job), name)
			if err := job.AsError(problems); err != nil {
				t.Fatal(err)
			}
			c, _ := job.Circuit(want)
			if diff := cmp.Diff(leadsOn(c), leadsOn(built.Circuit)); diff != "" {
				t.Errorf("the circuit differs (-made +found):\n%s\n%v", diff, built.Problems)
			}
		})
	}
}

// leadsOn lists every net with its leads.
func leadsOn(c *circuit.Circuit) map[string][]string {
	out := map[string][]string{}
	for _, n := range c.Nets() {
		for _, l := range n.Leads {
			out[string(n.ID)] = append(out[string(n.ID)], string(l.Part)+"."+string(l.Lead))
		}
		slices.Sort(out[string(n.ID)])
	}
	return out
}
