package board_test

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

// realJoint is a joint of a real board and the net that it truly is on.
type realJoint struct {
	at  geom.Point
	net string
}

// realBoard reads a real photograph with its hand-made truth; the test is
// skipped where there is none beside the repository.
func realBoard(t *testing.T, name string) (*photo.Photo, []realJoint) {
	t.Helper()
	dir, err := filepath.Abs("../../../shared/photos")
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, name+"-foil.jpg"))
	if err != nil {
		t.Skip("no shared/photos beside the repository: real photographs can't be checked here")
	}
	p, err := photo.Decode(t.Context(), data, name)
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(dir, "truth", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Joints []struct {
			Foil [2]float64
			Net  string
			Sure bool
		}
	}
	if err := json.Unmarshal(text, &truth); err != nil {
		t.Fatal(err)
	}
	var out []realJoint
	for _, j := range truth.Joints {
		if j.Sure {
			out = append(out, realJoint{geom.Point{X: j.Foil[0], Y: j.Foil[1]}, j.Net})
		}
	}
	return p, out
}

// pairF1 compares the nets at the joints with the truth, over pairs of joints.
func pairF1(c *copper.Copper, joints []realJoint) float64 {
	both, wrong := 0, 0
	found := make([]copper.NetID, len(joints))
	for i, j := range joints {
		found[i] = copper.NetID(-1 - i)
		if a := c.At(j.at).Net; a != nil {
			found[i] = *a
		}
		for k := range i {
			same, together := joints[k].net == j.net, found[k] == found[i]
			if same && together {
				both++
			} else if same != together {
				wrong++
			}
		}
	}
	return 2 * float64(both) / float64(max(1, 2*both+wrong))
}

// TestRealBoardsAreProven asks about two real boards what their photographs
// leave open, with no colour sample and with the joints given, one beep in fifty
// misheard. Checks must not make the nets worse.
func TestRealBoardsAreProven(t *testing.T) {
	if os.Getenv("FOILSIDE_STUDY") == "" {
		t.Skip("traces real photographs; set FOILSIDE_STUDY=1")
	}
	for _, name := range []string{"SUPPLY81", "SUPPLY91"} {
		t.Run(name, func(t *testing.T) {
			p, joints := realBoard(t, name)
			var opts copper.Options
			for _, j := range joints {
				opts.Joints = append(opts.Joints, j.at)
			}
			plate, err := copper.Look(t.Context(), p.Pixels, copper.Evidence{}, opts)
			if err != nil {
				t.Fatal(err)
			}
			seen, err := plate.Nets(t.Context(), copper.Evidence{})
			if err != nil {
				t.Fatal(err)
			}
			net := func(at geom.Point) string {
				best, bestD := "", 1e9
				for _, j := range joints {
					if d := j.at.Dist(at); d < bestD {
						best, bestD = j.net, d
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
			before, after := pairF1(seen, joints), pairF1(now, joints)
			t.Logf("%s: F1 %.4f, %d doubtful; plan %d checks, taken %d, of %d that verify neighbours; then F1 %.4f (reckoned %.4f sure)",
				name, before, len(seen.Doubtful), len(plan.Checks), len(in.Answers), plan.VerifyNeighbours, after, w.Sure.Right)
			if after < before {
				t.Errorf("F1 %.4f after the checks, %.4f before", after, before)
			}
		})
	}
}
