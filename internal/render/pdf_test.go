package render

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"foilside/internal/schematic"
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
