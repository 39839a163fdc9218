package bench

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/specimen"
)

// cracked is the photographed foil side of a board whose tracks have cracks
// each deeper than the one before: from surely whole to surely broken, with
// some that nobody can tell between.
func cracked(t *testing.T) []byte {
	t.Helper()
	b := specimen.Board{Name: "cracks", Size: geom.Point{X: 60, Y: 48}, Laminate: specimen.Phenolic, Finish: specimen.Tinned}
	for k := range 10 {
		y := 5 + 4*float64(k)
		b.Tracks = append(b.Tracks, specimen.Track{Net: string(rune('a' + k)), Width: 2, Path: []geom.Point{{X: 6, Y: y}, {X: 54, Y: y}}})
		for _, x := range []float64{6, 30, 54} {
			b.Pads = append(b.Pads, specimen.Pad{Net: string(rune('a' + k)), At: geom.Point{X: x, Y: y}, Diameter: 2, Hole: 0.8, Solder: specimen.Solder{Spread: 0.9, Height: 0.5, Convex: 0.3, Dull: 0.4}})
		}
	}
	s, err := specimen.Render(t.Context(), b, specimen.PlainShot(1000, 1))
	if err != nil {
		t.Fatal(err)
	}
	seen, err := jpeg.Decode(bytes.NewReader(s.Foil.JPEG))
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(seen.Bounds())
	draw.Draw(img, img.Rect, seen, img.Rect.Min, draw.Src)
	for k := range 20 {
		pads := s.Truth.Joints[k/2*3+k%2 : k/2*3+k%2+2]
		crack(img, pads[0].Foil, pads[1].Foil, 0.35+0.025*float64(k))
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// crack blends bare board's colour over the middle of a track between two
// joints, with the given opacity.
func crack(img *image.RGBA, from, to geom.Point, opacity float64) {
	mid, across := from.Add(to).Scale(0.5), geom.Point{X: from.Y - to.Y, Y: to.X - from.X}
	across = across.Scale(1 / across.Norm())
	bare := mid.Add(across.Scale(32)) // between this track and the next
	c := img.RGBAAt(int(bare.X), int(bare.Y))
	over := image.NewUniform(color.NRGBA{c.R, c.G, c.B, uint8(255 * opacity)})
	for s := -24.0; s <= 24; s++ {
		at := mid.Add(across.Scale(s))
		draw.Draw(img, image.Rect(int(at.X)-3, int(at.Y), int(at.X)+3, int(at.Y)+1), over, image.Point{}, draw.Over)
	}
}
