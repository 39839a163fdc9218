package webui_test

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"foilside/internal/webui"
)

// TestFiles holds what `go install` relies on: the page is there, all that it
// names is there, and nothing in it points outside.
func TestFiles(t *testing.T) {
	files, err := webui.Files()
	if err != nil {
		t.Fatal(err)
	}
	index, err := fs.ReadFile(files, "index.html")
	if err != nil {
		t.Fatalf("%v; run `npm run build` in ui/", err)
	}
	refs := regexp.MustCompile(`(?:src|href)="([^"]+)"`).FindAllStringSubmatch(string(index), -1)
	if len(refs) < 2 {
		t.Fatalf("index.html names %d files, want its script and its style at least", len(refs))
	}
	for _, ref := range refs {
		if ref[1] == "data:," {
			continue
		}
		if _, err := fs.Stat(files, strings.TrimPrefix(ref[1], "./")); err != nil {
			t.Errorf("index.html names %s: %v", ref[1], err)
		}
	}
}

// TestNoSourceMaps keeps the binary small and this machine's paths out of it.
func TestNoSourceMaps(t *testing.T) {
	files, err := webui.Files()
	if err != nil {
		t.Fatal(err)
	}
	err = fs.WalkDir(files, ".", func(path string, _ fs.DirEntry, err error) error {
		if strings.HasSuffix(path, ".map") {
			t.Errorf("%s is a source map", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
