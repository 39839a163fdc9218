package schematic

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"foilside/internal/circuit"
	"foilside/internal/schematic/trial"
)

// sound checks what must hold of every drawing.
func sound(t interface{ Errorf(string, ...any) }, c *circuit.Circuit, d Drawing) {
	if diff := cmp.Diff(Partition(c), d.Geometry().ReadBack()); diff != "" {
		t.Errorf("the drawing reads as another circuit (-drawn from +read):\n%s", diff)
	}
	for _, x := range d.Conflicts() {
		t.Errorf("%s", x)
	}
	fourWay(t, d)
	orthogonal(t, d)
	railsLead(t, d)
	inside(t, d)
}

// fourWay counts the wire ends that meet at every dot and at every other point.
func fourWay(t interface{ Errorf(string, ...any) }, d Drawing) {
	arms := map[Point]int{}
	for _, w := range d.Wires {
		arms[w.Points[0]]++
		arms[w.Points[len(w.Points)-1]]++
	}
	dots := map[Point]bool{}
	for _, p := range d.Dots {
		for _, w := range d.Wires { // a wire that runs on through the dot
			if w.Points[0] != p.At && w.Points[len(w.Points)-1] != p.At && onWire(w.Points, p.At) {
				arms[p.At] += 2
			}
		}
		dots[p.At] = true
	}
	for _, p := range d.Parts {
		for _, l := range p.Leads {
			arms[l.At]++
		}
	}
	for at, n := range arms {
		if dots[at] && n != 3 {
			t.Errorf("a dot at %v where %d meet", at, n)
		}
		if !dots[at] && n > 2 {
			t.Errorf("no dot at %v where %d meet", at, n)
		}
	}
}

func orthogonal(t interface{ Errorf(string, ...any) }, d Drawing) {
	for _, w := range d.Wires {
		for i := 1; i < len(w.Points); i++ {
			if a, b := w.Points[i-1], w.Points[i]; (a.X == b.X) == (a.Y == b.Y) {
				t.Errorf("a wire of %s goes from %v to %v", w.Net, a, b)
			}
		}
	}
}

// railsLead checks that what goes to a supply's mark arrives from below, and
// what goes to common's from above.
func railsLead(t interface{ Errorf(string, ...any) }, d Drawing) {
	for _, m := range d.Marks {
		for _, w := range d.Wires {
			k := len(w.Points) - 1
			end, before := w.Points[k], w.Points[k-1]
			if end != m.At {
				end, before = w.Points[0], w.Points[1]
			}
			if end != m.At {
				continue
			}
			if m.Kind == SupplyMark && m.Strokes[0].Points[0].Y <= end.Y && before.Y <= end.Y && !belowRail(d, m) {
				t.Errorf("supply %s is not reached from below at %v", m.Net, m.At)
			}
			if m.Kind == CommonMark && before.Y >= end.Y {
				t.Errorf("common is not reached from above at %v", m.At)
			}
		}
	}
}

// belowRail tells the marks of negative supplies, whose name stands below.
func belowRail(d Drawing, m Mark) bool {
	for _, t := range d.Texts {
		if t.Net == m.Net && t.Box.Y > m.At.Y && t.Box.Y < m.At.Y+10 && t.Box.X < m.At.X && m.At.X < t.Box.right() {
			return true
		}
	}
	return false
}

func inside(t interface{ Errorf(string, ...any) }, d Drawing) {
	page := Box{0, 0, d.Width, d.Height}
	for _, x := range d.Texts {
		if u := page.union(x.Box); u != page {
			t.Errorf("text %q lies beyond the edge", x.Text)
		}
	}
	for _, p := range d.Parts {
		if u := page.union(strokeBox(p.Strokes)); u != page {
			t.Errorf("%s lies beyond the edge", p.Ref)
		}
	}
}

func TestTextbookCircuits(t *testing.T) {
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			d, err := Draw(context.Background(), n.Circuit, Options{Attempts: 1})
			if err != nil {
				t.Fatal(err)
			}
			sound(t, n.Circuit, d)
			t.Logf("%d parts: %d crossings, %d bends, %.0f × %.0f", len(d.Parts), d.Metrics.Crossings, d.Metrics.Bends, d.Width, d.Height)
		})
	}
}

func TestDemoCircuits(t *testing.T) {
	files, _ := filepath.Glob("../specimen/demo/*.yaml")
	drawn := 0
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		c, err := trial.FromYAML(text)
		if err != nil || len(c.Parts) == 0 {
			continue // a board's description, not a job
		}
		drawn++
		t.Run(filepath.Base(f), func(t *testing.T) {
			d, err := Draw(context.Background(), c, Options{Attempts: 2})
			if err != nil {
				t.Fatal(err)
			}
			sound(t, c, d)
		})
	}
	if drawn == 0 {
		t.Skip("no demonstration circuits beside this package")
	}
}

func TestRandomCircuits(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := trial.Random(rapid.Uint64().Draw(rt, "seed"), rapid.IntRange(4, 14).Draw(rt, "parts"))
		d, err := Draw(context.Background(), c, Options{Attempts: 1})
		if err != nil {
			rt.Fatal(err)
		}
		sound(rt, c, d)
	})
}

// FOILSIDE_STUDY=400 draws so many random circuits of 4 to 60 parts; without
// it eight.
func TestLargeRandomCircuits(t *testing.T) {
	n := 8
	if v, err := strconv.Atoi(os.Getenv("FOILSIDE_STUDY")); err == nil {
		n = v
	}
	var sum Metrics
	onward := 0
	for i := range n {
		c := trial.Random(uint64(i), 4+i*7%57)
		t.Run(c.Unit, func(t *testing.T) {
			d, err := Draw(context.Background(), c, Options{Attempts: 1 + i%4/3}) // every fourth gone over again
			if err != nil {
				t.Fatal(err)
			}
			sound(t, c, d)
			sum.Crossings += d.Metrics.Crossings
			sum.Bends += d.Metrics.Bends
			for _, m := range d.Marks {
				if m.Kind == OnwardMark {
					onward++
				}
			}
		})
	}
	t.Logf("%d circuits: %d crossings, %d bends, %d marks of nets no wire could join", n, sum.Crossings, sum.Bends, onward)
}

func TestTestPointsAreNumberedAtTheirNets(t *testing.T) {
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			var asked []TestPointText
			for _, x := range n.Circuit.Nets() {
				if len(x.Leads) > 1 {
					a := TestPointText{Net: x.ID, Text: "4.31 V"}
					if len(asked)%2 == 1 {
						a.Wave = []float64{0, 1, 0, -1, 0}
					}
					asked = append(asked, a)
				}
			}
			d, err := Draw(context.Background(), n.Circuit, Options{TestPoints: asked, Attempts: 1})
			if err != nil {
				t.Fatal(err)
			}
			sound(t, n.Circuit, d)
			bare, _ := Draw(context.Background(), n.Circuit, Options{Attempts: 1})
			for i, p := range bare.Parts {
				q := d.Parts[i]
				if q.Orient != p.Orient || q.Box.X-d.Parts[0].Box.X != p.Box.X-bare.Parts[0].Box.X {
					t.Errorf("%s moved for the test points", p.Ref)
				}
			}
			placed := map[circuit.NetID]bool{}
			for _, p := range d.TestPoints {
				placed[p.Net] = true
				if asked[p.Number-1].Net != p.Net {
					t.Errorf("number %d stands at %s, asked was %s", p.Number, p.Net, asked[p.Number-1].Net)
				}
				on := false
				for _, w := range d.Wires {
					on = on || w.Net == p.Net && onWire(w.Points, p.At)
				}
				if !on {
					t.Errorf("the test point of %s is on no wire of it", p.Net)
				}
			}
			for _, a := range asked {
				if _, isWire := wired(d, a.Net); isWire && !placed[a.Net] {
					t.Errorf("%s has no test point", a.Net)
				}
			}
		})
	}
}

// wired tells whether a net has wires besides those to its marks.
func wired(d Drawing, net circuit.NetID) (n int, ok bool) {
	marks := 0
	for _, m := range d.Marks {
		if m.Net == net {
			marks++
		}
	}
	for _, w := range d.Wires {
		if w.Net == net {
			n++
		}
	}
	return n, n > marks
}
