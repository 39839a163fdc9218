package jobfile_test

import (
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// withPhotos is a job with two photos of the size that 12 megapixels have.
func withPhotos(b *testing.B) (job.Snapshot, []job.Blob) {
	b.Helper()
	rng := rand.NewChaCha8([32]byte{1})
	var photos []job.Blob
	for _, name := range []string{"top.jpg", "bottom.jpg"} {
		data := make([]byte, 5<<20)
		if _, err := rng.Read(data); err != nil {
			b.Fatal(err)
		}
		photos = append(photos, job.Blob{Name: name, MediaType: "image/jpeg", Data: data})
	}
	d := storetest.Document(b)
	d.Photos.Component = &job.Photo{File: "top.jpg", SHA256: photos[0].SHA256()}
	d.Photos.Foil = &job.Photo{File: "bottom.jpg", SHA256: photos[1].SHA256()}
	return job.Snapshot{Document: d}, photos
}

func BenchmarkOpen(b *testing.B) {
	s, photos := withPhotos(b)
	path := filepath.Join(b.TempDir(), "a.foilside")
	made(b, path, s, photos)
	for b.Loop() {
		f, err := jobfile.OpenFile(b.Context(), path, jobfile.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := f.Load(b.Context()); err != nil {
			b.Fatal(err)
		}
		if err := f.Close(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSave(b *testing.B) {
	s, photos := withPhotos(b)
	dir := b.TempDir()
	file, folder := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "a")
	made(b, file, s, photos)
	if err := jobfile.Unpack(b.Context(), file, folder); err != nil {
		b.Fatal(err)
	}
	for _, path := range []string{file, folder} {
		b.Run(filepath.Base(path), func(b *testing.B) {
			store, err := jobfile.Open(b.Context(), path, jobfile.Options{})
			if err != nil {
				b.Fatal(err)
			}
			defer store.Close()
			w, err := job.NewSession(b.Context(), store, ticks())
			if err != nil {
				b.Fatal(err)
			}
			for i := 0; b.Loop(); i++ {
				_, err := w.Revise(b.Context(), "Name it", func(d *job.Document) error { d.Unit = strconv.Itoa(i); return nil })
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
