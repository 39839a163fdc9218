package jobfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"time"
)

// errHeld is what lockFile returns where another holds the lock.
var errHeld = errors.New("held")

// holder is what a lock file says of who holds it.
type holder struct {
	PID   int       `json:"pid"`
	Host  string    `json:"host"`
	Since time.Time `json:"since"`
}

// lock keeps a second writer off a job. It is a lock of the operating system on
// a file beside the job, so it ends with the process, also with one that was
// killed: a lock file that was left behind blocks nobody. What the file says
// only serves the message.
type lock struct {
	file *os.File
	path string
}

// takeLock locks the job at path for writing.
//
// Errors: *Error of kind ErrInUse with who holds it, ErrReadOnly.
func takeLock(path string) (*lock, error) {
	lockPath := path + ".lock"
	for {
		f, err := os.OpenFile(lockPath, os.O_RDWR|os.O_CREATE, 0o666)
		if err != nil {
			return nil, explain(path, "opening", err)
		}
		err = lockFile(f)
		if errors.Is(err, errHeld) {
			err = inUse(path, f)
		}
		if err != nil {
			f.Close()
			return nil, explain(path, "opening", err)
		}
		if stillThere(f, lockPath) {
			l := &lock{file: f, path: lockPath}
			l.sign()
			return l, nil
		}
		f.Close() // its last holder took it away between our two steps
	}
}

// stillThere reports whether the open file is the one at the path.
func stillThere(f *os.File, path string) bool {
	mine, err := f.Stat()
	if err != nil {
		return false
	}
	there, err := os.Stat(path)
	return err == nil && os.SameFile(mine, there)
}

// sign writes who holds the lock. Its failure costs a message some detail.
func (l *lock) sign() {
	host, _ := os.Hostname()
	data, err := json.Marshal(holder{PID: os.Getpid(), Host: host, Since: time.Now().UTC().Truncate(time.Second)})
	if err == nil && l.file.Truncate(0) == nil {
		_, _ = l.file.WriteAt(data, 0)
	}
}

func inUse(path string, f *os.File) error {
	e := &Error{Kind: ErrInUse, Path: path, What: "already open in another Foilside",
		Next: "Go on there, or close it first. Looking (all verbs that don't write) works meanwhile."}
	var h holder
	data := make([]byte, 512)
	n, _ := f.ReadAt(data, 0)
	if json.Unmarshal(data[:n], &h) == nil && h.PID > 0 {
		e.What = fmt.Sprintf("already open by process %d", h.PID)
		if host, _ := os.Hostname(); host != h.Host {
			e.What += " on " + h.Host
		}
		e.What += " since " + h.Since.Local().Format("2006-01-02 15:04:05")
	}
	return e
}

// release gives the job free.
func (l *lock) release() error {
	if l == nil {
		return nil
	}
	err := os.Remove(l.path)
	return errors.Join(err, l.file.Close())
}
