package jobfile_test

import (
	"path/filepath"
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

func newFile(t *testing.T, s job.Snapshot, photos ...job.Blob) *jobfile.File {
	t.Helper()
	f, err := jobfile.CreateFile(t.Context(), filepath.Join(t.TempDir(), "a job #1.foilside"), s, photos)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func reopen(t *testing.T, s job.Store, path string) job.Store {
	t.Helper()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := jobfile.Open(t.Context(), path, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return again
}

func TestFileIsAStore(t *testing.T) {
	storetest.Run(t, storetest.Maker{
		New: func(t *testing.T, s job.Snapshot, photos ...job.Blob) job.Store { return newFile(t, s, photos...) },
		Reopen: func(t *testing.T, s job.Store) job.Store {
			return reopen(t, s, s.(*jobfile.File).Path())
		},
	})
}

func TestFolderIsAStore(t *testing.T) {
	storetest.Run(t, storetest.Maker{
		New: func(t *testing.T, s job.Snapshot, photos ...job.Blob) job.Store {
			dir := filepath.Join(t.TempDir(), "a job #1")
			file := newFile(t, s, photos...)
			if err := jobfile.Unpack(t.Context(), file.Path(), dir); err != nil {
				t.Fatal(err)
			}
			f, err := jobfile.OpenFolder(t.Context(), dir, jobfile.Options{})
			if err != nil {
				t.Fatal(err)
			}
			return f
		},
		Reopen: func(t *testing.T, s job.Store) job.Store {
			return reopen(t, s, s.(*jobfile.Folder).Path())
		},
	})
}
