package jobfile

import (
	"errors"
	"math"
	"os"

	"golang.org/x/sys/windows"
)

// lockFile takes the system's lock on an open file, or returns errHeld. It
// locks a byte far past the text, so that others can read who holds it.
func lockFile(f *os.File) error {
	far := &windows.Overlapped{OffsetHigh: math.MaxInt32}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, far)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return errHeld
	}
	return err
}

// errQuota is a disk that is full, by this system's name.
var errQuota error = windows.ERROR_DISK_FULL

// syncDir does nothing: this system can't sync a folder.
func syncDir(string) error { return nil }
