package jobfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// form is one of the stores under comparison, with its session.
type form struct {
	name    string
	store   job.Store
	session *job.Session
	path    string // empty: it can't be opened anew
}

func (f *form) begin(t *testing.T) {
	t.Helper()
	var err error
	if f.session, err = job.NewSession(t.Context(), f.store, ticks()); err != nil {
		t.Fatal(err)
	}
}

// Whatever is done to a job, in memory, in one file and in a folder it comes
// to the same, also over closing and opening.
func TestAllFormsComeToTheSame(t *testing.T) {
	for seed := range uint64(2) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 7))
			forms := allForms(t)
			var known []job.Blob
			for step := range 25 {
				what := rng.IntN(10)
				value := rng.IntN(1000)
				if what < 3 {
					known = append(known, job.Blob{Name: fmt.Sprint(step, ".png"), MediaType: "image/png", Data: fmt.Append([]byte("\x89PNG\r\n\x1a\n"), step)})
				}
				var errs []string
				for _, f := range forms {
					errs = append(errs, fmt.Sprint(act(t, f, what, value, known)))
				}
				if errs[0] != errs[1] || errs[0] != errs[2] {
					t.Fatalf("step %d, %d: %q", step, what, errs)
				}
				compare(t, forms, known)
			}
		})
	}
}

func allForms(t *testing.T) []*form {
	t.Helper()
	dir := t.TempDir()
	s := job.Snapshot{Document: storetest.Document(t)}
	forms := []*form{{name: "memory", store: job.NewMemory(s)}, {name: "file", path: filepath.Join(dir, "a.foilside")}, {name: "folder", path: filepath.Join(dir, "a")}}
	made(t, forms[1].path, s, nil)
	if err := jobfile.Unpack(t.Context(), forms[1].path, forms[2].path); err != nil {
		t.Fatal(err)
	}
	for _, f := range forms {
		f.open(t)
		t.Cleanup(func() { f.store.Close() })
	}
	return forms
}

// open opens a form, or opens it anew.
func (f *form) open(t *testing.T) {
	t.Helper()
	if f.path != "" {
		if f.store != nil {
			if err := f.store.Close(); err != nil {
				t.Fatal(err)
			}
		}
		var err error
		if f.store, err = jobfile.Open(t.Context(), f.path, jobfile.Options{}); err != nil {
			t.Fatal(err)
		}
	}
	f.begin(t)
}

// act does one thing to a form.
func act(t *testing.T, f *form, what, value int, known []job.Blob) error {
	t.Helper()
	revise := func(label string, change func(*job.Document) error, photos ...job.Blob) error {
		_, err := f.session.Revise(t.Context(), label, change, photos...)
		return err
	}
	var err error
	switch what {
	case 0, 1, 2:
		b := known[len(known)-1]
		return revise("Photo", func(d *job.Document) error {
			p := &job.Photo{File: []string{"a.png", "b.png", "in/c.png"}[value%3], SHA256: b.SHA256()}
			if d.Photos.Foil = p; value%2 == 0 {
				d.Photos.Foil, d.Photos.Component = d.Photos.Component, p
			}
			return nil
		}, b)
	case 3:
		return revise("No photo", func(d *job.Document) error { d.Photos.Component = nil; return nil })
	case 4:
		return revise("Swap", func(d *job.Document) error {
			d.Photos.Component, d.Photos.Foil = d.Photos.Foil, d.Photos.Component
			return nil
		})
	case 5:
		return revise("Part", func(d *job.Document) error {
			p := d.Parts[0]
			p.Ref = circuit.PartRef(fmt.Sprint("R", value%5+1))
			d.Parts = append(d.Parts, p)
			return nil
		})
	case 6, 7:
		_, err = f.session.Undo(t.Context())
	case 8:
		_, err = f.session.Redo(t.Context())
	case 9:
		f.open(t)
	}
	return err
}

// compare holds the forms to the first of them, and the photos to their bytes.
func compare(t *testing.T, forms []*form, known []job.Blob) {
	t.Helper()
	want, err := forms[0].store.Load(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range forms[1:] {
		got, err := f.store.Load(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		ignoreTimes := cmpopts.IgnoreFields(job.Step{}, "Time") // clocks begin anew with each session
		if diff := cmp.Diff(want, got, cmpopts.EquateEmpty(), storetest.SameJSON(), ignoreTimes); diff != "" {
			t.Fatalf("%s is not as %s (-want +got):\n%s", f.name, forms[0].name, diff)
		}
	}
	for _, b := range known {
		one, oneErr := forms[0].store.Photo(t.Context(), b.SHA256())
		for _, f := range forms[1:] {
			two, err := f.store.Photo(t.Context(), b.SHA256())
			if (err == nil) != (oneErr == nil) || !bytes.Equal(one.Data, two.Data) || one.Name != two.Name {
				t.Fatalf("photo %s from %s: %v, %v", b.Name, f.name, err, oneErr)
			}
		}
	}
}
