package stage_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"foilside/internal/schematic/trial"
)

// withLabels gives circuits the labels of a file, by their names.
func withLabels(t testing.TB, all []trial.Named, file string) []labelled {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out []labelled
	for _, n := range all {
		out = append(out, labelled{Named: n})
	}
	current := -1
	for _, line := range strings.Split(string(text), "\n") {
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case !strings.Contains(line, ":"):
			current = slices.IndexFunc(out, func(c labelled) bool { return c.Name == line })
			if current < 0 {
				t.Fatalf("no circuit %q", line)
			}
		default:
			l, err := parseLabel(line)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range l.parts {
				if _, ok := out[current].Circuit.Part(p); !ok {
					t.Fatalf("%s: label %s names %s, which is not there", out[current].Name, l.kind, p)
				}
			}
			out[current].labels = append(out[current].labels, l)
		}
	}
	return out
}

// demonstrations are the units of the demonstration jobs.
func demonstrations(t testing.TB) []labelled {
	t.Helper()
	var out []trial.Named
	for _, name := range []string{"intercom", "survey"} {
		text, err := os.ReadFile("../specimen/demo/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		c, err := trial.FromYAML(text)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, trial.Named{Name: c.Unit, Circuit: c})
	}
	return withLabels(t, out, "testdata/demos.labels")
}

// Circuits that were labelled before any stage was looked for in them.
func TestHeldOutCircuits(t *testing.T) {
	more, err := trial.More()
	if err != nil {
		t.Fatal(err)
	}
	judge(t, "later collection", withLabels(t, more[:25], "testdata/more.labels"))
	judge(t, "own and published", fileSet(t, "heldout.txt"))
}

// The second set that was labelled before any stage was looked for in it.
func TestUnseenCircuits(t *testing.T) {
	judge(t, "second set", fileSet(t, "unseen.txt"))
}

// The third set that was labelled before any stage was looked for in it.
func TestThirdSet(t *testing.T) {
	judge(t, "third set", fileSet(t, "third.txt"))
}

// The fourth set, of larger units.
func TestFourthSet(t *testing.T) {
	judge(t, "fourth set", fileSet(t, "fourth.txt"))
}

// The fifth set.
func TestFifthSet(t *testing.T) {
	judge(t, "fifth set", fileSet(t, "fifth.txt"))
}
