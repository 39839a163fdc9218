package copper_test

import (
	"context"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

var (
	cream = color.RGBA{222, 208, 170, 255}
	brown = color.RGBA{130, 70, 40, 255}
	mat   = color.RGBA{20, 70, 80, 255}
	red   = color.RGBA{190, 40, 45, 255}
)

func paint(img *image.RGBA, r image.Rectangle, c color.Color) {
	draw.Draw(img, r, image.NewUniform(c), image.Point{}, draw.Src)
}

// picture is a cream board with two brown tracks, 30 pixels apart, on a mat.
func picture() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 500, 300))
	paint(img, img.Rect, mat)
	paint(img, image.Rect(40, 40, 460, 260), cream)
	paint(img, image.Rect(80, 100, 420, 120), brown)
	paint(img, image.Rect(80, 150, 420, 170), brown)
	return img
}

func pointed() copper.Evidence {
	return copper.Evidence{Copper: []geom.Point{{X: 100, Y: 110}}, Bare: []geom.Point{{X: 100, Y: 200}}}
}

func netAt(t *testing.T, c *copper.Copper, x, y float64) copper.NetID {
	t.Helper()
	a := c.At(geom.Point{X: x, Y: y})
	if a.Net == nil {
		return 0
	}
	return *a.Net
}

func TestTracksOnABoardOnAMat(t *testing.T) {
	for _, c := range []struct {
		name string
		ev   copper.Evidence
	}{{"with samples", pointed()}, {"without samples", copper.Evidence{}}} {
		t.Run(c.name, func(t *testing.T) {
			got, err := copper.Trace(t.Context(), picture(), c.ev, copper.Options{MMPerPixel: 0.1})
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Nets) != 2 {
				t.Fatalf("%d nets, want the two tracks: the mat is no copper", len(got.Nets))
			}
			a, b := netAt(t, got, 250, 110), netAt(t, got, 250, 160)
			if a != 1 || b != 2 || netAt(t, got, 250, 135) != 0 || netAt(t, got, 20, 20) != 0 {
				t.Errorf("tracks on %d and %d, want 1 and 2; between them and on the mat nothing", a, b)
			}
			for _, n := range got.Nets { // 340 × 20 pixels of 0.1 mm
				if n.AreaMM2 == nil || *n.AreaMM2 < 63 || *n.AreaMM2 > 72 {
					t.Errorf("net %d: area %v mm², want about 68", n.ID, n.AreaMM2)
				}
			}
		})
	}
}

// A red wire lies across both tracks: they stay two, and each runs on beneath.
func TestCopperRunsOnBeneathAWire(t *testing.T) {
	img := picture()
	paint(img, image.Rect(240, 60, 256, 240), red)
	got, err := copper.Trace(t.Context(), img, pointed(), copper.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, y := range []float64{110, 160} {
		if l, r := netAt(t, got, 100, y), netAt(t, got, 400, y); l == 0 || l != r {
			t.Errorf("track at y %v: nets %d and %d left and right of the wire, want one", y, l, r)
		}
	}
	if netAt(t, got, 100, 110) == netAt(t, got, 100, 160) {
		t.Error("the wire joins the two tracks")
	}
}

func TestBadInput(t *testing.T) {
	stopped, stop := context.WithCancel(t.Context())
	stop()
	off := geom.Point{X: 600, Y: 10}
	for _, c := range []struct {
		name string
		ctx  context.Context
		ev   copper.Evidence
		want string
	}{
		{"sample off the photo", t.Context(), copper.Evidence{Bare: []geom.Point{{X: 5, Y: 5}, off}}, "bare sample 2 at (600, 10) lies outside"},
		{"cut off the photo", t.Context(), copper.Evidence{Cuts: []copper.Segment{{From: off}}}, "cut 1 at (600, 10) lies outside"},
		{"measured off the photo", t.Context(), copper.Evidence{Measured: []copper.Continuity{{B: off}}}, "measured continuity 1"},
		{"stopped", stopped, pointed(), context.Canceled.Error()},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := copper.Trace(c.ctx, picture(), c.ev, copper.Options{})
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error with %q", err, c.want)
			}
			var outside *copper.OutsideError
			if strings.Contains(c.want, "off") && !errors.As(err, &outside) {
				t.Errorf("%T is no *OutsideError", err)
			}
		})
	}
}

func TestABlankPhotoHasNoNets(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 300, 200))
	paint(img, img.Rect, cream)
	got, err := copper.Trace(t.Context(), img, copper.Evidence{}, copper.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Nets) != 0 || len(got.Joints) != 0 || len(got.Doubtful) != 0 {
		t.Errorf("%d nets, %d joints, %d doubts, want none", len(got.Nets), len(got.Joints), len(got.Doubtful))
	}
	if data, err := json.Marshal(got); err != nil || string(data) != `{"nets":[],"joints":[],"at":[],"doubtful":[]}` {
		t.Errorf("as JSON: %s, %v", data, err)
	}
}

func TestRecordAsJSON(t *testing.T) {
	got, err := copper.Trace(t.Context(), picture(), pointed(), copper.Options{Joints: []geom.Point{{X: 100, Y: 110}}})
	if err != nil {
		t.Fatal(err)
	}
	got.Asked = append(got.Asked, got.At(geom.Point{X: 250, Y: 60}))
	data, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"nets":[{"id":1,"area_mm2":null`, `"joints":[{"x":100,"y":110,"net":1}]`,
		`"at":[{"x":250,"y":60,"net":null,"confidence":0}]`, `"doubtful":[]`,
	} {
		if !strings.Contains(string(data), want) {
			t.Errorf("%s\nlacks %s", data, want)
		}
	}
}
