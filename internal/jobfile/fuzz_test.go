package jobfile_test

import (
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// Whatever bytes a file holds, opening and reading it is an answer or a job.
func FuzzOpenFile(f *testing.F) {
	path := filepath.Join(f.TempDir(), "a.foilside")
	made(f, path, job.Snapshot{Document: storetest.Document(f)}, nil)
	for _, name := range []string{path, oldFile(1), oldFile(2)} {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("SQLite format 3\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "f.foilside")
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		s, err := jobfile.Open(t.Context(), path, jobfile.Options{})
		if err != nil {
			return
		}
		defer s.Close()
		at, err := s.Load(t.Context())
		if err != nil {
			return
		}
		if bad := job.Errors(job.Check(at.Document)); len(bad) > 0 {
			t.Errorf("it loads a document that is none: %v", bad)
		}
		_, _, _ = s.Recall(t.Context(), "x")
		_, _ = s.Photo(t.Context(), "x")
	})
}

// Whatever a history file holds, the text beside it opens or the trouble is
// named.
func FuzzOpenHistory(f *testing.F) {
	dir := f.TempDir()
	file := filepath.Join(dir, "a.foilside")
	s, photos := content(f)
	made(f, file, s, photos)
	if err := jobfile.Unpack(f.Context(), file, filepath.Join(dir, "a")); err != nil {
		f.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "a", "job.history", "history.json"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte(`{"version":1,"document":{"parts":{}},"history":{"steps":[],"done":0}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		dir := t.TempDir()
		if err := os.Mkdir(filepath.Join(dir, "job.history"), 0o755); err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, "job.yaml"), "parts: {}\n")
		write(t, filepath.Join(dir, "job.history", "history.json"), string(data))
		s, err := jobfile.Open(t.Context(), dir, jobfile.Options{})
		if err != nil {
			return
		}
		defer s.Close()
		w, err := job.NewSession(t.Context(), s, ticks())
		if err != nil {
			t.Fatal(err)
		}
		for range 3 {
			_, _ = w.Undo(t.Context())
			_, _ = w.Redo(t.Context())
		}
	})
}

// Many openings at once: never do two hold the job, and in the end it is free.
func TestOnlyOneHoldsTheJob(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.foilside")
	made(t, path, job.Snapshot{Document: storetest.Document(t)}, nil)
	var holders, turns atomic.Int32
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 25 {
				s, err := jobfile.Open(t.Context(), path, jobfile.Options{})
				if err != nil {
					continue
				}
				if n := holders.Add(1); n != 1 {
					t.Errorf("%d hold the job", n)
				}
				turns.Add(1)
				holders.Add(-1)
				if err := s.Close(); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if turns.Load() == 0 {
		t.Error("nobody ever got the job")
	}
	left(t, dir, "a.foilside")
}
