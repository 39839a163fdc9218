package jobfile

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"foilside/internal/job"
)

// Pack makes a job file from a job's text and the photos beside it, the
// history and the comments of the text included. The path is that of the text, or of its folder.
//
// Errors: as OpenFolder and CreateFile, and a photo that is not there.
func Pack(ctx context.Context, from, to string) error {
	f, err := OpenFolder(ctx, from, Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer f.Close()
	for _, p := range f.at.Document.Photos.All() {
		if p.SHA256 == "" {
			return &Error{Kind: ErrNotFound, Path: f.path, Err: job.ErrNoPhoto,
				What: fmt.Sprintf("the photo %s is not beside the text", p.File),
				Next: "Put it there, or take it out of the text."}
		}
	}
	photos, err := f.allPhotos(ctx)
	if err != nil {
		return err
	}
	return create(ctx, to, f.at, photos, f.text)
}

// allPhotos returns the photos of the document and of the history.
func (f *Folder) allPhotos(ctx context.Context) ([]job.Blob, error) {
	var shas []string
	for sha := range f.blobs {
		shas = append(shas, sha)
	}
	slices.Sort(shas)
	var out []job.Blob
	for _, sha := range shas {
		b, err := f.Photo(ctx, sha)
		if err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}

// Unpack writes a job file as a folder with job.yaml, the photos beside it, and
// the history. The folder may be there already only if it is empty.
//
// Errors: *Error; a folder that was begun is taken away again.
func Unpack(ctx context.Context, from, to string) (err error) {
	src, err := OpenFile(ctx, from, Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer src.Close()
	s, err := src.Load(ctx)
	if err != nil {
		return err
	}
	photos, err := src.photos(ctx)
	if err != nil {
		return err
	}
	text, err := src.sourceText(ctx)
	if err != nil {
		return err
	}
	there, err := emptyFolder(to)
	if err != nil {
		return explain(to, "unpacking", err)
	}
	if err := fillFolder(to, s, photos, text); err != nil {
		return explain(to, "unpacking", errors.Join(err, clearFolder(to, there)))
	}
	return nil
}

// emptyFolder makes the folder, and reports whether it was there already.
func emptyFolder(path string) (there bool, err error) {
	entries, err := os.ReadDir(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return false, os.MkdirAll(path, 0o755)
	case err != nil:
		if info, statErr := os.Stat(path); statErr == nil && !info.IsDir() {
			return true, exists(path)
		}
		return true, err
	case len(entries) > 0:
		return true, &Error{Kind: ErrExists, Path: path, What: "the folder is not empty",
			Next: "Name a folder that is empty or not there yet; nothing was written."}
	}
	return true, nil
}

// clearFolder takes back a folder that could not be filled: it was empty.
func clearFolder(path string, there bool) error {
	if !there {
		return os.RemoveAll(path)
	}
	entries, err := os.ReadDir(path)
	for _, e := range entries {
		err = errors.Join(err, os.RemoveAll(filepath.Join(path, e.Name())))
	}
	return err
}

// fillFolder writes a job into an empty folder; text is what it was packed
// from, if it was.
func fillFolder(path string, s job.Snapshot, photos []job.Blob, text []byte) error {
	root, err := os.OpenRoot(path)
	if err != nil {
		return err
	}
	defer root.Close()
	f := &Folder{path: filepath.Join(path, TextName), root: root, blobs: map[string]stored{}}
	if err := f.putPhotos(job.Save{Document: s.Document, Photos: photos}); err != nil {
		return err
	}
	f.at, f.text = s, textOf(text, s.Document)
	if err := f.replace(TextName, f.text); err != nil {
		return err
	}
	return f.writeHistory()
}
