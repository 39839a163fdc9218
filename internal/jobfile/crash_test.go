package jobfile_test

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	_ "github.com/ncruces/go-sqlite3/driver"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
	"foilside/internal/jobfile"
)

// childJob names the job that this program, run as a child, shall write to.
const childJob = "FOILSIDE_TEST_CHILD_JOB"

// TestMain lets the test program run itself as a child that can be killed.
func TestMain(m *testing.M) {
	if path := os.Getenv(childJob); path != "" {
		if err := writeForEver(path); err != nil {
			fmt.Println("failed", err)
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

// writeForEver does one command after the other, large ones among them, and
// says the number of each once it is saved.
func writeForEver(path string) error {
	ctx := context.Background()
	limitFileSize()
	store, err := jobfile.Open(ctx, path, jobfile.Options{})
	if err != nil {
		return err
	}
	w, err := job.NewSession(ctx, store, time.Now)
	if err != nil {
		return err
	}
	for {
		n := w.Snapshot().Revision + 1
		photo := job.Blob{Name: "p.jpg", MediaType: "image/jpeg", Data: []byte(strings.Repeat(strconv.FormatInt(n, 10)+" ", 20_000))}
		_, err := w.Revise(ctx, "Name it", func(d *job.Document) error {
			d.Unit = strconv.FormatInt(n, 10)
			d.Photos.Foil = &job.Photo{File: "p.jpg", SHA256: photo.SHA256()}
			return nil
		}, photo)
		if err != nil {
			return err
		}
		fmt.Println(n)
	}
}

// runChild starts a child on the job, kills it after the given time, and
// returns the last number that it said.
func runChild(t *testing.T, path string, life time.Duration, env ...string) (last int64, said string) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(append(os.Environ(), childJob+"="+path), env...)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	first := true
	for lines.Scan() {
		said = lines.Text()
		n, err := strconv.ParseInt(said, 10, 64)
		if err != nil {
			break
		}
		if last = n; first && life > 0 {
			first = false
			time.AfterFunc(life, func() { child.Process.Kill() })
		}
	}
	_, _ = io.Copy(io.Discard, out)
	_ = child.Wait() // it was killed
	return last, said
}

// A process that is killed while it saves loses nothing that it said was
// saved, leaves a sound file, and doesn't block the next.
func TestKilledWhileSaving(t *testing.T) {
	dir := t.TempDir()
	paths := map[string]string{"file": filepath.Join(dir, "a.foilside"), "folder": filepath.Join(dir, "a")}
	made(t, paths["file"], job.Snapshot{Document: storetest.Document(t)}, nil)
	if err := jobfile.Unpack(t.Context(), paths["file"], paths["folder"]); err != nil {
		t.Fatal(err)
	}
	for name, path := range paths {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(2, 1))
			for round := range 20 {
				life := time.Duration(rng.IntN(30_000)) * time.Microsecond
				last, said := runChild(t, path, life)
				if last == 0 {
					t.Fatalf("round %d: the child said %q", round, said)
				}
				stillSound(t, path, last)
			}
		})
	}
}

// stillSound holds a job to the last change that was acknowledged. One more may
// be there: it was saved, and the word of it came too late.
func stillSound(t *testing.T, path string, last int64) {
	t.Helper()
	looked, err := look(t, path).Load(t.Context()) // also the first to come may only look
	if err != nil {
		t.Fatal(err)
	}
	f, err := jobfile.Open(t.Context(), path, jobfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := f.Load(t.Context())
	if err != nil || s.Revision != looked.Revision {
		t.Fatalf("looked at revision %d, opened revision %d, %v", looked.Revision, s.Revision, err)
	}
	unit, _ := strconv.ParseInt(s.Document.Unit, 10, 64)
	if unit < last || unit > last+1 || int64(s.History.Done) != s.Revision {
		t.Errorf("acknowledged %d, kept %d at revision %d with %d steps", last, unit, s.Revision, s.History.Done)
	}
	if _, err := f.Photo(t.Context(), s.Document.Photos.Foil.SHA256); err != nil {
		t.Errorf("the photo of change %d: %v", unit, err)
	}
	if file, ok := f.(*jobfile.File); ok {
		intact(t, file.Path())
	}
}

// intact asks SQLite itself.
func intact(t *testing.T, path string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var verdict string
	if err := db.QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity: %s, %v", verdict, err)
	}
}

// A system that refuses to let the file grow (as a full disk does) costs
// nothing that was saved.
func TestTheSystemHasNoRoom(t *testing.T) {
	if !canLimit {
		t.Skip("this system can't limit the size of files")
	}
	dir := t.TempDir()
	file, folder := filepath.Join(dir, "a.foilside"), filepath.Join(dir, "a")
	made(t, file, job.Snapshot{Document: storetest.Document(t)}, nil)
	if err := jobfile.Unpack(t.Context(), file, folder); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ path, limit string }{"file": {file, "1000000"}, "folder": {folder, "20000"}} {
		t.Run(name, func(t *testing.T) {
			last, said := runChild(t, c.path, 0, fileSizeLimit+"="+c.limit)
			if !strings.Contains(said, "on the disk while saving") && !strings.Contains(said, "the disk takes no more data while saving") {
				t.Fatalf("the child said %q after %d", said, last)
			}
			if name == "file" {
				stillSound(t, c.path, last)
				return
			}
			s, err := look(t, c.path).Load(t.Context())
			if err != nil || s.Revision != last {
				t.Errorf("acknowledged %d, kept %d, %v", last, s.Revision, err)
			}
		})
	}
}
