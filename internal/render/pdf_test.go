package render

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"foilside/internal/schematic"
	"foilside/internal/schematic/trial"
)

// text reads a PDF's words with pdftotext.
func text(t *testing.T, file []byte) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed")
	}
	name := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func TestPDFCanBeSearched(t *testing.T) {
	n := amplifier(t)
	d := drawn(t, n.Circuit, schematic.Options{})
	for _, paper := range []Paper{A4, A3, Letter} {
		file, err := PDF(d, White(), Page{Paper: paper, Title: n.Name, Lines: []string{"drawn by a test"}})
		if err != nil {
			t.Fatal(err)
		}
		words := text(t, file)
		for _, want := range []string{"4.7 kΩ", "100 µF", "BC547", "Q2", n.Name, "drawn by a test"} {
			if !strings.Contains(words, want) {
				t.Errorf("%s: %q can't be found in the PDF", paper, want)
			}
		}
	}
}

func TestFilesAreTheSameEveryTime(t *testing.T) {
	n := amplifier(t)
	d := drawn(t, n.Circuit, schematic.Options{})
	a, _ := PDF(d, White(), Page{Title: n.Name})
	b, _ := PDF(drawn(t, n.Circuit, schematic.Options{}), White(), Page{Title: n.Name})
	if !bytes.Equal(a, b) {
		t.Error("two PDFs of one circuit differ")
	}
}

// A larger circuit has a page for each sheet, and each page names its sheet and
// the nets that go on.
func TestEachSheetHasItsPage(t *testing.T) {
	c, err := trial.Composed(3, 130)
	if err != nil {
		t.Fatal(err)
	}
	d := drawn(t, c, schematic.Options{Attempts: 1})
	if len(d.Sheets) != 3 {
		t.Fatalf("%d sheets", len(d.Sheets))
	}
	file, err := PDF(d, White(), Page{Title: "composed"})
	if err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("FOILSIDE_PICTURES"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, "composed.pdf"), file, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	pages := strings.Split(text(t, file), "\f")
	for i, want := range []string{"Sheet 1 of 3", "Sheet 2 of 3", "Sheet 3 of 3"} {
		if i >= len(pages) || !strings.Contains(pages[i], want) || !strings.Contains(pages[i], " / ") {
			t.Errorf("page %d lacks %q or where nets go on", i+1, want)
		}
	}
}
