package knownboard

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

// RealNames are the real boards with truth.
func RealNames() []string { return []string{"SUPPLY81", "SUPPLY91"} }

// Folder is the folder of real photographs with truth, which lies beside the
// repository and is no part of it; the test is skipped without it.
func Folder(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for ; filepath.Dir(dir) != dir; dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, "shared", "photos", "truth")); err == nil {
			return filepath.Join(dir, "shared", "photos")
		}
	}
	t.Skip("no shared/photos beside the repository: real photographs can't be checked here")
	return ""
}

// Real reads the foil photograph of a real board with its hand-made truth.
func Real(t testing.TB, name string) Board {
	t.Helper()
	dir := Folder(t)
	data, err := os.ReadFile(filepath.Join(dir, name+"-foil.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(t.Context(), data, name)
	if err != nil {
		t.Fatal(err)
	}
	return Board{What: name, Pixels: p.Pixels, Joints: readTruth(t, filepath.Join(dir, "truth", name+".json"))}
}

func readTruth(t testing.TB, file string) []Joint {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Joints []struct {
			Foil [2]float64
			Net  string
			Sure bool
		}
	}
	if err := json.Unmarshal(data, &truth); err != nil {
		t.Fatal(err)
	}
	var out []Joint
	for _, j := range truth.Joints {
		out = append(out, Joint{geom.Point{X: j.Foil[0], Y: j.Foil[1]}, j.Net, j.Sure})
	}
	return out
}
