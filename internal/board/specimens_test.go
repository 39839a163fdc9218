package board_test

import (
	"context"
	"math/rand/v2"
	"os"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/specimen"
	"foilside/internal/specimen/knownboard"
)

// traced is a rendered board, traced without a hint, and its truth.
type traced struct {
	plate *copper.Plate
	seen  *copper.Copper
	web   *board.Web
	known knownboard.Board
}

func traceSpecimen(t *testing.T, joints int, difficulty float64, seed uint64) traced {
	t.Helper()
	ctx := context.Background()
	b, err := specimen.Generate(ctx, joints, difficulty, seed)
	if err != nil {
		t.Fatal(err)
	}
	known, err := knownboard.Photographed(ctx, b, difficulty, seed)
	if err != nil {
		t.Fatal(err)
	}
	out := traced{known: known}
	if out.plate, err = copper.Look(ctx, known.Pixels, copper.Evidence{}, copper.Options{}); err != nil {
		t.Fatal(err)
	}
	if out.seen, err = out.plate.Nets(ctx, copper.Evidence{}); err != nil {
		t.Fatal(err)
	}
	parted, err := out.plate.Nets(ctx, copper.Evidence{Measured: board.Apart(out.seen)})
	if err != nil {
		t.Fatal(err)
	}
	out.web = board.NewWeb(out.seen, parted)
	return out
}

// netOf asks a tracing for the number of the net at a place.
func netOf(c *copper.Copper) func(geom.Point) int {
	return func(at geom.Point) int {
		if a := c.At(at); a.Net != nil {
			return int(*a.Net)
		}
		return 0
	}
}

// check takes the next check until the nets are sure, one beep in fifty
// misheard, and gives the copper then.
func (x traced) check(t *testing.T, r *rand.Rand) (*copper.Copper, board.Sureness, int) {
	t.Helper()
	in := board.CheckInput{Web: x.web}
	for {
		w := board.Weigh(in)
		k, more := w.Next()
		if !more || len(in.Answers) == 150 {
			c, err := x.plate.Nets(t.Context(), copper.Evidence{Measured: w.Decided()})
			if err != nil {
				t.Fatal(err)
			}
			return c, w.Sure, len(in.Answers)
		}
		joined := x.known.NetAt(k.RedAt) == x.known.NetAt(k.BlackAt)
		if r.Float64() < 0.02 {
			joined = !joined
		}
		in.Answers = append(in.Answers, beep(k.RedAt, k.BlackAt, joined))
	}
}

// TestSpecimensAreProven asks about rendered boards what the photograph leaves
// open. What the photograph is sure of and wrong about stays wrong; so many
// nets more must come right as there were doubtful places that lay.
func TestSpecimensAreProven(t *testing.T) {
	if os.Getenv("FOILSIDE_STUDY") == "" {
		t.Skip("renders and traces boards; set FOILSIDE_STUDY=1")
	}
	r := rand.New(rand.NewPCG(3, 3))
	var before, after, all, checks, neighbours, doubts int
	for i := range 8 {
		x := traceSpecimen(t, 20+12*i, 0.05*float64(i), uint64(3000+i))
		was := x.known.Judge(netOf(x.seen))
		rightBefore, n := was.Right, was.Nets
		plan, err := board.Weigh(board.CheckInput{Web: x.web}).Plan(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		c, sure, taken := x.check(t, r)
		rightAfter := x.known.Judge(netOf(c)).Right
		t.Logf("%2d: %3d joints, %2d nets right of %2d, %2d doubtful; plan %d checks, taken %d, of %d that verify neighbours; then %2d right (reckoned %.4f sure)",
			i, len(x.known.Joints), rightBefore, n, len(x.seen.Doubtful), len(plan.Checks), taken, plan.VerifyNeighbours, rightAfter, sure.Right)
		before, after, all = before+rightBefore, after+rightAfter, all+n
		checks, neighbours, doubts = checks+taken, neighbours+plan.VerifyNeighbours, doubts+len(x.seen.Doubtful)
		if rightAfter < rightBefore {
			t.Errorf("board %d: %d nets right after the checks, %d before", i, rightAfter, rightBefore)
		}
	}
	t.Logf("nets right %.2f %% before, %.2f %% after; %d doubtful places, %d checks, %.0f %% of verifying neighbours",
		100*float64(before)/float64(all), 100*float64(after)/float64(all), doubts, checks, 100*float64(checks)/float64(neighbours))
}
