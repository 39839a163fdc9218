package photo

import (
	"image"
	"testing"
)

// Colours of 12 megapixels, whose ratio to OpenCV's crosscheck/copper_speed.py
// prints.
func BenchmarkKernel(b *testing.B) {
	img := image.NewRGBA(image.Rect(0, 0, 4000, 3000))
	for i := range img.Pix {
		img.Pix[i] = uint8(i * 7919 >> 3)
	}
	b.Run("Lab", func(b *testing.B) {
		for b.Loop() {
			if _, err := Lab(b.Context(), img); err != nil {
				b.Fatal(err)
			}
		}
	})
}
