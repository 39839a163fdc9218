// Package storetest is the contract of job.Store as tests: every store runs it.
//
// In:  a Maker that makes stores of the kind under test.
// Out: failures of the test that runs it.
package storetest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"foilside/internal/job"
)

// Maker makes stores of one kind.
type Maker struct {
	// New makes a store that holds the state and the photos.
	New func(t *testing.T, s job.Snapshot, photos ...job.Blob) job.Store
	// Reopen closes a store and opens it again. Nil: the kind forgets.
	Reopen func(t *testing.T, s job.Store) job.Store
}

// Run holds the stores that m makes to the contract.
func Run(t *testing.T, m Maker) {
	for name, test := range map[string]func(*testing.T, Maker){
		"loads what it was made with":                 loads,
		"keeps a step":                                keepsStep,
		"keeps what was taken back":                   keepsUndo,
		"drops what was taken back for a new step":    dropsTail,
		"refuses a change of another revision":        refusesStale,
		"refuses steps that don't follow":             refusesGap,
		"keeps photos by content":                     keepsPhotos,
		"gives replaced photos back":                  givesBack,
		"refuses a document whose photo is not there": refusesNoPhoto,
		"remembers results":                           remembers,
		"hands out copies":                            handsCopies,
		"stops when told to":                          stops,
	} {
		t.Run(name, func(t *testing.T) { test(t, m) })
	}
}

// Document is a small job that the tests begin with.
func Document(t testing.TB) job.Document {
	t.Helper()
	d, problems := job.ReadText([]byte(`
unit: Radio
common: gnd
parts:
  R1: {kind: resistor, value: 4k7, leads: {1: a, 2: gnd}}
  B1: {kind: battery, voltage: 9 V, leads: {+: a, -: gnd}}
states:
  off: {B1: off}
`), "storetest")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return d
}

func begin(t *testing.T, m Maker, photos ...job.Blob) job.Store {
	t.Helper()
	s := m.New(t, job.Snapshot{Document: Document(t)}, photos...)
	t.Cleanup(func() { s.Close() })
	return s
}

func session(t *testing.T, s job.Store) *job.Session {
	t.Helper()
	var ticks int64
	w, err := job.NewSession(t.Context(), s, func() time.Time {
		ticks++
		return time.Unix(1_700_000_000+ticks, 0)
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func named(name string) func(*job.Document) error {
	return func(d *job.Document) error { d.Unit = name; return nil }
}

// must fails the test for an error, and hands the snapshot on.
func must(t *testing.T) func(job.Snapshot, error) job.Snapshot {
	return func(s job.Snapshot, err error) job.Snapshot {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
}

// same holds what the store says, also after it was opened anew, against what
// the session has.
func same(t *testing.T, m Maker, s job.Store, want job.Snapshot) job.Store {
	t.Helper()
	compare := func(when string) {
		t.Helper()
		got, err := s.Load(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, cmpopts.EquateEmpty(), SameJSON()); diff != "" {
			t.Errorf("%s (-want +got):\n%s", when, diff)
		}
	}
	compare("as loaded")
	if m.Reopen != nil {
		s = m.Reopen(t, s)
		t.Cleanup(func() { s.Close() })
		compare("as opened anew")
	}
	return s
}

// SameJSON compares changes with their JSON by meaning: a store may space it.
func SameJSON() cmp.Option {
	compact := func(data json.RawMessage) string {
		var b bytes.Buffer
		if json.Compact(&b, data) != nil {
			return string(data)
		}
		return b.String()
	}
	return cmp.Comparer(func(a, b job.Change) bool {
		return slices.Equal(a.Path, b.Path) && a.Index == b.Index &&
			compact(a.Before) == compact(b.Before) && compact(a.After) == compact(b.After)
	})
}

func loads(t *testing.T, m Maker) {
	s := begin(t, m)
	same(t, m, s, job.Snapshot{Document: Document(t)})
}

func keepsStep(t *testing.T, m Maker) {
	s := begin(t, m)
	got := must(t)(session(t, s).Revise(t.Context(), "Name it", named("Set")))
	if got.Revision != 1 || got.Document.Unit != "Set" || len(got.History.Steps) != 1 {
		t.Errorf("after a step: %+v", got)
	}
	same(t, m, s, got)
}

func keepsUndo(t *testing.T, m Maker) {
	s := begin(t, m)
	w := session(t, s)
	must(t)(w.Revise(t.Context(), "Name it one", named("one")))
	must(t)(w.Revise(t.Context(), "Name it two", named("two")))
	must(t)(w.Undo(t.Context()))
	got := must(t)(w.Undo(t.Context()))
	if got.Document.Unit != "Radio" || got.Revision != 4 || got.History.Done != 0 || len(got.History.Steps) != 2 {
		t.Errorf("after two steps and two undos: %+v", got)
	}
	s = same(t, m, s, got)
	got = must(t)(session(t, s).Redo(t.Context()))
	if got.Document.Unit != "one" {
		t.Errorf("redo gave %q", got.Document.Unit)
	}
	same(t, m, s, got)
}

func dropsTail(t *testing.T, m Maker) {
	s := begin(t, m)
	w := session(t, s)
	for i := range 3 {
		must(t)(w.Revise(t.Context(), "Name it", named(fmt.Sprint(i))))
	}
	must(t)(w.Undo(t.Context()))
	must(t)(w.Undo(t.Context()))
	got := must(t)(w.Revise(t.Context(), "Name it anew", named("anew")))
	if len(got.History.Steps) != 2 || got.History.Steps[1].Command.Label != "Name it anew" {
		t.Errorf("the history is %+v", got.History)
	}
	same(t, m, s, got)
}

func refusesStale(t *testing.T, m Maker) {
	s := begin(t, m)
	one, two := session(t, s), session(t, s)
	want := must(t)(one.Revise(t.Context(), "Name it", named("one")))
	got, err := two.Revise(t.Context(), "Name it", named("two"))
	if !errors.Is(err, job.ErrStale) || got.Document.Unit != "Radio" {
		t.Errorf("the second of two got %q, %v", got.Document.Unit, err)
	}
	same(t, m, s, want)
}

func refusesGap(t *testing.T, m Maker) {
	s := begin(t, m)
	d := Document(t)
	step := &job.Step{Command: job.Command{Version: 1, Label: "x"}, Time: time.Unix(1, 0).UTC()}
	for name, change := range map[string]job.Save{
		"a step past the end":    {Document: d, Done: 2, Step: step},
		"a step before the list": {Document: d, Done: 0, Step: step},
		"a mark past the end":    {Document: d, Done: 1},
		"a mark before the list": {Document: d, Done: -1},
	} {
		if _, err := s.Save(t.Context(), change); !errors.Is(err, job.ErrStale) {
			t.Errorf("%s: %v", name, err)
		}
	}
	same(t, m, s, job.Snapshot{Document: d})
}

// picture is the bytes of no picture, but they begin like one.
func picture(name string, size int) job.Blob {
	data := append([]byte("\xff\xd8\xff\xe0"), bytes.Repeat([]byte(name), size/len(name))...)
	return job.Blob{Name: name, MediaType: "image/jpeg", Data: data}
}

func photo(file string, b job.Blob) func(*job.Document) error {
	return func(d *job.Document) error {
		d.Photos.Foil = &job.Photo{File: file, SHA256: b.SHA256()}
		return nil
	}
}

func holds(t *testing.T, s job.Store, b job.Blob) {
	t.Helper()
	got, err := s.Photo(t.Context(), b.SHA256())
	if err != nil {
		t.Fatal(err)
	}
	if got.Name != b.Name || got.MediaType != b.MediaType || !bytes.Equal(got.Data, b.Data) {
		t.Errorf("the photo %s (%s, %d bytes) came back as %s (%s, %d bytes)", b.Name, b.MediaType, len(b.Data), got.Name, got.MediaType, len(got.Data))
	}
}

func keepsPhotos(t *testing.T, m Maker) {
	s := begin(t, m)
	b := picture("DSC 0001.JPG", 1<<20)
	got := must(t)(session(t, s).Revise(t.Context(), "Add the photo", photo("bottom.jpg", b), b))
	s = same(t, m, s, got)
	holds(t, s, b)
	if _, err := s.Photo(t.Context(), picture("other", 9).SHA256()); !errors.Is(err, job.ErrNoPhoto) {
		t.Errorf("a photo that nobody brought: %v", err)
	}
}

func givesBack(t *testing.T, m Maker) {
	s := begin(t, m)
	w := session(t, s)
	first, second := picture("first.jpg", 1000), picture("second.jpg", 2000)
	must(t)(w.Revise(t.Context(), "Add the photo", photo("bottom.jpg", first), first))
	must(t)(w.Revise(t.Context(), "Take another", photo("bottom.jpg", second), second))
	got := must(t)(w.Revise(t.Context(), "Take it out", func(d *job.Document) error { d.Photos.Foil = nil; return nil }))
	s = same(t, m, s, got)
	holds(t, s, first)
	holds(t, s, second)
	w = session(t, s)
	must(t)(w.Undo(t.Context()))
	got = must(t)(w.Undo(t.Context()))
	if got.Document.Photos.Foil.SHA256 != first.SHA256() {
		t.Errorf("the photo after two undos is %+v", got.Document.Photos.Foil)
	}
	s = same(t, m, s, got)
	holds(t, s, first)
	holds(t, s, second)
}

func refusesNoPhoto(t *testing.T, m Maker) {
	s := begin(t, m)
	_, err := session(t, s).Revise(t.Context(), "Add the photo", photo("bottom.jpg", picture("lost.jpg", 10)))
	if !errors.Is(err, job.ErrNoPhoto) {
		t.Errorf("a document with a photo that is nowhere: %v", err)
	}
	same(t, m, s, job.Snapshot{Document: Document(t)})
}

func remembers(t *testing.T, m Maker) {
	s := begin(t, m)
	ctx := t.Context()
	if _, ok, err := s.Recall(ctx, "copper:1"); ok || err != nil {
		t.Errorf("a result that nobody computed: %v, %v", ok, err)
	}
	for _, v := range []string{"old", "new", ""} {
		if err := s.Remember(ctx, "copper:1", []byte(v)); err != nil {
			t.Fatal(err)
		}
		if got, ok, err := s.Recall(ctx, "copper:1"); !ok || err != nil || string(got) != v {
			t.Errorf("remembered %q, recalled %q, %v, %v", v, got, ok, err)
		}
	}
	same(t, m, s, job.Snapshot{Document: Document(t)})
}

func handsCopies(t *testing.T, m Maker) {
	s := begin(t, m)
	got, err := s.Load(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	got.Document.Parts[0].Ref = "R99"
	got.Document.States[0].Settings[0].Part = "R99"
	same(t, m, s, job.Snapshot{Document: Document(t)})
}

func stops(t *testing.T, m Maker) {
	s := begin(t, m)
	w := session(t, s)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := w.Revise(ctx, "Name it", named("late")); !errors.Is(err, context.Canceled) {
		t.Errorf("a save that was called off: %v", err)
	}
	same(t, m, s, job.Snapshot{Document: Document(t)})
}
