package jobfile

import (
	"context"
	"errors"
	"os"
)

// WithMaxPages opens a job as on a disk that is full at that many pages.
func WithMaxPages(n int) Options { return Options{maxPages: n} }

// MakeOld makes an empty job file of an older format.
func MakeOld(ctx context.Context, path string, format int) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	db, err := openDB(path, Options{})
	if err != nil {
		return err
	}
	return errors.Join(climb(ctx, db, 0, format), db.Close())
}

// Newest is the format that this program writes.
func Newest() int { return newest() }
