package stage_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/schematic/trial"
	"foilside/internal/stage"
)

// label is what a person says a group of parts is.
type label struct {
	kind  stage.Kind
	parts []circuit.PartRef
}

// labelled is a circuit with its labels.
type labelled struct {
	trial.Named
	labels []label
}

// unscored are the kinds that say nothing about understanding.
func unscored(k stage.Kind) bool { return k == stage.PowerSource }

func parseLabel(line string) (label, error) {
	kind, parts, ok := strings.Cut(line, ":")
	if !ok {
		return label{}, fmt.Errorf("no colon in %q", line)
	}
	l := label{kind: stage.Kind(strings.TrimSpace(kind))}
	for _, p := range strings.Fields(parts) {
		l.parts = append(l.parts, circuit.PartRef(p))
	}
	return l, nil
}

// textbook is the collection that drawings are tried on, with its labels.
func textbook(t testing.TB) []labelled {
	t.Helper()
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("testdata/textbook.labels")
	if err != nil {
		t.Fatal(err)
	}
	var out []labelled
	at := map[string]int{}
	for _, n := range all {
		at[n.Name] = len(out)
		out = append(out, labelled{Named: n})
	}
	current := -1
	for _, line := range strings.Split(string(text), "\n") {
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case !strings.Contains(line, ":"):
			i, ok := at[line]
			if !ok {
				t.Fatalf("no circuit %q", line)
			}
			current = i
		default:
			l, err := parseLabel(line)
			if err != nil {
				t.Fatal(err)
			}
			out[current].labels = append(out[current].labels, l)
		}
	}
	return out
}

// fileSet reads circuits whose labels stand among their parts, on lines that
// begin with an equals sign; "= none" says that nothing is to be found.
func fileSet(t testing.TB, name string) []labelled {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	var out []labelled
	for _, block := range strings.Split(strings.TrimSpace(string(text)), "\n\n") {
		var c labelled
		var plain []string
		for _, line := range strings.Split(block, "\n") {
			switch rest, ok := strings.CutPrefix(line, "= "); {
			case strings.HasPrefix(line, "#"):
			case !ok:
				plain = append(plain, line)
			case rest != "none":
				l, err := parseLabel(rest)
				if err != nil {
					t.Fatalf("%s: %v", plain[0], err)
				}
				c.labels = append(c.labels, l)
			}
		}
		named, err := trial.Read(strings.Join(plain, "\n"))
		if err != nil {
			t.Fatal(err)
		}
		c.Named = named[0]
		for _, p := range c.Circuit.Validate() {
			if !p.Warning {
				t.Fatalf("%s: %s", c.Name, p.Text)
			}
		}
		for _, l := range c.labels {
			for _, p := range l.parts {
				if _, ok := c.Circuit.Part(p); !ok {
					t.Fatalf("%s: label %s names %s, which is not there", c.Name, l.kind, p)
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// tally counts by kind.
type tally struct{ right, missed, wrong int }

// fits tells whether a stage is what a label says: the kind, all its parts, and
// none that another label of the circuit has, but for stages within others.
func fits(s stage.Stage, l label, all []label) bool {
	if s.Kind != l.kind {
		return false
	}
	for _, p := range l.parts {
		if !s.Has(p) {
			return false
		}
	}
	for _, o := range all {
		for _, p := range o.parts {
			if s.Has(p) && !slices.Contains(l.parts, p) && o.kind != stage.Darlington && l.kind != stage.Darlington {
				return false
			}
		}
	}
	return true
}

// compare counts one circuit, and says what is wrong with it.
func compare(found stage.Found, labels []label, count map[stage.Kind]*tally) []string {
	var wrong []string
	of := func(k stage.Kind) *tally {
		if count[k] == nil {
			count[k] = &tally{}
		}
		return count[k]
	}
	used := map[int]bool{}
	for _, l := range labels {
		at := -1
		for i, s := range found.Stages {
			if !used[i] && fits(s, l, labels) {
				at = i
				break
			}
		}
		if at < 0 {
			of(l.kind).missed++
			wrong = append(wrong, fmt.Sprintf("missed %s %v", l.kind, l.parts))
			continue
		}
		used[at] = true
		of(l.kind).right++
	}
	for i, s := range found.Stages {
		if !used[i] && !unscored(s.Kind) {
			of(s.Kind).wrong++
			wrong = append(wrong, fmt.Sprintf("wrong %s %v", s.Kind, s.Parts()))
		}
	}
	return wrong
}

// scores are the macro F1 over the kinds, and precision and recall over all.
func scores(count map[stage.Kind]*tally) (macro, precision, recall float64) {
	var right, missed, wrong float64
	for _, t := range count {
		r, m, w := float64(t.right), float64(t.missed), float64(t.wrong)
		macro += 2 * r / (2*r + m + w)
		right, missed, wrong = right+r, missed+m, wrong+w
	}
	return macro / float64(len(count)), right / (right + wrong), right / (right + missed)
}

// judge runs a set and reports.
func judge(t *testing.T, name string, set []labelled) (macro, precision float64) {
	t.Helper()
	count := map[stage.Kind]*tally{}
	for _, c := range set {
		found, err := stage.Find(context.Background(), c.Circuit)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range compare(found, c.labels, count) {
			t.Logf("%s: %s", c.Name, w)
		}
	}
	macro, precision, recall := scores(count)
	t.Logf("%s: %d circuits, %d kinds, macro F1 %.3f, precision %.3f, recall %.3f", name, len(set), len(count), macro, precision, recall)
	return macro, precision
}

func TestTextbookCircuits(t *testing.T) {
	if macro, precision := judge(t, "textbook", textbook(t)); macro < 0.95 || precision < 0.99 {
		t.Errorf("macro F1 %.3f, precision %.3f", macro, precision)
	}
}

// The circuits of our own that the recognisers were developed on, look-alikes
// among them, and the demonstration units.
func TestDevelopmentCircuits(t *testing.T) {
	set := append(fileSet(t, "develop.txt"), demonstrations(t)...)
	if macro, precision := judge(t, "development", set); macro < 0.95 || precision < 0.99 {
		t.Errorf("macro F1 %.3f, precision %.3f", macro, precision)
	}
}
