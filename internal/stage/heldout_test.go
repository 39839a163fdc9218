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

// laterSets are the sets that were labelled before any stage was looked for in
// them, in the order in which they were made. What each gave then, and what was
// mended for it, is in docs/stages.md; since then they hold what was reached.
func laterSets(t testing.TB) map[string][]labelled {
	t.Helper()
	more, err := trial.More()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]labelled{"later collection": withLabels(t, more[:25], "testdata/more.labels")}
	for _, name := range []string{"heldout", "unseen", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth"} {
		out[name] = fileSet(t, name+".txt")
	}
	return out
}

func TestLaterSets(t *testing.T) {
	for name, set := range laterSets(t) {
		t.Run(name, func(t *testing.T) {
			if macro, precision := judge(t, name, set); macro < 0.95 || precision < 0.99 {
				t.Errorf("macro F1 %.3f, precision %.3f", macro, precision)
			}
		})
	}
}
