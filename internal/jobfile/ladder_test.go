package jobfile_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

var update = flag.Bool("update", false, "write the files in testdata anew")

// oldFile is a file of an older format. It was written once, by a program of
// that format, and stays as it is.
func oldFile(format int) string { return fmt.Sprintf("testdata/format%d.foilside", format) }

// A file of every older format opens, keeps what it held, and is brought up.
func TestOlderFormatsClimb(t *testing.T) {
	for format := 1; format < jobfile.Newest(); format++ {
		t.Run(fmt.Sprint("format ", format), func(t *testing.T) { climbs(t, format) })
	}
}

func climbs(t *testing.T, format int) {
	if _, err := os.Stat(oldFile(format)); *update && os.IsNotExist(err) {
		if err := jobfile.MakeOld(t.Context(), oldFile(format), format); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(oldFile(format))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "old.foilside")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	looker := look(t, path)
	if _, ok, err := looker.Recall(t.Context(), "x"); ok || err != nil {
		t.Errorf("looking at the old file for a result: %v, %v", ok, err)
	}
	if err := jobfile.Unpack(t.Context(), path, filepath.Join(t.TempDir(), "out")); err != nil {
		t.Errorf("unpacking the old file: %v", err)
	}
	if now, err := os.ReadFile(path); err != nil || string(now) != string(data) {
		t.Errorf("looking changed the old file: %v", err)
	}
	for range 2 { // the second opening finds the newest format
		f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Remember(t.Context(), "x", []byte("y")); err != nil {
			t.Fatal(err)
		}
		s, err := f.Load(t.Context())
		if err != nil || len(s.Document.Parts) != 0 {
			t.Errorf("it holds %+v, %v", s, err)
		}
		f.Close()
	}
}

// The steps that a program of format 1 would have written are those of today,
// so an old file with a history is a today's file without what came later.
func TestAnOldHistoryClimbs(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.foilside")
	if err := jobfile.MakeOld(t.Context(), path, 1); err != nil {
		t.Fatal(err)
	}
	f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	w, err := job.NewSession(t.Context(), f, ticks())
	if err != nil {
		t.Fatal(err)
	}
	want := storetest.Document(t)
	if _, err := w.Revise(t.Context(), "Begin", func(d *job.Document) error { *d = want; return nil }); err != nil {
		t.Fatal(err)
	}
	f.Close()
	s, err := look(t, path).Load(t.Context())
	if err != nil || s.Document.Unit != want.Unit || s.History.Done != 1 {
		t.Errorf("it holds %+v, %v", s, err)
	}
}
