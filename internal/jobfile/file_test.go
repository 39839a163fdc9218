package jobfile_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// content is a job with two photos, one undone step and one replaced photo.
func content(t testing.TB) (job.Snapshot, []job.Blob) {
	t.Helper()
	top := job.Blob{Name: "IMG 1.JPG", MediaType: "image/jpeg", Data: []byte("\xff\xd8\xff\xe0 the component side")}
	foil := job.Blob{Name: "IMG 2.JPG", MediaType: "image/jpeg", Data: []byte("\xff\xd8\xff\xe0 the foil side")}
	blurred := job.Blob{Name: "IMG 0.JPG", MediaType: "image/jpeg", Data: []byte("\xff\xd8\xff\xe0 the foil side, blurred")}
	s := job.NewMemory(job.Snapshot{Document: storetest.Document(t)})
	w, err := job.NewSession(t.Context(), s, ticks())
	if err != nil {
		t.Fatal(err)
	}
	photos := func(foil job.Blob) func(*job.Document) error {
		return func(d *job.Document) error {
			d.Photos.Component = &job.Photo{File: "top.jpg", SHA256: top.SHA256()}
			d.Photos.Foil = &job.Photo{File: "pictures/bottom.jpg", SHA256: foil.SHA256()}
			return nil
		}
	}
	steps := []func() (job.Snapshot, error){
		func() (job.Snapshot, error) {
			return w.Revise(t.Context(), "Add the photos", photos(blurred), top, blurred)
		},
		func() (job.Snapshot, error) { return w.Revise(t.Context(), "Take it again", photos(foil), foil) },
		func() (job.Snapshot, error) {
			return w.Revise(t.Context(), "Name it", func(d *job.Document) error { d.Unit = "Amplifier"; return nil })
		},
		func() (job.Snapshot, error) { return w.Undo(t.Context()) },
	}
	for _, step := range steps {
		if _, err := step(); err != nil {
			t.Fatal(err)
		}
	}
	return w.Snapshot(), []job.Blob{top, blurred, foil}
}

// The rows are files that are no job, and what is said of each.
func TestSaysWhatIsWrongWithAFile(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	good := filepath.Join(dir, "good.foilside")
	made(t, good, s, photos)
	whole, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		data []byte
		kind error
		want string
	}{
		"text under the wrong name": {[]byte("parts: {}\n"), jobfile.ErrNotJob, "this is no job file"},
		"empty file":                {nil, jobfile.ErrNotJob, "the file is empty"},
		"cut in the header":         {whole[:60], jobfile.ErrDamaged, "cut short"},
		"cut after the header":      {whole[:200], jobfile.ErrDamaged, "cut short"},
		"cut in the middle":         {whole[:len(whole)/2/4096*4096], jobfile.ErrDamaged, "damaged"},
		"last page missing":         {whole[:len(whole)-4096], jobfile.ErrDamaged, "damaged"},
		"overwritten in the middle": {overwritten(whole), jobfile.ErrDamaged, "damaged"},
		"of a newer format":         {withUserVersion(whole, 99), jobfile.ErrNewer, "the job is of format 99, and this program knows formats up to 3"},
		"of another program":        {withApplicationID(whole, 7), jobfile.ErrNotJob, "a database of another program"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "bad.foilside")
			if err := os.WriteFile(path, c.data, 0o644); err != nil {
				t.Fatal(err)
			}
			f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
			if err == nil {
				_, err = f.Load(t.Context())
				f.Close()
			}
			refused(t, err, c.kind, c.want)
			if now, err := os.ReadFile(path); err != nil || string(now) != string(c.data) {
				t.Errorf("the file was changed: %v", err)
			}
			left(t, filepath.Dir(path), "bad.foilside")
		})
	}
}

func overwritten(whole []byte) []byte {
	b := append([]byte(nil), whole...)
	for page := 4096; page < len(b); page += 4096 {
		for i := page; i < page+64; i++ {
			b[i] ^= 0x5a
		}
	}
	return b
}

// The places in the header: "Database File Format" of the SQLite project, 1.3.
func withUserVersion(whole []byte, v byte) []byte {
	b := append([]byte(nil), whole...)
	copy(b[60:64], []byte{0, 0, 0, v})
	return b
}

func withApplicationID(whole []byte, v byte) []byte {
	b := append([]byte(nil), whole...)
	copy(b[68:72], []byte{0, 0, 0, v})
	return b
}

func made(t testing.TB, path string, s job.Snapshot, photos []job.Blob) {
	t.Helper()
	f, err := jobfile.CreateFile(t.Context(), path, s, photos)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// refused holds an error to its kind, to its words, and to saying what to do.
func refused(t *testing.T, err, kind error, want string) {
	t.Helper()
	var e *jobfile.Error
	if !errors.As(err, &e) || !errors.Is(err, kind) || !strings.Contains(e.What, want) {
		t.Fatalf("got %v, want %q of kind %v", err, want, kind)
	}
	if e.Next == "" || !strings.HasPrefix(err.Error(), filepath.Base(e.Path)+": ") || strings.Count(err.Error(), "\n") < 1 {
		t.Errorf("it doesn't say where, or what to do next: %q", err)
	}
}

// left holds a folder to its files: nothing is left beside them.
func left(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

func TestSaysWhatIsWrongWithAPlace(t *testing.T) {
	dir := t.TempDir()
	open := func(path string) error {
		f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
		if err == nil {
			f.Close()
		}
		return err
	}
	refused(t, open(filepath.Join(dir, "none.foilside")), jobfile.ErrNotFound, "there is no such file")
	refused(t, open(dir), jobfile.ErrNotFound, "there is no job.yaml in this folder")
	if err := os.WriteFile(filepath.Join(dir, "job.yaml"), []byte("parts: {R1: {kind: x}}"), 0o644); err != nil {
		t.Fatal(err)
	}
	err := open(dir)
	var bad *job.InvalidError
	if !errors.As(err, &bad) || !strings.HasPrefix(err.Error(), `job.yaml:1:20: "x" is no kind of part`) {
		t.Errorf("the problems are not in the error: %v", err)
	}
	s, _ := content(t)
	_, err = jobfile.CreateFile(t.Context(), filepath.Join(dir, "job.yaml"), s, nil)
	refused(t, err, jobfile.ErrExists, "a file or folder of that name")
	_, err = jobfile.CreateFile(t.Context(), filepath.Join(dir, "nowhere", "a.foilside"), s, nil)
	refused(t, err, jobfile.ErrNotFound, "there is no such")
	left(t, dir, "job.yaml")
}

func TestOneFileIsTheWholeJob(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	f, err := jobfile.CreateFile(t.Context(), filepath.Join(dir, "a.foilside"), s, photos)
	if err != nil {
		t.Fatal(err)
	}
	w, err := job.NewSession(t.Context(), f, ticks())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Redo(t.Context()); err != nil {
		t.Fatal(err)
	}
	left(t, dir, "a.foilside", "a.foilside.lock")
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	left(t, dir, "a.foilside")
}

func TestLookingDoesNotDisturb(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.foilside")
	s, photos := content(t)
	made(t, path, s, photos)
	writer, err := jobfile.Open(t.Context(), path, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer writer.Close()
	reader, err := jobfile.Open(t.Context(), path, jobfile.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	w, err := job.NewSession(t.Context(), writer, ticks())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Redo(t.Context()); err != nil {
		t.Fatal(err)
	}
	got, err := reader.Load(t.Context())
	if err != nil || got.Document.Unit != "Amplifier" {
		t.Errorf("the reader sees %q, %v", got.Document.Unit, err)
	}
	r, err := job.NewSession(t.Context(), reader, ticks())
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.Undo(t.Context())
	refused(t, err, jobfile.ErrReadOnly, "opened only to look at")
}

func TestWhatMayNotBeWrittenCanBeLookedAt(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("the administrator may write everywhere")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "a.foilside")
	s, photos := content(t)
	made(t, path, s, photos)
	for name, protect := range map[string]func() error{
		"the folder": func() error { return os.Chmod(dir, 0o555) },
		"the file":   func() error { return os.Chmod(path, 0o444) },
	} {
		if err := protect(); err != nil {
			t.Fatal(err)
		}
		_, err := jobfile.Open(t.Context(), path, jobfile.Options{})
		refused(t, err, jobfile.ErrReadOnly, "it may not be written to")
		if got, err := look(t, path).Load(t.Context()); err != nil || got.Revision != s.Revision {
			t.Errorf("looking where %s is protected: revision %d, %v", name, got.Revision, err)
		}
	}
	if err := errors.Join(os.Chmod(path, 0), os.Chmod(dir, 0o755)); err != nil {
		t.Fatal(err)
	}
	_, err := jobfile.Open(t.Context(), path, jobfile.Options{ReadOnly: true})
	if err == nil || !strings.Contains(err.Error(), "it may not be read by you") {
		t.Errorf("a file that may not be read: %v", err)
	}
}

func TestASecondWriterIsToldWhoHasTheJob(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	file, folder := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "a")
	made(t, file, s, photos)
	if err := jobfile.Unpack(t.Context(), file, folder); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link.foilside")
	if err := os.Symlink(file, link); err != nil {
		t.Skipf("no links here: %v", err)
	}
	for name, paths := range map[string][2]string{"file": {file, file}, "folder": {folder, filepath.Join(folder, "job.yaml")}, "by a link": {file, link}} {
		t.Run(name, func(t *testing.T) {
			first, err := jobfile.Open(t.Context(), paths[0], jobfile.Options{})
			if err != nil {
				t.Fatal(err)
			}
			_, err = jobfile.Open(t.Context(), paths[1], jobfile.Options{})
			refused(t, err, jobfile.ErrInUse, "already open by process "+itoa(os.Getpid())+" since 20")
			if err := first.Close(); err != nil {
				t.Fatal(err)
			}
			again, err := jobfile.Open(t.Context(), paths[1], jobfile.Options{})
			if err != nil {
				t.Fatalf("given free, it can't be opened: %v", err)
			}
			again.Close()
		})
	}
}

func TestALockFileLeftBehindBlocksNobody(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.foilside")
	s, photos := content(t)
	made(t, path, s, photos)
	if err := os.WriteFile(path+".lock", []byte(`{"pid":1,"host":"elsewhere","since":"2020-01-01T00:00:00Z"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	left(t, dir, "a.foilside")
}

func TestAFullDiskLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.foilside")
	s, photos := content(t)
	made(t, path, s, photos)
	f, err := jobfile.OpenFile(t.Context(), path, jobfile.WithMaxPages(40))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := job.NewSession(t.Context(), f, ticks())
	if err != nil {
		t.Fatal(err)
	}
	before := w.Snapshot()
	big := job.Blob{Name: "big.jpg", MediaType: "image/jpeg", Data: make([]byte, 1<<20)}
	after, err := w.Revise(t.Context(), "Add a photo", func(d *job.Document) error {
		d.Photos.Foil = &job.Photo{File: "big.jpg", SHA256: big.SHA256()}
		return nil
	}, big)
	refused(t, err, jobfile.ErrDiskFull, "no room is left on the disk while saving")
	if after.Revision != before.Revision || after.Document.Photos.Foil.File != "pictures/bottom.jpg" {
		t.Errorf("the session took what was not saved: %+v", after)
	}
	got, err := f.Load(t.Context())
	if err != nil || got.Revision != before.Revision || len(got.History.Steps) != len(before.History.Steps) {
		t.Errorf("the file holds revision %d, %v", got.Revision, err)
	}
	if _, err := f.Photo(t.Context(), big.SHA256()); !errors.Is(err, job.ErrNoPhoto) {
		t.Errorf("the photo that didn't fit: %v", err)
	}
	if _, err := w.Redo(t.Context()); err != nil {
		t.Errorf("what fits can't be saved any more: %v", err)
	}
}

func TestResultsStaySmall(t *testing.T) {
	f := newFile(t, job.Snapshot{Document: storetest.Document(t)})
	ctx := context.Background()
	data := make([]byte, 4<<20)
	for i := range 12 {
		if err := f.Remember(ctx, itoa(i), data); err != nil {
			t.Fatal(err)
		}
	}
	if _, ok, err := f.Recall(ctx, "11"); !ok || err != nil {
		t.Errorf("the newest is gone: %v", err)
	}
	if _, ok, _ := f.Recall(ctx, "0"); ok {
		t.Error("the oldest is still there")
	}
	if err := f.Remember(ctx, "huge", make([]byte, 5<<20)); err != nil {
		t.Fatal(err)
	}
	if _, ok, _ := f.Recall(ctx, "huge"); ok {
		t.Error("a huge result was kept")
	}
	info, err := os.Stat(f.Path())
	if err != nil || info.Size() > 40<<20 {
		t.Errorf("the file has %d bytes, %v", info.Size(), err)
	}
}

func TestACopyIsTheSameJob(t *testing.T) {
	dir := t.TempDir()
	s, photos := content(t)
	f := newFile(t, s, photos...)
	to := filepath.Join(dir, "copy.foilside")
	if err := f.SaveCopy(t.Context(), to); err != nil {
		t.Fatal(err)
	}
	sameJob(t, f.Path(), to)
	refused(t, f.SaveCopy(t.Context(), to), jobfile.ErrExists, "of that name")
}
