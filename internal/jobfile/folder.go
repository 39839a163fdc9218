package jobfile

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"foilside/internal/job"
)

// TextName is the name of the text in a folder that is a job.
const TextName = "job.yaml"

// Folder is a job in its text form: a text with the photos beside it. What was
// done to it, and photos that only the history still names, lie in a folder
// NAME.history beside the text.
type Folder struct {
	path     string // of the text
	root     *os.Root
	lock     *lock
	readOnly bool

	mu      sync.Mutex
	at      job.Snapshot
	text    []byte            // as it lies on the disk
	blobs   map[string]stored // by SHA-256
	results map[string][]byte
	notes   []job.Problem
}

var _ job.Store = (*Folder)(nil)

// stored says where in the folder a photo's bytes lie.
type stored struct {
	file string // relative to the folder, with slashes
	meta photoMeta
}

// OpenFolder opens a job's text with the photos beside it. The path is that of
// the text, or of a folder with job.yaml in it.
//
// Errors: *Error, and *job.InvalidError with every problem of the text.
func OpenFolder(ctx context.Context, path string, o Options) (*Folder, error) {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		path = filepath.Join(path, TextName)
	}
	real, err := realPath(path)
	if err != nil {
		return nil, noText(path, err)
	}
	f := &Folder{path: real, readOnly: o.ReadOnly, blobs: map[string]stored{}, results: map[string][]byte{}}
	if !o.ReadOnly {
		if f.lock, err = takeLock(real); err != nil {
			return nil, err
		}
	}
	if err := f.read(ctx); err != nil {
		f.Close()
		return nil, explain(real, "reading", err)
	}
	return f, nil
}

// noText says which text was looked for.
func noText(path string, err error) error {
	e := explain(path, "opening", err)
	var mine *Error
	if errors.As(e, &mine) && mine.Kind == ErrNotFound && filepath.Base(path) == TextName {
		mine.What = "there is no " + TextName + " in this folder"
		mine.Next = "A job is a file NAME" + Extension + ", or a folder with " + TextName + " in it."
	}
	return e
}

// read takes in text, photos and history.
func (f *Folder) read(ctx context.Context) (err error) {
	if f.root, err = os.OpenRoot(filepath.Dir(f.path)); err != nil {
		return err
	}
	if f.text, err = os.ReadFile(f.path); err != nil {
		return err
	}
	doc, problems := job.ReadText(f.text, filepath.Base(f.path))
	if err := job.AsError(problems); err != nil {
		return err
	}
	f.notes = problems
	kept, err := f.readHistory()
	if err != nil {
		return err
	}
	f.findPhotos(&doc, kept)
	f.at, err = kept.resume(doc, f.textTime())
	return errors.Join(err, ctx.Err())
}

// findPhotos notes where photos lie, and gives those of the document their
// hash. A photo that is not there keeps none.
func (f *Folder) findPhotos(doc *job.Document, kept keptHistory) {
	for _, m := range kept.Photos {
		if file := f.stash(m.SHA256); f.holds(file, m.SHA256) {
			f.blobs[m.SHA256] = stored{file, m}
		}
	}
	for _, p := range doc.Photos.All() {
		data, err := f.root.ReadFile(filepath.FromSlash(p.File))
		if err != nil {
			p.SHA256 = ""
			f.notes = append(f.notes, job.Problem{File: filepath.Base(f.path), Warning: true,
				Text: fmt.Sprintf("the photo %s is not beside the text; put it there", p.File)})
			continue
		}
		b := job.Blob{Data: data}
		p.SHA256 = b.SHA256()
		meta, ok := kept.meta(p.SHA256)
		if !ok {
			meta = photoMeta{SHA256: p.SHA256, Name: filepath.Base(p.File), MediaType: mediaType(p.File, data)}
		}
		f.blobs[p.SHA256] = stored{p.File, meta}
	}
}

// holds reports whether the file in the folder has these bytes.
func (f *Folder) holds(file, sha string) bool {
	data, err := f.root.ReadFile(filepath.FromSlash(file))
	return err == nil && job.Blob{Data: data}.SHA256() == sha
}

// Path is where the text lies.
func (f *Folder) Path() string { return f.path }

// Text is the job's text as it lies on the disk.
func (f *Folder) Text() []byte {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.text
}

// Notes are the warnings about the text.
func (f *Folder) Notes() []job.Problem { return f.notes }

// Load returns the state as last saved.
func (f *Folder) Load(context.Context) (job.Snapshot, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.at
	s.Document = s.Document.Clone()
	s.History.Steps = slices.Clone(s.History.Steps)
	return s, nil
}

// Save writes the change: photos first, then the text, then the history. Each
// is written beside its place and renamed into it, so a text is always whole;
// a history that is behind its text is caught up on the next opening.
func (f *Folder) Save(ctx context.Context, s job.Save) (int64, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.save(ctx, s); err != nil {
		return f.at.Revision, explain(f.path, "saving", err)
	}
	return f.at.Revision, nil
}

func (f *Folder) save(ctx context.Context, s job.Save) error {
	if f.readOnly {
		return &Error{Kind: ErrReadOnly, Path: f.path, What: "the job was opened only to look at", Next: "Open it to work on it."}
	}
	has := func(sha string) (bool, error) { _, ok := f.blobs[sha]; return ok, nil }
	if err := errors.Join(ctx.Err(), job.CheckSave(s, f.at.Revision, len(f.at.History.Steps), has)); err != nil {
		return err
	}
	if err := f.untouched(); err != nil {
		return err
	}
	if err := f.putPhotos(s); err != nil {
		return err
	}
	text := textOf(f.text, s.Document)
	if err := f.replace(filepath.Base(f.path), text); err != nil {
		return err
	}
	f.text, f.at = text, s.After(f.at)
	f.at.Document = f.at.Document.Clone()
	return f.writeHistory()
}

// untouched refuses to write over what another program wrote meanwhile.
func (f *Folder) untouched() error {
	now, err := os.ReadFile(f.path)
	if err != nil || bytes.Equal(now, f.text) {
		return err
	}
	return &Error{Kind: ErrInUse, Path: f.path, Err: job.ErrStale,
		What: "the text was changed by another program since it was opened",
		Next: "Close the job and open it again to go on with the changed text."}
}

// textOf writes the document's text. Photos lie beside it, so their hashes are
// not written.
func textOf(old []byte, d job.Document) []byte {
	d = d.Clone()
	for _, p := range d.Photos.All() {
		p.SHA256 = ""
	}
	return job.RewriteText(old, d)
}

// replace writes a file of the folder whole: beside its place, then renamed.
func (f *Folder) replace(name string, data []byte) error {
	name = filepath.FromSlash(name)
	if err := f.root.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	temp := name + ".new"
	if err := f.writeSynced(temp, data); err != nil {
		return errors.Join(err, f.root.Remove(temp))
	}
	if err := f.root.Rename(temp, name); err != nil {
		return err
	}
	return syncDir(filepath.Join(filepath.Dir(f.path), filepath.Dir(name)))
}

func (f *Folder) writeSynced(name string, data []byte) error {
	w, err := f.root.Create(name)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	if err == nil {
		err = w.Sync()
	}
	return errors.Join(err, w.Close())
}

// Remember keeps a stage's result while the program runs.
func (f *Folder) Remember(_ context.Context, key string, result []byte) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(result) <= maxResult {
		f.results[key] = slices.Clone(result)
	}
	return nil
}

// Recall returns a remembered result.
func (f *Folder) Recall(_ context.Context, key string) ([]byte, bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	data, ok := f.results[key]
	return data, ok, nil
}

// Close gives the job free for others.
func (f *Folder) Close() error {
	err := f.lock.release()
	f.lock = nil
	if f.root != nil {
		err = errors.Join(err, f.root.Close())
	}
	return err
}

// isText tells the names that a job's text has.
func isText(path string) bool {
	ext := strings.ToLower(filepath.Ext(path))
	return ext == ".yaml" || ext == ".yml"
}
