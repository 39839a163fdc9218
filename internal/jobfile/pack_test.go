package jobfile_test

import (
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// ticks is a clock that goes on by a second each time it is asked.
func ticks() func() time.Time {
	at := time.Unix(1_700_000_000, 0)
	return func() time.Time {
		at = at.Add(time.Second)
		return at
	}
}

func itoa(i int) string { return strconv.Itoa(i) }

// sameJob holds two jobs, in whatever form, to having the same state and the
// same bytes for every photo that state or history names.
func sameJob(t *testing.T, a, b string) {
	t.Helper()
	one, two := look(t, a), look(t, b)
	was, err := one.Load(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	is, err := two.Load(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(was, is, cmpopts.EquateEmpty(), storetest.SameJSON()); diff != "" {
		t.Errorf("%s and %s differ (-a +b):\n%s", a, b, diff)
	}
	_, photos := content(t)
	for _, p := range photos {
		for _, s := range []job.Store{one, two} {
			got, err := s.Photo(t.Context(), p.SHA256())
			if err != nil || string(got.Data) != string(p.Data) || got.Name != p.Name || got.MediaType != p.MediaType {
				t.Errorf("photo %s came back as %q, %s, %v", p.Name, got.Name, got.MediaType, err)
			}
		}
	}
}

func look(t *testing.T, path string) job.Store {
	t.Helper()
	s, err := jobfile.Open(t.Context(), path, jobfile.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestNothingIsLostBetweenTheForms(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	file, folder, again := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "a"), filepath.Join(dir, "b.foilside")
	made(t, file, s, photos)
	if err := jobfile.Unpack(t.Context(), file, folder); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"top.jpg": string(photos[0].Data), "pictures/bottom.jpg": string(photos[2].Data)} {
		if got, err := os.ReadFile(filepath.Join(folder, name)); err != nil || string(got) != want {
			t.Errorf("%s holds %q, %v", name, got, err)
		}
	}
	left(t, folder, "job.history", "job.yaml", "pictures", "top.jpg")
	sameJob(t, file, folder)
	if err := jobfile.Pack(t.Context(), folder, again); err != nil {
		t.Fatal(err)
	}
	sameJob(t, file, again)
	left(t, dir, "a", "a.foilside", "b.foilside")
}

func TestATextWithoutHistoryIsPacked(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "amp.yaml"), "photos: {foil: b.png}\nparts: {}\n")
	write(t, filepath.Join(dir, "b.png"), "\x89PNG\r\n\x1a\n picture")
	to := filepath.Join(dir, "amp.foilside")
	if err := jobfile.Pack(t.Context(), filepath.Join(dir, "amp.yaml"), to); err != nil {
		t.Fatal(err)
	}
	s, err := look(t, to).Load(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	b, err := look(t, to).Photo(t.Context(), s.Document.Photos.Foil.SHA256)
	if err != nil || b.MediaType != "image/png" || b.Name != "b.png" {
		t.Errorf("the photo is %s %s, %v", b.Name, b.MediaType, err)
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Comments come out of the one file again, also after work on it.
func TestCommentsGoThroughTheFile(t *testing.T) {
	dir := t.TempDir()
	text := "# my radio\nunit: Radio\nparts: # all\n  # burnt?\n  R1: {kind: resistor, leads: {1: a, 2: b}} # hot\n"
	write(t, filepath.Join(dir, "radio.yaml"), text)
	file, copied := filepath.Join(dir, "radio.foilside"), filepath.Join(dir, "copy.foilside")
	if err := jobfile.Pack(t.Context(), filepath.Join(dir, "radio.yaml"), file); err != nil {
		t.Fatal(err)
	}
	f, err := jobfile.OpenFile(t.Context(), file, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	w, err := job.NewSession(t.Context(), f, ticks())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Revise(t.Context(), "Name it", func(d *job.Document) error { d.Unit = "Receiver"; return nil }); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(f.SaveCopy(t.Context(), copied), f.Close()); err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(text, "Radio\n", "Receiver\n", 1)
	for _, from := range []string{file, copied} {
		folder := filepath.Join(t.TempDir(), "out")
		if err := jobfile.Unpack(t.Context(), from, folder); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(filepath.Join(folder, "job.yaml")); err != nil || string(got) != want {
			t.Errorf("out came\n%s\nwant\n%s%v", got, want, err)
		}
	}
}

func TestRefusesToPackOrUnpack(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	file, full := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "full")
	made(t, file, s, photos)
	if err := os.Mkdir(full, 0o755); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(full, "letter.txt"), "mine")
	refused(t, jobfile.Unpack(t.Context(), file, full), jobfile.ErrExists, "the folder is not empty")
	left(t, full, "letter.txt")
	refused(t, jobfile.Unpack(t.Context(), file, filepath.Join(full, "letter.txt")), jobfile.ErrExists, "of that name")
	refused(t, jobfile.Unpack(t.Context(), filepath.Join(dir, "none.foilside"), filepath.Join(dir, "new")), jobfile.ErrNotFound, "no such file")
	refused(t, jobfile.Pack(t.Context(), full, filepath.Join(dir, "b.foilside")), jobfile.ErrNotFound, "there is no job.yaml")
	write(t, filepath.Join(full, "job.yaml"), "photos: {foil: lost.jpg}\nparts: {}\n")
	refused(t, jobfile.Pack(t.Context(), full, filepath.Join(dir, "b.foilside")), jobfile.ErrNotFound, "the photo lost.jpg is not beside the text")
	write(t, filepath.Join(full, "job.yaml"), "parts: {}\n")
	refused(t, jobfile.Pack(t.Context(), full, file), jobfile.ErrExists, "of that name")
	left(t, dir, "a.foilside", "full")
}

// A link beside the text must not lead out of the folder.
func TestPhotosStayInTheFolder(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "secret.txt"), "not a photo of this job")
	folder := filepath.Join(dir, "job")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("../secret.txt", filepath.Join(folder, "bottom.jpg")); err != nil {
		t.Skipf("no links here: %v", err)
	}
	write(t, filepath.Join(folder, "job.yaml"), "photos: {foil: bottom.jpg}\nparts: {}\n")
	refused(t, jobfile.Pack(t.Context(), folder, filepath.Join(dir, "a.foilside")), jobfile.ErrNotFound, "bottom.jpg is not beside the text")
}

func TestATextEditedByHandIsOneMoreStep(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	file, folder := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "a")
	made(t, file, s, photos)
	if err := jobfile.Unpack(t.Context(), file, folder); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "job.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	write(t, path, string(text)+"# a word of mine\nmeters: {old: {class: valve}}\n")
	f, err := jobfile.Open(t.Context(), folder, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := job.NewSession(t.Context(), f, ticks())
	if err != nil {
		t.Fatal(err)
	}
	if label, _ := w.Snapshot().History.CanUndo(); label != "Edit the text by hand" || len(w.Snapshot().Document.Meters) != 1 {
		t.Errorf("the last step is %q", label)
	}
	got, err := w.Undo(t.Context())
	if err != nil || len(got.Document.Meters) != 0 {
		t.Errorf("taking the edit back left %v, %v", got.Document.Meters, err)
	}
}

func TestDoesNotWriteOverAnotherProgramsText(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "amp.yaml")
	write(t, path, "parts: {}\n")
	f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := job.NewSession(t.Context(), f, ticks())
	if err != nil {
		t.Fatal(err)
	}
	write(t, path, "unit: Mine\nparts: {}\n")
	_, err = w.Revise(t.Context(), "Name it", func(d *job.Document) error { d.Unit = "Other"; return nil })
	refused(t, err, jobfile.ErrInUse, "changed by another program")
	if got, err := os.ReadFile(path); err != nil || string(got) != "unit: Mine\nparts: {}\n" {
		t.Errorf("the text is %q, %v", got, err)
	}
}

func TestTakesPathsFromWhereOneStands(t *testing.T) {
	t.Chdir(t.TempDir())
	s, photos := content(t)
	made(t, "a.foilside", s, photos)
	if err := jobfile.Unpack(t.Context(), "a.foilside", "a"); err != nil {
		t.Fatal(err)
	}
	if err := jobfile.Pack(t.Context(), "a", "b.foilside"); err != nil {
		t.Fatal(err)
	}
	sameJob(t, "a.foilside", "b.foilside")
	left(t, ".", "a", "a.foilside", "b.foilside")
}
