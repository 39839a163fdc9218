package align_test

import (
	"context"
	"os"
	"slices"
	"strconv"
	"testing"

	"foilside/internal/align"
)

// studySize reads how many boards a study takes, and its first seed: set
// FOILSIDE_STUDY to the number (1: many), FOILSIDE_SEED to the seed. What was
// chosen on made boards was chosen on seeds 9000 to 9039 and 21000 to 21099.
func studySize(t *testing.T, many, seed int) (count int, first uint64) {
	t.Helper()
	count, err := strconv.Atoi(os.Getenv("FOILSIDE_STUDY"))
	if err != nil {
		t.Skip("a study of minutes; set FOILSIDE_STUDY=1, or to a number of boards")
	}
	if count == 1 {
		count = many
	}
	if s, err := strconv.Atoi(os.Getenv("FOILSIDE_SEED")); err == nil {
		seed = s
	}
	return count, uint64(seed)
}

// TestStudyAutomatic measures search and refinement on made boards, from easy
// to nasty. 100 boards take some five minutes of processor time.
func TestStudyAutomatic(t *testing.T) {
	count, first := studySize(t, 100, 31000)
	var asked []uint64
	var rows []studyRow
	for i := range count {
		width := 2000
		if i%10 == 9 {
			width = 4000
		}
		seed := first + uint64(i)
		component, foil, truth := shoot(t, 20+(i*7)%100, width, float64(i%4)/3, seed)
		a, err := align.Automatic(context.Background(), component, foil, nil, align.Options{})
		if err != nil {
			asked = append(asked, seed)
			t.Logf("seed %d: %v", seed, err)
			continue
		}
		r := overBoard(&a, &truth)
		rows = append(rows, r)
		t.Logf("seed %d: %d open holes, median %.2f, 95 %% %.2f px of 4000, %.0f %% inside; %s", seed, r.holes, r.median, r.p95, 100*r.inside, a.Confidence)
		if w := wrongness(&a, truth, foil.Width()); w > tooWrong || !a.Mirrored() {
			t.Errorf("seed %d: a wrong map was taken, median error %.1f %%", seed, 100*w)
		}
	}
	summary(t, "all boards", rows)
	summary(t, "30 open holes and more", slices.DeleteFunc(slices.Clone(rows), func(r studyRow) bool { return r.holes < 30 }))
	t.Logf("%d boards: found %d, asked for a mark %d (seeds %v)", count, len(rows), len(asked), asked)
	if 100*len(rows) < 95*count {
		t.Errorf("found %d of %d", len(rows), count)
	}
}

// TestStudyOpenHoles is the accuracy asked for, on boards from which most parts
// were taken: 30 open holes and more.
func TestStudyOpenHoles(t *testing.T) {
	count, first := studySize(t, 40, 32000)
	var rows []studyRow
	for i := range count {
		width := 2000
		if i%4 == 3 {
			width = 4000
		}
		component, foil, truth := stripped(t, 40+(i*7)%60, width, float64(i%4)/3, first+uint64(i))
		a, err := align.Automatic(context.Background(), component, foil, nil, align.Options{})
		if err != nil {
			t.Logf("seed %d: %v", first+uint64(i), err)
			continue
		}
		if r := overBoard(&a, &truth); r.holes >= 30 {
			rows = append(rows, r)
			t.Logf("seed %d: %d open holes, median %.3f, 95 %% %.3f px of 4000, %.0f %% inside; %s", first+uint64(i), r.holes, r.median, r.p95, 100*r.inside, a.Confidence)
		}
	}
	summary(t, "30 open holes and more", rows)
}

// summary logs the medians over boards and the share inside the ellipses.
func summary(t *testing.T, name string, rows []studyRow) {
	t.Helper()
	if len(rows) == 0 {
		return
	}
	var medians, p95s []float64
	inside := 0.0
	for _, r := range rows {
		medians, p95s = append(medians, r.median), append(p95s, r.p95)
		inside += r.inside / float64(len(rows))
	}
	slices.Sort(medians)
	slices.Sort(p95s)
	n := len(rows)
	t.Logf("%s (%d): median error %.3f px of 4000 (worst tenth of boards from %.2f), 95 %% within %.3f (from %.2f), %.1f %% of places inside the 95 %% ellipse",
		name, n, medians[n/2], medians[n*9/10], p95s[n/2], p95s[n*9/10], 100*inside)
}
