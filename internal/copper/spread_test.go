package copper_test

import (
	"math/rand/v2"
	"os"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/specimen/knownboard"
)

// study reports whether long studies were asked for: they take minutes.
func study(t testing.TB) {
	t.Helper()
	if os.Getenv("FOILSIDE_STUDY") == "" {
		t.Skip("a study of minutes: set FOILSIDE_STUDY=1 to run it")
	}
}

// drawFrom points at random places of a traced photo, as another person might:
// four near joints and three anywhere on copper, four beside copper and one
// anywhere else, none nearer than 4 working pixels to an edge.
func drawFrom(c *copper.Copper, joints []knownboard.Joint, seed uint64) copper.Evidence {
	r := rand.New(rand.NewPCG(seed, 7))
	l := c.Labels
	flat := func(x, y, reach int) (on, ok bool) {
		if x < reach || y < reach || x >= l.W-reach || y >= l.H-reach {
			return false, false
		}
		on = l.Of[y*l.W+x] != 0
		for dy := -reach; dy <= reach; dy++ {
			for dx := -reach; dx <= reach; dx++ {
				if (l.Of[(y+dy)*l.W+x+dx] != 0) != on {
					return on, false
				}
			}
		}
		return on, true
	}
	var ev copper.Evidence
	for len(ev.Copper) < 7 || len(ev.Bare) < 5 {
		x, y := r.IntN(l.W), r.IntN(l.H)
		if len(ev.Copper) < 4 {
			j := joints[r.IntN(len(joints))].At
			x, y = int(j.X)/l.Scale+r.IntN(25)-12, int(j.Y)/l.Scale+r.IntN(25)-12
		}
		on, ok := flat(x, y, 3)
		_, open := flat(x, y, 30)
		at := geom.Point{X: (float64(x)+0.5)*float64(l.Scale) - 0.5, Y: (float64(y)+0.5)*float64(l.Scale) - 0.5}
		switch {
		case !ok:
		case on && len(ev.Copper) < 7:
			ev.Copper = append(ev.Copper, at)
		case !on && len(ev.Bare) < 5 && (!open || len(ev.Bare) == 4):
			ev.Bare = append(ev.Bare, at)
		}
	}
	return ev
}

// TestSpreadOverSamples shows how much hangs on which places are pointed at.
func TestSpreadOverSamples(t *testing.T) {
	study(t)
	for _, name := range knownboard.RealNames() {
		t.Run(name, func(t *testing.T) {
			b, input := knownboard.Real(t, name), loadInput(t, name)
			known, err := copper.Trace(t.Context(), b.Pixels, input, copper.Options{})
			if err != nil {
				t.Fatal(err)
			}
			least, sum := 1.0, 0.0
			const rounds = 10
			for seed := range uint64(rounds) {
				c, err := copper.Trace(t.Context(), b.Pixels, drawFrom(known, b.Joints, seed), copper.Options{})
				if err != nil {
					t.Fatal(err)
				}
				s := b.Judge(netOf(c))
				s.Log(t, name+", samples by chance")
				least, sum = min(least, s.F1()), sum+s.F1()
			}
			t.Logf("%s: mean %.3f, least %.3f over %d draws", name, sum/rounds, least, rounds)
			if least < 0.7 {
				t.Errorf("least F1 %.3f, want 0.7", least)
			}
		})
	}
}
