package copper_test

import (
	"slices"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// What was seen once answers for any samples as a fresh look does, in any
// order.
func TestSeenAnswersForAnySamples(t *testing.T) {
	img := picture()
	seen, err := copper.See(t.Context(), img, copper.Options{})
	if err != nil {
		t.Fatal(err)
	}
	more := pointed()
	more.Bare = append(more.Bare, geom.Point{X: 20, Y: 20})
	for _, ev := range []copper.Evidence{pointed(), more, {}, pointed()} {
		again, err := seen.Look(t.Context(), ev, copper.Options{})
		if err != nil {
			t.Fatal(err)
		}
		fresh, err := copper.Look(t.Context(), img, ev, copper.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(again.Prob.Pix, fresh.Prob.Pix) {
			t.Errorf("%d and %d samples: another probability than by a fresh look", len(ev.Copper), len(ev.Bare))
		}
	}
}
