package jobfile_test

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilside/internal/job"
	"foilside/internal/jobfile"
)

// Files that are sound databases, but hold what this program can't take.
func TestSaysWhatIsWrongInside(t *testing.T) {
	for name, c := range map[string]struct {
		change, want string
		kind         error
	}{
		"a kind of the future":    {`UPDATE document SET json = '{"parts":{"R1":{"kind":"memristor","leads":{"1":"a","2":"b"}}}}'`, `not a job that this program understands: parts.R1.kind: "memristor" is no kind of part`, jobfile.ErrDamaged},
		"no document":             {"DELETE FROM document", "damaged", jobfile.ErrDamaged},
		"steps that are missing":  {"DELETE FROM history WHERE step > 1", "damaged", jobfile.ErrDamaged},
		"a mark before the start": {"UPDATE document SET done = -1", "damaged", jobfile.ErrDamaged},
		"a table that is missing": {"DROP TABLE history", "no such table", nil},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "a.foilside")
			s, photos := content(t)
			made(t, path, s, photos)
			execute(t, path, c.change)
			_, err := look(t, path).Load(t.Context())
			if c.kind != nil {
				refused(t, err, c.kind, c.want)
			} else if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}

func execute(t *testing.T, path, statement string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(statement); err != nil {
		t.Fatal(err)
	}
}

func TestAPhotoThatIsNotWhatWasStored(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.foilside")
	s, photos := content(t)
	made(t, path, s, photos)
	execute(t, path, "UPDATE photo SET data = x'00'")
	_, err := look(t, path).Photo(t.Context(), photos[0].SHA256())
	refused(t, err, jobfile.ErrDamaged, "damaged")
	refused(t, jobfile.Unpack(t.Context(), path, filepath.Join(t.TempDir(), "a")), jobfile.ErrDamaged, "damaged")
}

func TestNotesWhatIsDoubtfulInATextAndItsPhotos(t *testing.T) {
	dir := t.TempDir()
	text := "photos: {component: a.jpg, foil: lost.jpg}\nparts: {}\nsymptoms: [{seen: smells}]\n"
	write(t, filepath.Join(dir, "job.yaml"), text)
	write(t, filepath.Join(dir, "a.jpg"), "\xff\xd8\xff\xe0 picture")
	f, err := jobfile.OpenFolder(t.Context(), dir, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var notes []string
	for _, n := range f.Notes() {
		notes = append(notes, n.String())
	}
	want := `job.yaml:3:19: warning: "smells" is kept and shown but carries no weight
job.yaml: warning: the photo lost.jpg is not beside the text; put it there`
	if got := strings.Join(notes, "\n"); got != want || string(f.Text()) != text {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if err := os.WriteFile(filepath.Join(dir, "a.jpg"), []byte("\xff\xd8\xff\xe0 another"), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := f.Load(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	_, err = f.Photo(t.Context(), s.Document.Photos.Component.SHA256)
	refused(t, err, job.ErrNoPhoto, "the photo a.jpg was changed since the job was opened")
}

func TestTellsPicturesApart(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct{ bytes, want string }{
		"a.jpg": {"\xff\xd8\xff\xe0", "image/jpeg"}, "b.png": {"\x89PNG\r\n\x1a\n", "image/png"}, "c.webp": {"RIFF\x00\x00\x00\x00WEBPVP", "image/webp"},
		"d.tiff": {"II*\x00", "image/tiff"}, "e.HEIC": {"\x00\x00\x00\x18ftypheic", "image/heic"}, "f.dat": {"who knows", "application/octet-stream"},
	} {
		write(t, filepath.Join(dir, name), c.bytes)
		write(t, filepath.Join(dir, "job.yaml"), "photos: {foil: "+name+"}\n")
		f := look(t, dir)
		s, err := f.Load(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if b, err := f.Photo(t.Context(), s.Document.Photos.Foil.SHA256); err != nil || b.MediaType != c.want {
			t.Errorf("%s is %s, %v", name, b.MediaType, err)
		}
	}
}
