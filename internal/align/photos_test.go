package align

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"foilside/internal/num/geom"
)

// sharedPhotos finds the folder of real photographs beside the repository.
func sharedPhotos(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		candidate := filepath.Join(dir, "shared", "photos")
		if _, err := os.Stat(candidate); err == nil {
			return candidate
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Skip("the real photographs (shared/photos beside the repository) are not on this machine")
		}
		dir = up
	}
}

// truth is what truth/NAME.json says about a board.
type truth struct {
	Component struct{ Width, Height int } `json:"component_image"`
	Foil      struct{ Width, Height int } `json:"foil_image"`
	Pairs     []Pair                      `json:"pairs"`
}

func (b truth) sizes() Sizes {
	return Sizes{Size(b.Component), Size(b.Foil)}
}

func readTruth(t testing.TB, name string) truth {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(sharedPhotos(t), "truth", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var b truth
	if err := json.Unmarshal(data, &b); err != nil {
		t.Fatal(err)
	}
	return b
}

// everySecond splits pairs into those with even index and those with odd.
func everySecond(pairs []Pair) (even, odd []Pair) {
	for i, p := range pairs {
		if i%2 == 0 {
			even = append(even, p)
		} else {
			odd = append(odd, p)
		}
	}
	return even, odd
}

// placement is the median and the largest distance, foil pixels, of mapped
// places from where they were marked.
func placement(pairs []Pair, toFoil func(geom.Point) geom.Point) (median, largest float64) {
	errs := make([]float64, len(pairs))
	for i, p := range pairs {
		errs[i] = toFoil(p.Component).Dist(p.Foil)
	}
	slices.Sort(errs)
	n := len(errs)
	return (errs[(n-1)/2] + errs[n/2]) / 2, errs[n-1]
}
