package copper_test

import (
	"image"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/specimen/knownboard"

	"golang.org/x/image/draw"
)

// twelveMegapixels is the foil photo of SUPPLY91 enlarged to 12 megapixels,
// with the evidence at the same places.
func twelveMegapixels(b *testing.B) (*image.RGBA, copper.Evidence) {
	b.Helper()
	src, input := knownboard.Real(b, "SUPPLY91").Pixels, loadInput(b, "SUPPLY91")
	const w = 5005
	h := w * src.Rect.Dy() / src.Rect.Dx()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.BiLinear.Scale(img, img.Rect, src, src.Rect, draw.Src, nil)
	k := float64(w) / float64(src.Rect.Dx())
	var ev copper.Evidence
	for _, p := range input.Copper {
		ev.Copper = append(ev.Copper, p.Scale(k))
	}
	for _, p := range input.Bare {
		ev.Bare = append(ev.Bare, p.Scale(k))
	}
	for _, s := range input.Joins {
		ev.Joins = append(ev.Joins, copper.Segment{From: s.From.Scale(k), To: s.To.Scale(k)})
	}
	return img, ev
}

func BenchmarkTrace12MP(b *testing.B) {
	img, ev := twelveMegapixels(b)
	for b.Loop() {
		if _, err := copper.Trace(b.Context(), img, ev, copper.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCorrection12MP(b *testing.B) {
	img, ev := twelveMegapixels(b)
	plate, err := copper.Look(b.Context(), img, ev, copper.Options{})
	if err != nil {
		b.Fatal(err)
	}
	ev.Cuts = append(ev.Cuts, copper.Segment{From: geom.Point{X: 2000, Y: 500}, To: geom.Point{X: 2100, Y: 500}})
	for b.Loop() {
		if _, err := plate.Nets(b.Context(), ev); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStroke12MP(b *testing.B) {
	img, ev := twelveMegapixels(b)
	plate, err := copper.Look(b.Context(), img, ev, copper.Options{})
	if err != nil {
		b.Fatal(err)
	}
	path := []geom.Point{{X: 2000, Y: 500}, {X: 2400, Y: 700}, {X: 2700, Y: 1500}}
	ev.Strokes = append(ev.Strokes, copper.Stroke{Points: path, Radius: 20, Copper: true})
	for b.Loop() {
		if _, err := plate.Nets(b.Context(), ev); err != nil {
			b.Fatal(err)
		}
	}
}
