package jobfile

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"syscall"

	"github.com/ncruces/go-sqlite3"

	"foilside/internal/job"
)

// The kinds of trouble with a job on disk, for errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrExists   = errors.New("exists already")
	ErrNotJob   = errors.New("not a job")
	ErrNewer    = errors.New("of a newer format")
	ErrDamaged  = errors.New("damaged")
	ErrInUse    = errors.New("in use")
	ErrDiskFull = errors.New("disk full")
	ErrReadOnly = errors.New("not writable")
)

// Error says what is wrong with a job on disk, and what to do next.
type Error struct {
	Kind error  // one of the kinds above, or nil
	Path string // the file or folder
	What string // what is wrong, one line
	Next string // what the person can do
	Err  error  // the cause, or nil
}

// Error is the reason on the first line and what to do next on the second.
func (e *Error) Error() string {
	s := fmt.Sprintf("%s: %s", filepath.Base(e.Path), e.What)
	if e.Next != "" {
		s += "\n" + e.Next
	}
	return s
}

// Unwrap gives errors.Is the kind and the cause.
func (e *Error) Unwrap() []error {
	var out []error
	for _, err := range []error{e.Kind, e.Err} {
		if err != nil {
			out = append(out, err)
		}
	}
	return out
}

// explain turns an error of the system or the database into one that says what
// to do. doing says what was tried: "saving".
func explain(path, doing string, err error) error {
	var mine *Error
	var invalid *job.InvalidError
	if err == nil || errors.As(err, &mine) || errors.As(err, &invalid) {
		return err
	}
	e := &Error{Path: path, Err: err}
	switch {
	case diskFull(err):
		e.Kind, e.What = ErrDiskFull, "no room is left on the disk while "+doing
		e.Next = "Nothing is lost: the job stands as it was last saved. Free some space and do the last step again."
	case errors.Is(err, sqlite3.IOERR_WRITE), errors.Is(err, sqlite3.IOERR_TRUNCATE):
		// The driver does not hand on the system's reason for a write that
		// failed, and a full disk is by far the commonest.
		e.Kind, e.What = ErrDiskFull, "the disk takes no more data while "+doing
		e.Next = "Nothing is lost: the job stands as it was last saved. See whether the disk is full, free some space, and do the last step again."
	case errors.Is(err, fs.ErrNotExist):
		e.Kind, e.What = ErrNotFound, "there is no such file or folder"
		e.Next = "Check the name and the folder you are in."
	case errors.Is(err, fs.ErrPermission), errors.Is(err, sqlite3.READONLY), errors.Is(err, syscall.EROFS):
		e.Kind, e.What = ErrReadOnly, "it may not be written to"
		e.Next = "Make the file and its folder writable for you, or work on a copy in a folder of your own."
	case errors.Is(err, sqlite3.NOTADB):
		e.Kind, e.What = ErrNotJob, "this is no job file"
		e.Next = "A job is a file NAME.foilside, or a folder with job.yaml in it."
	case errors.Is(err, sqlite3.CORRUPT), errors.Is(err, sqlite3.IOERR_SHORT_READ):
		return damaged(path, err)
	case errors.Is(err, sqlite3.BUSY), errors.Is(err, sqlite3.LOCKED):
		e.Kind, e.What = ErrInUse, "another program is writing to it just now"
		e.Next = "Close the other program, then try again. Nothing is lost."
	default:
		e.What = fmt.Sprintf("%s failed: %v", doing, err)
		e.Next = "The job stands as it was last saved."
	}
	return e
}

func diskFull(err error) bool {
	return errors.Is(err, sqlite3.FULL) || errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EFBIG) || errors.Is(err, errQuota)
}

func damaged(path string, err error) error {
	return &Error{Kind: ErrDamaged, Path: path, Err: err,
		What: "the file is damaged, or was cut short when it was copied",
		Next: "It was left as it is. Copy it again from where it came from, or take the last good copy."}
}
