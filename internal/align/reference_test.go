package align

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"foilside/internal/num/geom"
)

// reference is testdata/opencv_reference.json, written by
// crosscheck/align_reference.py.
type reference struct {
	Boards map[string]struct {
		LeastSquares boardErrors `json:"least_squares"`
		Ransac       boardErrors `json:"ransac"`
	} `json:"boards"`
	Synthetic struct {
		Component [2]int          `json:"component"`
		Foil      [2]int          `json:"foil"`
		Cases     []referenceCase `json:"cases"`
	} `json:"synthetic"`
}

// errorSummary is a median and a largest distance in foil pixels.
type errorSummary struct {
	Median  float64 `json:"median"`
	Largest float64 `json:"largest"`
}

// boardErrors are OpenCV's on one real board; nil where it refuses.
type boardErrors struct {
	Halves     *errorSummary `json:"halves"`
	LeftOneOut *errorSummary `json:"left_one_out"`
}

// referenceCase is one made geometry. Rows are component x, y, foil x, y.
type referenceCase struct {
	Kind         string        `json:"kind"`
	Wrong        []int         `json:"wrong"` // pairs moved away, counted from 1
	Pairs        [][4]float64  `json:"pairs"`
	Test         [][4]float64  `json:"test"`
	LeastSquares *errorSummary `json:"least_squares"`
	Ransac       *errorSummary `json:"ransac"`
}

func (c referenceCase) pairs() []Pair { return pairsOf(c.Pairs) }
func (c referenceCase) test() []Pair  { return pairsOf(c.Test) }

func pairsOf(rows [][4]float64) []Pair {
	var list []Pair
	for _, r := range rows {
		list = append(list, Pair{geom.Point{X: r[0], Y: r[1]}, geom.Point{X: r[2], Y: r[3]}})
	}
	return list
}

func (r reference) sizes() Sizes {
	c, f := r.Synthetic.Component, r.Synthetic.Foil
	return Sizes{Size{c[0], c[1]}, Size{f[0], f[1]}}
}

func readReference(t testing.TB) reference { return readReferenceFile(t, "opencv_reference.json") }

func readReferenceFile(t testing.TB, name string) reference {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	var r reference
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// medianOf sorts a copy.
func medianOf(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
