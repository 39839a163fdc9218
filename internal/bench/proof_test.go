package bench

import (
	"errors"
	"strings"
	"testing"
	"time"

	"foilside/internal/job"
)

const repairedText = `
common: chassis
parts:
  B1: {kind: battery, voltage: 9 V, resistance: 1 Ω, leads: {+: bat, -: chassis}}
  R1: {kind: resistor, value: 10k, tolerance: 5%, leads: {1: bat, 2: mid}}
  R2: {kind: resistor, value: 10k, tolerance: 5%, leads: {1: mid, 2: chassis}}
  R3: {kind: resistor, value: 1k, tolerance: 5%, leads: {1: bat, 2: led}}
  D1: {kind: led, leads: {a: led, k: chassis}}
states:
  "off": {B1: off}
  "on": {B1: on}
symptoms:
  - {part: D1, seen: dark, state: "on", time: 2026-03-14T08:00:00Z}
readings:
  - {mode: volts-dc, red: mid, state: "on", value: 8.9 V, time: 2026-03-14T08:05:00Z}
work:
  - {part: R2, did: replaced by a new 10k, time: 2026-03-14T08:30:00Z}
`

// after adds what was done so many minutes after the repair.
func after(minute int, add func(d *job.Document, at time.Time)) func(*job.Document) {
	return func(d *job.Document) {
		add(d, time.Date(2026, 3, 14, 8, 30, 0, 0, time.UTC).Add(time.Duration(minute)*time.Minute))
	}
}

func measured(t *testing.T, mode job.Mode, red, state, value string) func(*job.Document, time.Time) {
	t.Helper()
	v, err := job.ParseValue(mode, value)
	if err != nil {
		t.Fatal(err)
	}
	return func(d *job.Document, at time.Time) {
		r := job.Reading{Mode: mode, State: state, Value: v, Time: at}
		r.Red.Net = "mid"
		if red == "bat" {
			r.Red.Net = "bat"
		}
		d.Readings = append(d.Readings, r)
	}
}

// The proof asks for the repaired part, the supply and what was off before, and
// is done once all of it reads as in a good unit since the repair.
func TestProof(t *testing.T) {
	all := []func(*job.Document){
		after(1, measured(t, job.Ohms, "mid", "off", "10.1 kΩ")), after(2, measured(t, job.VoltsDC, "bat", "on", "9.0 V")),
		after(3, measured(t, job.VoltsDC, "mid", "on", "4.5 V")),
		after(4, func(d *job.Document, at time.Time) {
			d.Symptoms = append(d.Symptoms, job.Symptom{Part: "D1", Seen: "normal", State: "on", Time: at})
		}),
	}
	for _, row := range []struct {
		name    string
		changes []func(*job.Document)
		done    bool
		says    string
		open    int
		failed  int
	}{
		{"nothing yet", nil, false, "left to do", 4, 0},
		{"before the repair does not count", []func(*job.Document){after(-10, measured(t, job.Ohms, "mid", "off", "10.1 kΩ"))}, false, "4 of 4 are left", 4, 0},
		{"half of it", all[:2], false, "2 of 4 are left", 2, 0},
		{"all", all, true, "no proof that it is safe", 0, 0},
		{"still off", append(all[:2:2], after(5, measured(t, job.VoltsDC, "mid", "on", "8.9 V"))), false, "still wrong", 1, 1},
		{"read again, and right", append(append([]func(*job.Document){after(1, measured(t, job.VoltsDC, "mid", "on", "8.9 V"))}, all...), nil), true, "Every reading", 0, 0},
		{"no repair", []func(*job.Document){func(d *job.Document) { d.Work = nil }}, false, "record the repair first", 3, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			b := openText(t, repairedText, func(d *job.Document) {
				for _, change := range row.changes {
					if change != nil {
						change(d)
					}
				}
			})
			p, err := b.Proof(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			open, failed := 0, 0
			for i, item := range p.Items {
				if item.Outcome == ToDo {
					open++
				}
				if item.Outcome == Failed {
					failed++
				}
				if i > 0 && item.Mode == "ohms" && p.Items[i-1].Mode != "ohms" {
					t.Errorf("a reading without power comes after one with it: %+v", p.Items)
				}
				if item.Mode == "ohms" && !strings.Contains(item.Caution, "every supply off") {
					t.Errorf("%s without a caution", item.Text)
				}
			}
			if p.Done != row.done || !strings.Contains(p.Verdict, row.says) || open != row.open || failed != row.failed {
				t.Errorf("done %v, %d open, %d failed, %q; items %+v", p.Done, open, failed, p.Verdict, p.Items)
			}
			w, err := b.SignOff(t.Context(), "R.M.")
			var fault *Fault
			switch {
			case row.done && (err != nil || !strings.HasPrefix(w.Did, signedOff)):
				t.Errorf("not signed off: %v", err)
			case !row.done && (!errors.As(err, &fault) || !fault.Input):
				t.Errorf("signed off all the same: %v, %v", w, err)
			}
			if again, err := b.Proof(t.Context()); err != nil || (again.Signed != "") != row.done {
				t.Errorf("signed %q after that, %v", again.Signed, err)
			}
		})
	}
}

// A unit that gets no guidance gets none for its proof.
func TestProofOfARefusedUnit(t *testing.T) {
	b := openText(t, strings.Replace(repairedText, "{kind: battery, voltage: 9 V, resistance: 1 Ω,", "{kind: signal, voltage: 230 V, frequency: 50 Hz,", 1), nil)
	p, err := b.Proof(t.Context())
	if err != nil || len(p.Items) != 0 || p.Done || !strings.Contains(p.Verdict, "mains") {
		t.Errorf("%+v, %v", p, err)
	}
}
