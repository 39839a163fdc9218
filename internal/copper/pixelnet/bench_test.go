package pixelnet_test

import (
	"image"
	"testing"

	"foilside/internal/copper/pixelnet"
)

// BenchmarkLook3MP is the network over the working copy of a 12-megapixel photo.
func BenchmarkLook3MP(b *testing.B) {
	net, err := pixelnet.Trained()
	if err != nil {
		b.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, 2000, 1500))
	for i := range img.Pix {
		img.Pix[i] = uint8(i * 7 % 251)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := net.Look(b.Context(), img); err != nil {
			b.Fatal(err)
		}
	}
}
