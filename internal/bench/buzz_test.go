package bench

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"strings"
	"testing"

	"foilside/internal/job"
	"foilside/internal/num/geom"
)

// tracks is a foil photo of cream board with three dark tracks, 30 pixels high,
// that lie 80 apart.
func tracks(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 800, 480))
	draw.Draw(img, img.Rect, image.NewUniform(color.RGBA{222, 208, 170, 255}), image.Point{}, draw.Src)
	for _, y := range []int{100, 180, 260} {
		draw.Draw(img, image.Rect(80, y, 720, y+30), image.NewUniform(color.RGBA{130, 70, 40, 255}), image.Point{}, draw.Src)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A continuity check is evidence in the copper, as a cut or a join is: it
// changes the nets and what is in doubt, and undo takes it back.
func TestAContinuityCheckIsEvidence(t *testing.T) {
	b := openText(t, "copper: {samples: {copper: [[400, 115], [400, 275]], bare: [[400, 150], [40, 40]]}}\n", nil)
	if _, err := b.SetPhoto(t.Context(), job.FoilSide, "foil.png", tracks(t)); err != nil {
		t.Fatal(err)
	}
	state := func() (joined bool, doubtful int) {
		t.Helper()
		c, err := b.Copper(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		one, two := c.At(geom.Point{X: 200, Y: 115}).Net, c.At(geom.Point{X: 200, Y: 195}).Net
		if one == nil || two == nil {
			t.Fatal("a track is on no net")
		}
		return *one == *two, len(c.Doubtful)
	}
	step := func(what string, joined bool, doubtful int) {
		t.Helper()
		if j, d := state(); j != joined || d != doubtful {
			t.Errorf("%s: tracks joined %v with %d places in doubt, want %v and %d", what, j, d, joined, doubtful)
		}
	}
	log := func(red, black, value string) {
		t.Helper()
		if _, err := b.LogReading(t.Context(), Query{Mode: "continuity", Red: red, Black: black}, value, ""); err != nil {
			t.Fatal(err)
		}
	}
	step("at first", false, 0)
	log("joint 200, 115", "joint 200, 195", "joined")
	step("after one beep, which may be misheard", true, 1)
	log("joint 300, 115", "joint 300, 195", "joined")
	step("after two", true, 0)
	for range 2 {
		if _, err := b.Undo(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	step("after undo", false, 0)
	log("joint 200, 115", "joint 600, 115", "joined")
	step("after a check that agrees", false, 0)

	log("joint 200, 115", "joint 200, 115", "joined")
	log("joint 200, 115", "joint 780, 460", "separate")
	got, err := b.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"both leads were held to the same", "no copper any more at foil pixel 780, 460"} {
		found := false
		for _, p := range got.Problems {
			found = found || strings.Contains(p.Text, want)
		}
		if !found {
			t.Errorf("problems %v, want one that says %q", got.Problems, want)
		}
	}
}
