package stage_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"foilside/internal/circuit"
	"foilside/internal/schematic/trial"
	"foilside/internal/stage"
)

func find(t testing.TB, c *circuit.Circuit) stage.Found {
	t.Helper()
	found, err := stage.Find(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// sound lists what is wrong with an answer by the package's own promises.
func sound(c *circuit.Circuit, found stage.Found) []string {
	var wrong []string
	say := func(s string) { wrong = append(wrong, s) }
	owner := map[circuit.PartRef]int{}
	for i, s := range found.Stages {
		if len(s.Members) == 0 || s.Text == "" {
			say("an empty stage " + s.Name)
		}
		for _, p := range s.Parts() {
			if s.Within >= 0 {
				if !found.Stages[s.Within].Has(p) {
					say(string(p) + " of a nested stage isn't in the outer one")
				}
				continue
			}
			if _, twice := owner[p]; twice {
				say(string(p) + " is in two stages")
			}
			owner[p] = i
		}
		if n := strings.Count(s.Text, ". ") + 1; n != 2 || !strings.HasSuffix(s.Text, ".") {
			say(fmt.Sprintf("%s is told in %d sentences: %s", s.Name, n, s.Text))
		}
		for _, f := range s.Figures {
			if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
				say(s.Name + ": " + f.Name + " is no number")
			}
		}
	}
	for _, p := range c.Parts {
		_, in := owner[p.Ref]
		n := 0
		for _, b := range []bool{in, slices.Contains(found.Left, p.Ref), slices.Contains(found.Outside, p.Ref)} {
			if b {
				n++
			}
		}
		if n != 1 {
			say(string(p.Ref) + " is accounted for other than once")
		}
	}
	if cyclic(found) {
		say("the feeds form a cycle")
	}
	return wrong
}

// cyclic takes away stages that nothing feeds until none is left.
func cyclic(found stage.Found) bool {
	gone := make([]bool, len(found.Stages))
	for range found.Stages {
		for i := range found.Stages {
			fed := slices.ContainsFunc(found.Feeds, func(e stage.Feed) bool { return e.To == i && !e.Back && !e.Power && !gone[e.From] })
			gone[i] = gone[i] || !fed
		}
	}
	return slices.Contains(gone, false)
}

func TestEveryAnswerIsSound(t *testing.T) {
	for _, c := range everything(t) {
		for _, w := range sound(c.Circuit, find(t, c.Circuit)) {
			t.Errorf("%s: %s", c.Name, w)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		c := trial.Random(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(2, 60).Draw(t, "parts"))
		found, err := stage.Find(context.Background(), c)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range sound(c, found) {
			t.Error(w)
		}
	})
}

// Values may be missing, or senseless; nothing breaks, and no figure is made up
// of them.
func TestMissingAndOddValues(t *testing.T) {
	for _, c := range everything(t) {
		bare, odd := c.Circuit.Clone(), c.Circuit.Clone()
		for i := range bare.Parts {
			bare.Parts[i].Amounts = nil
			bare.Parts[i].Type = ""
			for name, a := range odd.Parts[i].Amounts {
				a.Value = []float64{0, -1, 1e-300, 1e300}[i%4]
				odd.Parts[i].Amounts[name] = a
			}
		}
		for _, w := range append(sound(bare, find(t, bare)), sound(odd, find(t, odd))...) {
			t.Errorf("%s: %s", c.Name, w)
		}
	}
}

// Names decide nothing: with nets renamed and parts in another order the same
// stages with the same words are found.
func TestNamesDecideNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	strip := func(f stage.Found) []stage.Stage {
		var out []stage.Stage
		for _, s := range f.Stages {
			s.In, s.Out, s.Rank, s.Within = nil, nil, 0, 0
			s.Text, s.Figures = "", nil // they name nets
			out = append(out, s)
		}
		slices.SortFunc(out, func(a, b stage.Stage) int { return circuit.NaturalCompare(a.Name, b.Name) })
		return out
	}
	for _, c := range everything(t) {
		other := c.Circuit.Clone()
		rename(rng, other)
		if diff := cmp.Diff(strip(find(t, c.Circuit)), strip(find(t, other))); diff != "" {
			t.Errorf("%s: %s", c.Name, diff)
		}
	}
}

func TestTheSameCircuitGivesTheSameAnswer(t *testing.T) {
	for _, c := range everything(t) {
		if a, b := find(t, c.Circuit), find(t, c.Circuit.Clone()); !reflect.DeepEqual(a, b) {
			t.Errorf("%s: two answers", c.Name)
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := stage.Find(ctx, trial.Random(1, 20)); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

func TestAnswerGoesToJSON(t *testing.T) {
	for _, c := range []*circuit.Circuit{{}, trial.Random(3, 30)} {
		data, err := json.Marshal(find(t, c))
		if err != nil {
			t.Fatal(err)
		}
		if bytes := string(data); slices.Contains([]string{"null", ""}, bytes) || reflect.ValueOf(data).Len() < 20 {
			t.Errorf("got %s", data)
		}
	}
}
