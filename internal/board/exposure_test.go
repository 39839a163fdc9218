package board_test

import (
	"math"
	"slices"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
)

// lettered is copper given as rows of letters: a net each, a dot where there is
// none; capitals are joints.
func lettered(rows ...string) *copper.Copper {
	c := &copper.Copper{Labels: copper.Labels{W: len(rows[0]), H: len(rows), Scale: 1}}
	most := copper.NetID(0)
	for y, row := range rows {
		for x, r := range row {
			if r == '.' {
				c.Labels.Of = append(c.Labels.Of, 0)
				continue
			}
			id := copper.NetID(r|0x20) - 'a' + 1
			most = max(most, id)
			c.Labels.Of = append(c.Labels.Of, id)
			if r < 'a' {
				c.Joints = append(c.Joints, copper.Joint{X: float64(x), Y: float64(y), Net: &id})
			}
		}
	}
	c.Nets = make([]copper.Net, most)
	return c
}

// TestExposures: long and near beats short or far, and a net between hides
// what is behind it.
func TestExposures(t *testing.T) {
	c := lettered(
		"aaaaaaaaaaaaaaaa",
		"................",
		"................",
		"bbbbbbbbbbbbbbbb",
		"................",
		"................",
		"................",
		"................",
		"dddddddd....cccc",
	)
	got := board.Exposures(c.Labels, 10)
	var pairs [][2]copper.NetID
	for _, e := range got {
		pairs = append(pairs, e.Nets)
	}
	want := [][2]copper.NetID{{1, 2}, {2, 4}, {3, 4}, {2, 3}}
	if !slices.Equal(pairs[:2], want[:2]) || slices.Contains(pairs, [2]copper.NetID{1, 3}) || len(pairs) != 4 {
		t.Errorf("pairs by exposure %v, want %v first and a and c hidden from each other", pairs, want[:2])
	}
	if e := got[0]; e.Width != 2 || math.Abs(e.Run-16) > 1 {
		t.Errorf("a over b: %g apart along %g pixels, want 2 along 16", e.Width, e.Run)
	}
}

// TestStretches: every stretch between neighbouring joints is one, with the
// joints that its crack would part.
func TestStretches(t *testing.T) {
	c := lettered(
		"...................",
		".aaa...........aaa.",
		".aAaaaaaaAaaaaaaAa.",
		".aaa.....a.....aaa.",
		".........a.........",
		".........A.........",
		"...................",
	)
	got := board.Stretches(c)
	if len(got) != 3 {
		t.Fatalf("%d stretches between four joints, want 3: %+v", len(got), got)
	}
	for _, s := range got {
		if len(s.Away) != 1 {
			t.Errorf("a crack from joint %d to %d parts %v, want one joint", s.Ends[0], s.Ends[1], s.Away)
		}
		if s.Width > 4 {
			t.Errorf("a track of one pixel is %g wide at its narrowest", s.Width)
		}
	}
	longest := slices.MaxFunc(got, func(a, b board.Stretch) int { return int(a.Weight()*1e6) - int(b.Weight()*1e6) })
	if longest.Length < 7 || longest.Length > 8 {
		t.Errorf("the likeliest crack is in a stretch of %g pixels, want 7: the length from A to A", longest.Length)
	}
}
