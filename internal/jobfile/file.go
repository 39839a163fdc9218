package jobfile

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/driver"

	"foilside/internal/job"
)

// Extension is how the name of a job in one file ends.
const Extension = ".foilside"

// File is a job in its one-file form.
type File struct {
	db       *sql.DB
	path     string
	lock     *lock
	readOnly bool
	format   int
}

var _ job.Store = (*File)(nil)

// Options say how a job is opened.
type Options struct {
	// ReadOnly: the job is only looked at. It may be open elsewhere meanwhile.
	ReadOnly bool

	// maxPages bounds the file's size in pages; tests fill the disk by it.
	maxPages int
}

// CreateFile makes a new job file that holds the state and the photos, and
// opens it. It appears under its name only once it is whole.
//
// Errors: *Error of kind ErrExists, ErrDiskFull, ErrReadOnly.
func CreateFile(ctx context.Context, path string, s job.Snapshot, photos []job.Blob) (*File, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, explain(path, "making the job file", err)
	}
	if err := create(ctx, path, s, photos, nil); err != nil {
		return nil, err
	}
	return OpenFile(ctx, path, Options{})
}

// create makes a new job file, with the text that it comes from if there is
// one.
func create(ctx context.Context, path string, s job.Snapshot, photos []job.Blob, text []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return exists(path)
	}
	return explain(path, "making the job file", writeNew(ctx, path, s, photos, text))
}

func exists(path string) error {
	return &Error{Kind: ErrExists, Path: path, What: "there is a file or folder of that name already",
		Next: "Take another name, or move what is there out of the way."}
}

// writeNew writes a whole job file beside path and renames it into place.
func writeNew(ctx context.Context, path string, s job.Snapshot, photos []job.Blob, text []byte) (err error) {
	temp, err := os.CreateTemp(filepath.Dir(path), ".new-*"+Extension)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(temp.Name())
			os.Remove(temp.Name() + "-journal")
		}
	}()
	if err := temp.Close(); err != nil {
		return err
	}
	f := &File{path: temp.Name()}
	if f.db, err = openDB(temp.Name(), Options{}); err != nil {
		return err
	}
	err = climb(ctx, f.db, 0, newest())
	if err == nil {
		err = f.fill(ctx, s, photos, text)
	}
	if err = errors.Join(err, f.db.Close()); err != nil {
		return err
	}
	if err := os.Chmod(temp.Name(), 0o644); err != nil {
		return err
	}
	if err := os.Rename(temp.Name(), path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// OpenFile opens a job file.
//
// Errors: *Error of kind ErrNotFound, ErrNotJob, ErrNewer, ErrDamaged, ErrInUse
// or ErrReadOnly.
func OpenFile(ctx context.Context, path string, o Options) (*File, error) {
	path, err := realPath(path)
	if err != nil {
		return nil, explain(path, "opening", err)
	}
	if err := looksLikeJob(path, o.ReadOnly); err != nil {
		return nil, err
	}
	f := &File{path: path, readOnly: o.ReadOnly}
	if !o.ReadOnly {
		if f.lock, err = takeLock(path); err != nil {
			return nil, err
		}
	}
	if err := f.open(ctx, o); err != nil {
		f.Close()
		return nil, explain(path, "opening", err)
	}
	return f, nil
}

// realPath follows links, so that one job has one lock by whatever name.
func realPath(path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return path, err
	}
	real, err := filepath.EvalSymlinks(abs)
	if err != nil {
		return path, err
	}
	return real, nil
}

// looksLikeJob refuses what is no database before SQLite is let near it.
func looksLikeJob(path string, readOnly bool) error {
	info, err := os.Stat(path)
	if err != nil {
		return explain(path, "opening", err)
	}
	if !info.Mode().IsRegular() {
		return &Error{Kind: ErrNotJob, Path: path, What: "this is no file",
			Next: "A job is a file NAME" + Extension + ", or a folder with job.yaml in it."}
	}
	f, err := os.Open(path)
	if err != nil {
		return unreadable(path, err)
	}
	defer f.Close()
	if !readOnly && !writable(path) {
		return explain(path, "opening", fs.ErrPermission)
	}
	const header = "SQLite format 3\x00"
	const headerSize = 100
	start := make([]byte, headerSize)
	n, err := io.ReadFull(f, start)
	switch {
	case n == 0:
		return &Error{Kind: ErrNotJob, Path: path, What: "the file is empty", Err: err,
			Next: "Take the last good copy of it, or make a new job."}
	case !strings.HasPrefix(string(start[:n]), header):
		return explain(path, "opening", sqlite3.NOTADB)
	case n < headerSize:
		return damaged(path, err)
	}
	return nil
}

// unreadable explains a file that can't even be looked at.
func unreadable(path string, err error) error {
	if !errors.Is(err, fs.ErrPermission) {
		return explain(path, "opening", err)
	}
	return &Error{Path: path, Err: err, What: "it may not be read by you",
		Next: "Ask whoever owns the file to let you read it."}
}

// writable reports whether the system lets this process write to the file.
func writable(path string) bool {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return false
	}
	return f.Close() == nil
}

// open opens the database, checks it and brings it up to the newest format.
func (f *File) open(ctx context.Context, o Options) (err error) {
	if f.db, err = openDB(f.path, o); err != nil {
		return err
	}
	var id int
	if err := f.db.QueryRowContext(ctx, "SELECT application_id, user_version FROM pragma_application_id, pragma_user_version").Scan(&id, &f.format); err != nil {
		return err
	}
	switch {
	case id != applicationID:
		return &Error{Kind: ErrNotJob, Path: f.path, What: "this is a database of another program, and no job",
			Next: "A job is a file NAME" + Extension + ", or a folder with job.yaml in it."}
	case f.format > newest():
		return &Error{Kind: ErrNewer, Path: f.path,
			What: fmt.Sprintf("the job is of format %d, and this program knows formats up to %d", f.format, newest()),
			Next: "Take a newer Foilside. The file was left as it is."}
	}
	if err := f.check(ctx); err != nil {
		return err
	}
	if f.format < newest() && !f.readOnly {
		if err := climb(ctx, f.db, f.format, newest()); err != nil {
			return err
		}
		f.format = newest()
	}
	return nil
}

// check looks for damage.
func (f *File) check(ctx context.Context) error {
	var verdict string
	if err := f.db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return damaged(f.path, errors.New(verdict))
	}
	return nil
}

// openDB opens the database for one connection. The journal is the classic one
// that is deleted at each commit, so that the one file is the whole job.
func openDB(path string, o Options) (*sql.DB, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	slashed := filepath.ToSlash(path)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // C:/… needs one more for a URL
	}
	u := url.URL{Scheme: "file", Path: slashed, OmitHost: true}
	pragmas, mode := []string{"busy_timeout(5000)", "trusted_schema(off)"}, "rw"
	if o.ReadOnly && !writable(path) {
		mode = "ro"
	}
	// A job that is only looked at is opened to write where that is possible:
	// what a process left behind that was killed while saving must be taken
	// back before it can be read.
	if o.ReadOnly {
		pragmas = append(pragmas, "query_only(on)")
	} else {
		pragmas = append(pragmas, "journal_mode(delete)", "synchronous(full)")
	}
	if o.maxPages > 0 {
		pragmas = append(pragmas, fmt.Sprintf("max_page_count(%d)", o.maxPages))
	}
	u.RawQuery = url.Values{"mode": {mode}, "_pragma": pragmas}.Encode()
	db, err := driver.Open(u.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

// Path is where the job lies.
func (f *File) Path() string { return f.path }

// Close gives the job free for others.
func (f *File) Close() error {
	var err error
	if f.db != nil {
		err = f.db.Close()
	}
	err = errors.Join(err, f.lock.release())
	f.lock = nil
	return err
}

// Load returns the state as last saved.
func (f *File) Load(ctx context.Context) (job.Snapshot, error) {
	s, err := f.load(ctx)
	return s, explain(f.path, "reading", err)
}

func (f *File) load(ctx context.Context) (s job.Snapshot, err error) {
	tx, err := f.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return s, err
	}
	defer tx.Rollback()
	var text string
	err = tx.QueryRowContext(ctx, "SELECT revision, done, json FROM document").Scan(&s.Revision, &s.History.Done, &text)
	if errors.Is(err, sql.ErrNoRows) {
		return s, damaged(f.path, err)
	}
	if err != nil {
		return s, err
	}
	if err := json.Unmarshal([]byte(text), &s.Document); err != nil {
		return s, &Error{Kind: ErrDamaged, Path: f.path, Err: err,
			What: "its document is not a job that this program understands: " + firstLine(err.Error()),
			Next: "The file was left as it is. Take the program that wrote it, or the last good copy."}
	}
	s.History.Steps, err = loadSteps(ctx, tx)
	if err == nil && (s.History.Done < 0 || s.History.Done > len(s.History.Steps)) {
		err = damaged(f.path, errors.New("steps of the history are missing"))
	}
	return s, err
}

func loadSteps(ctx context.Context, tx *sql.Tx) ([]job.Step, error) {
	rows, err := tx.QueryContext(ctx, "SELECT time, command FROM history ORDER BY step")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var steps []job.Step
	for rows.Next() {
		var at, command string
		if err := rows.Scan(&at, &command); err != nil {
			return nil, err
		}
		var step job.Step
		if err := json.Unmarshal([]byte(command), &step.Command); err != nil {
			return nil, err
		}
		if step.Time, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return nil, err
		}
		steps = append(steps, step)
	}
	return steps, rows.Err()
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}
