package jobfile_test

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// On a small file system that really fills up, saving, unpacking and packing say
// so, what was saved is kept, and nothing is left half made.
func TestASmallDiskFillsUp(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=3m"); err != nil {
		t.Skipf("a small file system can't be mounted here: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	file, folder := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "a")
	made(t, file, job.Snapshot{Document: storetest.Document(t)}, nil)
	last, said := runChild(t, file, 0)
	if !strings.Contains(said, "the disk") || !strings.Contains(said, "while saving") {
		t.Fatalf("the child said %q after %d", said, last)
	}
	stillSound(t, file, last)
	refused(t, jobfile.Unpack(t.Context(), file, folder), jobfile.ErrDiskFull, "while unpacking")
	refused(t, jobfile.Pack(t.Context(), unpacked(t, file), filepath.Join(dir, "b.foilside")), jobfile.ErrDiskFull, "while making the job file")
	left(t, dir, "a.foilside")
}

// unpacked writes a job to a folder where there is room.
func unpacked(t *testing.T, file string) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "a")
	if err := jobfile.Unpack(t.Context(), file, folder); err != nil {
		t.Fatal(err)
	}
	return folder
}
