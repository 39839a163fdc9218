package bench

import (
	"testing"
	"time"

	"foilside/internal/job"
)

// Whoever has made the unit safe need not say so again until it has had power.
func TestSafeSince(t *testing.T) {
	at := func(minute int) time.Time { return clock().Add(time.Duration(minute) * time.Minute) }
	safe := []job.Work{{Time: at(0), Did: "replaced"}, MadeSafe(at(10), " C1: 0.3 V ")}
	read := func(m job.Mode, minute int) []job.Reading { return []job.Reading{{Mode: m, Time: at(minute)}} }
	for _, c := range []struct {
		name string
		doc  job.Document
		now  int
		want bool
	}{
		{"never", job.Document{Work: safe[:1]}, 30, false},
		{"made safe", job.Document{Work: safe}, 30, true},
		{"ohms since", job.Document{Work: safe, Readings: read(job.Ohms, 12)}, 30, true},
		{"volts before", job.Document{Work: safe, Readings: read(job.VoltsDC, 9)}, 30, true},
		{"volts since", job.Document{Work: safe, Readings: read(job.VoltsDC, 12)}, 30, false},
		{"volts in the same second", job.Document{Work: safe, Readings: read(job.VoltsDC, 10)}, 30, false},
		{"seen to glow since", job.Document{Work: safe, Symptoms: []job.Symptom{{Seen: "dim", Time: at(11)}}}, 30, false},
		{"the next day", job.Document{Work: safe}, 24 * 60, false},
		{"made safe again", job.Document{Work: append(safe, MadeSafe(at(20), "")), Readings: read(job.AmpsDC, 12)}, 30, true},
	} {
		if when, got := SafeSince(c.doc, at(c.now)); got != c.want || got && when.Before(at(10)) {
			t.Errorf("%s: safe since %v, %v", c.name, when, got)
		}
	}
	if got := safe[1].Did; got != "made safe; left over: C1: 0.3 V" {
		t.Errorf("recorded as %q", got)
	}
}
