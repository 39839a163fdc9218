package board_test

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/specimen/knownboard"
)

// TestRealBoardsAreProven asks about two real boards what their photographs
// leave open, with no colour sample and with the joints given, one beep in fifty
// misheard. Checks must not make the nets worse.
func TestRealBoardsAreProven(t *testing.T) {
	if os.Getenv("FOILSIDE_STUDY") == "" {
		t.Skip("traces real photographs; set FOILSIDE_STUDY=1")
	}
	for _, name := range knownboard.RealNames() {
		t.Run(name, func(t *testing.T) {
			known := knownboard.Real(t, name)
			var opts copper.Options
			for _, j := range known.Sure() {
				opts.Joints = append(opts.Joints, j.At)
			}
			plate, err := copper.Look(t.Context(), known.Pixels, copper.Evidence{}, opts)
			if err != nil {
				t.Fatal(err)
			}
			seen, err := plate.Nets(t.Context(), copper.Evidence{})
			if err != nil {
				t.Fatal(err)
			}
			net := func(at geom.Point) string {
				best, bestD := "", math.Inf(1)
				for _, j := range known.Sure() {
					if d := j.At.Dist(at); d < bestD {
						best, bestD = j.Net, d
					}
				}
				return best
			}
			r := rand.New(rand.NewPCG(8, 8))
			parted, err := plate.Nets(t.Context(), copper.Evidence{Measured: board.Apart(seen)})
			if err != nil {
				t.Fatal(err)
			}
			in := board.CheckInput{Web: board.NewWeb(seen, parted)}
			w := board.Weigh(in)
			plan, err := w.Plan(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			for len(in.Answers) < 150 {
				k, more := w.Next()
				if !more {
					break
				}
				joined := (net(k.RedAt) == net(k.BlackAt)) != (r.Float64() < 0.02)
				in.Answers = append(in.Answers, beep(k.RedAt, k.BlackAt, joined))
				w = board.Weigh(in)
			}
			now, err := plate.Nets(t.Context(), copper.Evidence{Measured: w.Decided()})
			if err != nil {
				t.Fatal(err)
			}
			before, after := known.Judge(netOf(seen)).F1(), known.Judge(netOf(now)).F1()
			t.Logf("%s: F1 %.4f, %d doubtful; plan %d checks, taken %d, of %d that verify neighbours; then F1 %.4f (reckoned %.4f sure)",
				name, before, len(seen.Doubtful), len(plan.Checks), len(in.Answers), plan.VerifyNeighbours, after, w.Sure.Right)
			if after < before {
				t.Errorf("F1 %.4f after the checks, %.4f before", after, before)
			}
		})
	}
}
