//go:build unix

package jobfile

import (
	"errors"
	"os"
	"syscall"
)

// lockFile takes the system's lock on an open file, or returns errHeld.
func lockFile(f *os.File) error {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return errHeld
	}
	return err
}

// errQuota is a disk share that is used up.
var errQuota error = syscall.EDQUOT

// syncDir makes a rename in the folder last through a power cut.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) {
		return err
	}
	return nil
}
