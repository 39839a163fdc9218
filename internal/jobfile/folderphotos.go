package jobfile

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"path/filepath"
	"strings"

	"foilside/internal/job"
)

// Photo returns a photo by the SHA-256 of its bytes.
func (f *Folder) Photo(_ context.Context, sha256 string) (job.Blob, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s, ok := f.blobs[sha256]
	if !ok {
		return job.Blob{}, job.ErrNoPhoto
	}
	data, err := f.root.ReadFile(filepath.FromSlash(s.file))
	if err != nil {
		return job.Blob{}, explain(f.path, "reading the photo "+s.file, err)
	}
	b := job.Blob{Name: s.meta.Name, MediaType: s.meta.MediaType, Data: data}
	if b.SHA256() != sha256 {
		return job.Blob{}, &Error{Kind: ErrDamaged, Path: f.path, Err: job.ErrNoPhoto,
			What: fmt.Sprintf("the photo %s was changed since the job was opened", s.file),
			Next: "Close the job and open it again to go on with the changed photo."}
	}
	return b, nil
}

// putPhotos makes every photo that the document names lie in its place. Bytes
// that leave their place are kept with the history, since an undo may ask for
// them again.
func (f *Folder) putPhotos(s job.Save) error {
	brought := map[string]job.Blob{}
	for _, b := range s.Photos {
		brought[b.SHA256()] = b
	}
	wanted := map[string]bool{}
	for _, p := range s.Document.Photos.All() {
		if p.SHA256 == "" {
			continue
		}
		wanted[p.SHA256] = true
		if err := f.putPhoto(*p, brought); err != nil {
			return err
		}
	}
	for sha, b := range brought {
		if !wanted[sha] {
			if err := f.keep(sha, b); err != nil {
				return err
			}
		}
	}
	return f.keepUnnamed(wanted)
}

// keepUnnamed copies photos that the document no longer names to the history's
// folder. The files beside the text stay: they are the person's own.
func (f *Folder) keepUnnamed(wanted map[string]bool) error {
	for sha, s := range f.blobs {
		if wanted[sha] || s.file == f.stash(sha) {
			continue
		}
		data, err := f.root.ReadFile(filepath.FromSlash(s.file))
		if err != nil {
			return err
		}
		if err := f.keep(sha, job.Blob{Name: s.meta.Name, MediaType: s.meta.MediaType, Data: data}); err != nil {
			return err
		}
	}
	return nil
}

func (f *Folder) putPhoto(p job.Photo, brought map[string]job.Blob) error {
	if s, ok := f.blobs[p.SHA256]; ok && s.file == p.File {
		return nil
	}
	if err := f.clear(p); err != nil {
		return err
	}
	b, fresh := brought[p.SHA256]
	old, known := f.blobs[p.SHA256]
	meta := old.meta
	switch {
	case fresh:
		meta = photoMeta{SHA256: p.SHA256, Name: b.Name, MediaType: b.MediaType}
	case !known:
		return fmt.Errorf("%s: %w", p.File, job.ErrNoPhoto)
	default:
		data, err := f.root.ReadFile(filepath.FromSlash(old.file))
		if err != nil {
			return err
		}
		b = job.Blob{Data: data}
	}
	if err := f.replace(p.File, b.Data); err != nil {
		return err
	}
	f.blobs[p.SHA256] = stored{p.File, meta}
	return nil
}

// clear moves what lies where a photo shall go to the history's folder.
func (f *Folder) clear(p job.Photo) error {
	data, err := f.root.ReadFile(filepath.FromSlash(p.File))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	b := job.Blob{Data: data}
	sha := b.SHA256()
	if sha == p.SHA256 {
		return nil
	}
	b.Name, b.MediaType = filepath.Base(p.File), mediaType(p.File, data)
	if s, ok := f.blobs[sha]; ok {
		b.Name, b.MediaType = s.meta.Name, s.meta.MediaType
	}
	return f.keep(sha, b)
}

// keep puts a photo's bytes into the history's folder.
func (f *Folder) keep(sha string, b job.Blob) error {
	file := f.stash(sha)
	if !f.holds(file, sha) {
		if err := f.replace(file, b.Data); err != nil {
			return err
		}
	}
	f.blobs[sha] = stored{file, photoMeta{SHA256: sha, Name: b.Name, MediaType: b.MediaType}}
	return nil
}

// stash is where a photo lies that only the history names.
func (f *Folder) stash(sha string) string { return path.Join(f.historyDir(), sha) }

// mediaType tells a photo's type by its bytes, or else by its name.
func mediaType(name string, data []byte) string {
	if t := http.DetectContentType(data); strings.HasPrefix(t, "image/") {
		return t
	}
	switch strings.ToLower(filepath.Ext(name)) {
	case ".tif", ".tiff":
		return "image/tiff"
	case ".heic", ".heif":
		return "image/heic"
	}
	return "application/octet-stream"
}
