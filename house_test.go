// Package foilside_test holds the rules of the house that a machine can see.
package foilside_test

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// order lists the rooms from the ground up: a package imports only from above
// it in this list (docs/architecture.md).
var order = []string{
	"quantity", "num/approx", "num/geom", "num/raster", "num/sparse", "num/bayes", "circuit", "marking",
	"photo", "align", "copper/pixelnet", "copper", "board", "sim", "meter", "diagnosis", "charge",
	"lettering", "stage", "schematic", "schematic/trial", "sheet", "render", "specimen", "specimen/knownboard", "specimen/cmd/trainingset", "job", "job/storetest", "jobfile", "bench", "httpapi", "webui",
}

type pkg struct {
	ImportPath string
	Imports    []string
	Doc        string
	GoFiles    []string
}

func packages(t *testing.T) []pkg {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports,Doc,GoFiles", "./...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []pkg
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func room(path string) (string, bool) { return strings.CutPrefix(path, "foilside/internal/") }

func TestImportsRunOneWay(t *testing.T) {
	for _, p := range packages(t) {
		name, ok := room(p.ImportPath)
		if !ok {
			continue
		}
		at := slices.Index(order, name)
		if at < 0 {
			t.Errorf("%s has no place in the order of rooms", name)
			continue
		}
		for _, imp := range p.Imports {
			if other, ok := room(imp); ok && slices.Index(order, other) >= at {
				t.Errorf("%s imports %s, which lies after it", name, other)
			}
			if strings.HasPrefix(imp, "github.com/ncruces/") && name != "jobfile" {
				t.Errorf("%s imports the database driver; only jobfile may", name)
			}
		}
	}
}

func TestEveryPackageSaysWhatItIsFor(t *testing.T) {
	for _, p := range packages(t) {
		if len(p.GoFiles) > 0 && len(p.Doc) < 40 {
			t.Errorf("%s has no package comment to speak of", p.ImportPath)
		}
	}
}
