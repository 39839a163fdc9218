package httpapi

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"testing"

	"foilside/internal/bench"
	"foilside/internal/job"
)

// boardPhoto is a photograph of a cream board with two brown tracks.
func boardPhoto(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 500, 300))
	fill := func(r image.Rectangle, c color.RGBA) { draw.Draw(img, r, image.NewUniform(c), image.Point{}, draw.Src) }
	fill(img.Rect, color.RGBA{222, 208, 170, 255})
	fill(image.Rect(80, 100, 420, 120), color.RGBA{130, 70, 40, 255})
	fill(image.Rect(80, 150, 420, 170), color.RGBA{130, 70, 40, 255})
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestCancelStopsTheWork gives a request up in the middle of tracing, as the
// page does when someone presses Cancel: the work ends there, is not taken for
// a result, and is done when asked for again.
func TestCancelStopsTheWork(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	reports, cancelled := 0, false
	progress := func(work string, done float64, _ string) {
		if work != "copper" {
			return
		}
		if cancelled {
			reports++
		}
		if done > 0 && !cancelled {
			cancelled = true
			cancel()
		}
	}
	b, err := bench.New(t.Context(), job.NewMemory(job.Snapshot{}), bench.Options{Now: noon, Progress: progress})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.SetPhoto(t.Context(), job.FoilSide, "foil.png", boardPhoto(t)); err != nil {
		t.Fatal(err)
	}
	l := Over(b, LiveOptions{Now: noon})
	for _, p := range []Sample{{Point{250, 110}, true}, {Point{250, 200}, false}} {
		if _, err := l.Do(t.Context(), Command{Do: "sample", Sample: &p}); err != nil {
			t.Fatal(err)
		}
	}
	var p *Problem
	if _, err := l.Copper(ctx); !errors.As(err, &p) || p.Kind != KindStopped {
		t.Fatalf("tracing that was given up answers %v", err)
	}
	if reports > 0 {
		t.Errorf("it went on for %d more steps", reports)
	}
	c, err := l.Copper(t.Context())
	if err != nil || len(c.Nets) != 2 {
		t.Errorf("asked for again it gives %d nets, %v; want the two tracks", len(c.Nets), err)
	}
}
