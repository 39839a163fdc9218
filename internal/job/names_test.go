package job_test

import (
	"encoding/json"
	"testing"
	"time"

	"foilside/internal/job"
	"foilside/internal/num/geom"
)

func TestPhotosAreFilesBesideTheText(t *testing.T) {
	for _, name := range []string{"top.jpg", "my pictures/top side (2).jpeg", "Öl & Fett.png", "a.b.heic", "..top.jpg", "job"} {
		if why := job.UnsafeFileName(name); why != "" {
			t.Errorf("%q is refused: %s", name, why)
		}
	}
	for _, name := range []string{
		"", ".", "..", "../a.jpg", "a/../../b.jpg", "a/./b.jpg", "a//b.jpg", "/etc/passwd", `C:\a.jpg`, `a\b.jpg`, "a:b", "a\x00b", "a\nb",
		" a.jpg", "a.jpg ", "job.yaml", "x.YML", "a.foilside", "job.history/1", "x/job.history/1", "a.json", "a.lock", "dir./a.jpg", "dir /a.jpg", "a.", "con?.jpg", "a*",
	} {
		if job.UnsafeFileName(name) == "" {
			t.Errorf("%q is taken", name)
		}
	}
}

// What the API sends is written as it stands in the text.
func TestRecordsHaveTheirJSON(t *testing.T) {
	d := contract(t)
	part, _ := d.Part("R9")
	for want, v := range map[string]any{
		`{"kind":"resistor","value":"1k","leads":{"1":{"at":[412,318]},"2":{"at":[498,320]}}}`:                part,
		`{"mode":"volts-dc","red":"out","black":"chassis","state":"talking","meter":"mine","value":"4.31 V"}`: d.Readings[0],
		`{"part":"LS1","seen":"silent","state":"talking"}`:                                                    d.Symptoms[0],
		`{"time":"2023-11-14T22:13:20Z","part":"C1","did":"replaced","note":"was dry"}`:                       job.Work{Time: genesis, Part: "C1", Did: "replaced", Note: "was dry"},
		`{"at":[412,318]}`: part.Leads[0].Place,
		`"out"`:            d.Readings[0].Red,
	} {
		got, err := json.Marshal(v)
		if err != nil || string(got) != want {
			t.Errorf("got  %s, %v\nwant %s", got, err, want)
		}
	}
	for _, text := range []string{`"out"`, `{"at":[1,2]}`, `{"joint":[1.5,2]}`} {
		var p job.Place
		if err := json.Unmarshal([]byte(text), &p); err != nil {
			t.Errorf("%s: %v", text, err)
		}
		if again, err := json.Marshal(p); err != nil || string(again) != text {
			t.Errorf("%s came back as %s, %v", text, again, err)
		}
	}
	for _, text := range []string{`""`, `{"over":[1,2]}`, `{"at":[1]}`, `[1,2]`, `null`} {
		var p job.Place
		if json.Unmarshal([]byte(text), &p) == nil {
			t.Errorf("%s is taken for a place: %+v", text, p)
		}
	}
}

func TestATextTakesOverThePhotosItNames(t *testing.T) {
	sha := job.Blob{Data: []byte("picture")}.SHA256()
	var old job.Document
	old.Photos.Component = &job.Photo{File: "a.jpg", SHA256: sha}
	d := read(t, "photos: {component: new.jpg, foil: a.jpg}")
	d.AdoptPhotos(old)
	if d.Photos.Of(job.FoilSide).SHA256 != sha || d.Photos.Of(job.ComponentSide).SHA256 != "" {
		t.Errorf("the photos are %+v and %+v", d.Photos.Component, d.Photos.Foil)
	}
}

func TestASessionShowsOnlyWhatIsSaved(t *testing.T) {
	w, err := job.NewSession(t.Context(), job.NewMemory(job.Snapshot{Document: contract(t)}), func() time.Time { return genesis })
	if err != nil {
		t.Fatal(err)
	}
	edit := job.Edit{Op: job.SetOp, Path: []string{"unit"}, Value: json.RawMessage(`"Radio"`)}
	c, err := job.Plan(w.Snapshot().Document, "Name it", edit)
	if err != nil {
		t.Fatal(err)
	}
	got, err := w.Do(t.Context(), c)
	if err != nil || got.Document.Unit != "Radio" || !got.History.Steps[0].Time.Equal(genesis) {
		t.Errorf("after a command: %q, %v", got.Document.Unit, err)
	}
	if got, err = w.Edit(t.Context(), "Name it the same", []job.Edit{edit}); err != nil || got.Revision != 1 {
		t.Errorf("a change that changes nothing was saved: revision %d, %v", got.Revision, err)
	}
	edit.Path = []string{"nonsense"}
	if got, err = w.Edit(t.Context(), "Nonsense", []job.Edit{edit}); err == nil || got.Revision != 1 || w.Snapshot().Document.Unit != "Radio" {
		t.Errorf("a refused edit did something: %+v, %v", got.Revision, err)
	}
}

func TestPixelsArePoints(t *testing.T) {
	p := job.Pixel{3, 4}
	if p.Point() != (geom.Point{X: 3, Y: 4}) || job.PixelAt(p.Point()) != p {
		t.Errorf("%v is the point %v", p, p.Point())
	}
}
