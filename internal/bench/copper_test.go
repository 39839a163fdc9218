package bench

import (
	"context"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/num/geom"
)

// demoBench opens a demonstration in memory.
func demoBench(t *testing.T, name string) *Bench {
	t.Helper()
	d, blobs, err := DemoJob(t.Context(), name, false)
	if err != nil {
		t.Fatal(err)
	}
	store := job.NewMemory(job.Snapshot{})
	b, err := New(t.Context(), store, Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	_, err = b.Revise(t.Context(), "Open the demonstration", func(into *job.Document) error { *into = d; return nil }, blobs...)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// An answer to a doubtful place settles that place: it is not asked about
// again, until it is taken back.
func TestAnAnswerSettlesADoubtfulPlace(t *testing.T) {
	b := openText(t, "{}\n", nil)
	if _, err := b.SetPhoto(t.Context(), job.FoilSide, "foil.jpg", cracked(t)); err != nil {
		t.Fatal(err)
	}
	c, err := b.Copper(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Doubtful) == 0 {
		t.Fatal("no place of the cracked board is in doubt: nothing to answer")
	}
	listed := func(c *copper.Copper, at geom.Point) bool {
		for _, d := range c.Doubtful {
			if at.Dist(geom.Point{X: d.X, Y: d.Y}) < 1 {
				return true
			}
		}
		return false
	}
	for _, d := range c.Doubtful[:min(4, len(c.Doubtful))] {
		at := geom.Point{X: d.X, Y: d.Y}
		for _, joined := range []bool{true, false} {
			line, err := b.Answered(t.Context(), at, joined)
			if err != nil {
				t.Fatal(err)
			}
			say(t, b, line, joined)
			after, err := b.Copper(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			if listed(after, at) {
				t.Errorf("the place at %v is still asked about after the answer %v", at, joined)
			}
			one := after.At(d.Between[0]).Net
			other := after.At(d.Between[1]).Net
			if joined && (one == nil || other == nil || *one != *other) {
				t.Errorf("the two sides of %v are on %v and %v after they were said to be joined", at, one, other)
			}
			if _, err := b.Undo(t.Context()); err != nil {
				t.Fatal(err)
			}
			if before, err := b.Copper(t.Context()); err != nil || !listed(before, at) {
				t.Errorf("the place at %v is not asked about any more once the answer was taken back (%v)", at, err)
			}
		}
	}
	if _, err := b.Answered(t.Context(), geom.Point{X: 1, Y: 1}, true); err == nil {
		t.Error("a place that is in no doubt can be answered")
	}
}

func say(t *testing.T, b *Bench, line copper.Segment, joined bool) {
	t.Helper()
	_, err := b.Revise(context.Background(), "Answer", func(d *job.Document) error {
		s := job.Segment{From: job.PixelAt(line.From), To: job.PixelAt(line.To)}
		if joined {
			d.Copper.Joins = append(d.Copper.Joins, s)
		} else {
			d.Copper.Cuts = append(d.Copper.Cuts, s)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A close look at a net: what its neighbours see of it is what it sees of them,
// and its lengths are a board's.
func TestACloseLookAtANet(t *testing.T) {
	b := demoBench(t, "survey")
	c, err := b.Copper(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	looks := map[copper.NetID]*NetLook{}
	for _, n := range c.Nets {
		look, err := b.NetLook(t.Context(), n.ID)
		if err != nil {
			t.Fatal(err)
		}
		looks[n.ID] = look
	}
	seen := 0
	for id, look := range looks {
		if tr := look.Tracks; tr != nil {
			if usual := tr.Usual * look.MMPerPixel; tr.Least > tr.Usual || usual < 0.2 || usual > 8 || c.Labels.At(tr.Narrow) != id {
				t.Errorf("net %d: tracks %.2f mm wide, at least %.2f mm", id, usual, tr.Least*look.MMPerPixel)
			}
		}
		for _, f := range look.Neighbours {
			for _, back := range looks[f.Net].Neighbours {
				if back.Net == id {
					seen++
					if back.Width != f.Width {
						t.Errorf("nets %d and %d are %g and %g apart", id, f.Net, f.Width, back.Width)
					}
				}
			}
		}
	}
	if seen < len(c.Nets) {
		t.Errorf("%d sights of a neighbour among %d nets", seen, len(c.Nets))
	}
	if _, err := b.NetLook(t.Context(), 99999); err == nil {
		t.Error("a net that is not there can be looked at")
	}
}
