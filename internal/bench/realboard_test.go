package bench

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilside/internal/job"
)

// realPhotos is the folder of real photographs beside the repository. They are
// not part of the project; without them the test is skipped.
func realPhotos(t *testing.T) string {
	t.Helper()
	dir, err := filepath.Abs("../../../shared/photos")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the real photographs (shared/photos beside the repository) are not here")
	}
	return dir
}

// truthJoint is a joint of the hand-made truth.
type truthJoint struct {
	Foil [2]float64 `json:"foil"`
	Net  string     `json:"net"`
	Sure bool       `json:"sure"`
}

func readTruth(t *testing.T, dir, board string) []truthJoint {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "truth", board+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Joints []truthJoint `json:"joints"`
	}
	if err := json.Unmarshal(data, &truth); err != nil {
		t.Fatal(err)
	}
	return truth.Joints
}

// openReal opens the job text of a real board with its photographs.
func openReal(t *testing.T, dir, text string) *Bench {
	t.Helper()
	data, err := os.ReadFile(text)
	if err != nil {
		t.Fatal(err)
	}
	d, problems := job.ReadText(data, filepath.Base(text))
	if err := job.AsError(problems); err != nil {
		t.Fatal(err)
	}
	var photos []job.Blob
	for _, p := range []*job.Photo{d.Photos.Component, d.Photos.Foil} {
		data, err := os.ReadFile(filepath.Join(dir, p.File))
		if err != nil {
			t.Fatal(err)
		}
		b := job.Blob{Name: p.File, MediaType: "image/jpeg", Data: data}
		p.SHA256 = b.SHA256()
		photos = append(photos, b)
	}
	b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}, photos...), Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A real board goes the whole way: two photographs, eight pairs, twelve colour
// samples and parts placed by their legend become the circuit that the copper
// has, its drawing, its readings and its sheet.
func TestARealBoardGoesTheWholeWay(t *testing.T) {
	if testing.Short() {
		t.Skip("decodes and traces a 6-megapixel photograph")
	}
	dir := realPhotos(t)
	b := openReal(t, dir, "testdata/supply91.yaml")
	built, err := b.Circuit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if built.Landed == nil || len(built.Circuit.Parts) != 31 {
		t.Fatalf("%d parts", len(built.Circuit.Parts))
	}
	compareWithTruth(t, built, readTruth(t, dir, "SUPPLY91"))

	d, err := b.Drawing(t.Context(), DrawOptions{})
	if err != nil || len(d.Parts) < len(built.Circuit.Parts) || d.Metrics.Overlaps != 0 {
		t.Errorf("drawing: %d parts, %+v, %v", len(d.Parts), d.Metrics, err)
	}
	// The bench supply stands at its voltage across the raw capacitor.
	e, err := b.Expect(t.Context(), Query{Mode: "volts-dc", Red: "raw", State: "raw"})
	if err != nil || e.Nominal == nil || math.Abs(*e.Nominal-20) > 0.2 {
		t.Errorf("raw: %+v, %v", e, err)
	}
	// Through R8 and R7 from the +5 V output to ground, as by the closed form:
	// R7 alone, since nothing else leads from there with the power off.
	e, err = b.Expect(t.Context(), Query{Mode: "ohms", Red: "plus5", State: "off"})
	if err != nil || e.Nominal == nil || *e.Nominal < 1500 || *e.Nominal > 2250 {
		t.Errorf("plus5: %+v, %v", e, err)
	}
	html, err := b.Sheet(t.Context(), SheetOptions{Form: "html"})
	if err != nil || !strings.Contains(string(html), "1N5401") || !strings.Contains(string(html), "<svg") {
		t.Errorf("sheet of %d bytes, %v", len(html), err)
	}
}

// compareWithTruth holds every two placed leads against the hand-made truth:
// on one copper net there exactly when they are on one here.
func compareWithTruth(t *testing.T, built *Built, joints []truthJoint) {
	t.Helper()
	type lead struct {
		name, truth string
		net         int
	}
	var leads []lead
	for _, p := range built.Landed.Placed {
		best, dist := truthJoint{}, math.Inf(1)
		for _, j := range joints {
			if d := math.Hypot(j.Foil[0]-p.At.X, j.Foil[1]-p.At.Y); d < dist {
				best, dist = j, d
			}
		}
		if dist < 40 && best.Sure {
			leads = append(leads, lead{string(p.Lead.Part) + "." + string(p.Lead.Lead), best.Net, int(p.Copper)})
		}
	}
	if len(leads) < 70 {
		t.Errorf("only %d leads landed at a joint of the truth", len(leads))
	}
	for i, a := range leads {
		for _, c := range leads[:i] {
			if (a.truth == c.truth) != (a.net == c.net) {
				t.Errorf("%s (%s) and %s (%s): on one copper net here: %v", a.name, a.truth, c.name, c.truth, a.net == c.net)
			}
		}
	}
	t.Logf("%d leads compared, every pair agrees unless said", len(leads))
}
