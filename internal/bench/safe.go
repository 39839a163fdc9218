package bench

import (
	"slices"
	"strings"
	"time"

	"foilside/internal/job"
)

// madeSafe begins the words of a work that made the unit safe.
const madeSafe = "made safe"

// MadeSafe is the work of making the unit safe: its capacitors discharged, and
// the meter on them, which showed what is left over.
func MadeSafe(at time.Time, leftOver string) job.Work {
	leftOver = strings.TrimSpace(leftOver)
	if leftOver == "" {
		leftOver = "nothing dangerous on the meter, no figure noted"
	}
	return job.Work{Time: at, Did: madeSafe + "; left over: " + leftOver}
}

// safeLasts is how long that counts: after an evening's work nobody knows any
// more whether the plug was in meanwhile. (assumed)
const safeLasts = 4 * time.Hour

// SafeSince is when the unit was made safe; false where nobody has said so of
// late, or where it has had power since, as a reading or a symptom tells. What
// was recorded in the same second counts as later: better asked once too often.
func SafeSince(d job.Document, now time.Time) (time.Time, bool) {
	var at time.Time
	for _, w := range d.Work {
		if strings.HasPrefix(w.Did, madeSafe) && w.Time.After(at) {
			at = w.Time
		}
	}
	if at.IsZero() || now.Sub(at) > safeLasts {
		return at, false
	}
	powered := slices.ContainsFunc(d.Readings, func(r job.Reading) bool { return needsPower(r.Mode) && !r.Time.Before(at) }) ||
		slices.ContainsFunc(d.Symptoms, func(s job.Symptom) bool { return !s.Time.Before(at) })
	return at, !powered
}

// needsPower tells the modes that are read with the unit under power.
func needsPower(m job.Mode) bool {
	return m != job.Ohms && m != job.Continuity && m != job.Junction
}
