package copper_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/photo"

	"github.com/goccy/go-yaml"
)

// photographs is the folder of real photographs with truth, which lies beside
// the repository and is no part of it; the test is skipped without it.
func photographs(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for ; filepath.Dir(dir) != dir; dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, "shared", "photos", "truth")); err == nil {
			return filepath.Join(dir, "shared", "photos")
		}
	}
	t.Skip("no shared/photos beside the repository: real photographs can't be checked here")
	return ""
}

// board is one real photograph with what is known about it.
type board struct {
	photo  *photo.Photo
	joints []joint
	input  copper.Evidence // a person's samples, cuts and joins
}

// joint is a joint of the truth.
type joint struct {
	at   geom.Point
	net  string
	sure bool
}

func loadBoard(t testing.TB, name string) board {
	t.Helper()
	dir := photographs(t)
	data, err := os.ReadFile(filepath.Join(dir, name+"-foil.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(context.Background(), data, name)
	if err != nil {
		t.Fatal(err)
	}
	return board{p, loadTruth(t, filepath.Join(dir, "truth", name+".json")), loadInput(t, name)}
}

func loadTruth(t testing.TB, file string) []joint {
	t.Helper()
	data, err := os.ReadFile(file)
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
	if err := json.Unmarshal(data, &truth); err != nil {
		t.Fatal(err)
	}
	var out []joint
	for _, j := range truth.Joints {
		out = append(out, joint{geom.Point{X: j.Foil[0], Y: j.Foil[1]}, j.Net, j.Sure})
	}
	return out
}

func loadInput(t testing.TB, name string) copper.Evidence {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	type segment struct{ From, To [2]float64 }
	var in struct {
		Copper struct {
			Samples     struct{ Copper, Bare [][2]float64 }
			Cuts, Joins []segment
		}
	}
	if err := yaml.Unmarshal(data, &in); err != nil {
		t.Fatal(err)
	}
	point := func(p [2]float64) geom.Point { return geom.Point{X: p[0], Y: p[1]} }
	points := func(list [][2]float64) (out []geom.Point) {
		for _, p := range list {
			out = append(out, point(p))
		}
		return out
	}
	segments := func(list []segment) (out []copper.Segment) {
		for _, s := range list {
			out = append(out, copper.Segment{From: point(s.From), To: point(s.To)})
		}
		return out
	}
	return copper.Evidence{
		Copper: points(in.Copper.Samples.Copper), Bare: points(in.Copper.Samples.Bare),
		Cuts: segments(in.Copper.Cuts), Joins: segments(in.Copper.Joins),
	}
}

// score compares the nets at the sure joints with the truth.
type score struct {
	both, onlyFound, onlyTrue int // pairs of joints on one net
	merged, split             int // nets too few, pieces too many
	lost                      int // joints on no net
}

// f1 is the harmonic mean of precision and recall over pairs on one net.
func (s score) f1() float64 {
	return 2 * float64(s.both) / float64(max(1, 2*s.both+s.onlyFound+s.onlyTrue))
}

func judge(c *copper.Copper, joints []joint) score {
	var s score
	var nets []string
	var found []copper.NetID
	ofNet, ofFound := map[string]map[copper.NetID]bool{}, map[copper.NetID]map[string]bool{}
	for _, j := range joints {
		if !j.sure {
			continue
		}
		id := copper.NetID(-1 - len(nets)) // a lost joint is on a net of its own
		if a := c.At(j.at); a.Net != nil {
			id = *a.Net
		} else {
			s.lost++
		}
		for k := range nets {
			same, together := nets[k] == j.net, found[k] == id
			switch {
			case same && together:
				s.both++
			case together:
				s.onlyFound++
			case same:
				s.onlyTrue++
			}
		}
		nets, found = append(nets, j.net), append(found, id)
		if ofNet[j.net] == nil {
			ofNet[j.net] = map[copper.NetID]bool{}
		}
		if ofFound[id] == nil {
			ofFound[id] = map[string]bool{}
		}
		ofNet[j.net][id], ofFound[id][j.net] = true, true
	}
	for _, m := range ofNet {
		s.split += len(m) - 1
	}
	for _, m := range ofFound {
		s.merged += len(m) - 1
	}
	return s
}

func (s score) log(t testing.TB, what string) {
	t.Helper()
	t.Logf("%-34s F1 %.3f  merged %d  split %d  lost %d", what, s.f1(), s.merged, s.split, s.lost)
}

// Without samples the start is a guess, which samples then correct.
func TestRealPhotographsWithoutSamples(t *testing.T) {
	for name, least := range map[string]float64{"SUPPLY81": 0.7, "SUPPLY91": 0.7} {
		t.Run(name, func(t *testing.T) {
			b := loadBoard(t, name)
			c, err := copper.Trace(t.Context(), b.photo.Pixels, copper.Evidence{}, copper.Options{})
			if err != nil {
				t.Fatal(err)
			}
			s := judge(c, b.joints)
			s.log(t, name+", no samples")
			if s.f1() < least {
				t.Errorf("F1 %.3f, want %.2f", s.f1(), least)
			}
		})
	}
}

func TestRealPhotographs(t *testing.T) {
	const mostSamples, mostCorrections = 12, 15
	for _, name := range []string{"SUPPLY81", "SUPPLY91"} {
		t.Run(name, func(t *testing.T) {
			b := loadBoard(t, name)
			if n := len(b.input.Copper) + len(b.input.Bare); n > mostSamples {
				t.Fatalf("%d samples, at most %d", n, mostSamples)
			}
			if n := len(b.input.Cuts) + len(b.input.Joins); n > mostCorrections {
				t.Fatalf("%d corrections, at most %d", n, mostCorrections)
			}
			plate, err := copper.Look(t.Context(), b.photo.Pixels, b.input, copper.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []struct {
				what  string
				input copper.Evidence
				least float64
			}{
				{"samples only", copper.Evidence{}, 0.7},
				{"samples and corrections", b.input, 0.95},
			} {
				nets, err := plate.Nets(t.Context(), c.input)
				if err != nil {
					t.Fatal(err)
				}
				s := judge(nets, b.joints)
				s.log(t, name+", "+c.what)
				if s.f1() < c.least {
					t.Errorf("%s: F1 %.3f, want at least %.2f", c.what, s.f1(), c.least)
				}
			}
		})
	}
}
