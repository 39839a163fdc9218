package copper

import (
	"image"
	"math"
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// greyImage turns a plane of 0 to 255 into a photo.
func greyImage(p raster.Plane, gain, lift float32) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, p.W, p.H))
	for i, v := range p.Pix {
		g := uint8(min(max(gain*v+lift+0.5, 0), 255))
		copy(img.Pix[4*i:], []uint8{g, g, g, 255})
	}
	return img
}

// A blurred photo of stripes, and a close-up of its middle, twice as large,
// sharp and darker: there the stripes come out as they are, and elsewhere
// nothing changes.
func TestASharperPhotoIsUsedWhereItIs(t *testing.T) {
	stripes := func(x, y float64) float32 {
		if int(math.Floor(x/6))%2 == 0 {
			return 180
		}
		return 80
	}
	truth, close := raster.NewPlane(400, 300), raster.NewPlane(400, 400)
	for i := range truth.Pix {
		truth.Pix[i] = stripes(float64(i%400)+0.5, float64(i/400))
	}
	for i := range close.Pix { // main pixels 100 to 300 across, 50 to 250 down
		close.Pix[i] = stripes(100+(float64(i%400)+0.5)/2, 0)
	}
	blurred := raster.Gaussian(truth, 2.5)
	main := greyImage(blurred, 1, 0)
	f := Further{Pixels: greyImage(close, 0.8, 5), FromMain: func(p geom.Point) geom.Point {
		return geom.Point{X: (p.X+0.5-100)*2 - 0.5, Y: (p.Y+0.5-50)*2 - 0.5}
	}}
	over, err := f.lay(t.Context(), 400, 300, 1)
	if err != nil {
		t.Fatal(err)
	}
	got := sharpened(main, over)
	wrong := func(img *image.RGBA, x0, y0, x1, y1 int) float64 {
		sum, n := 0.0, 0.0
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				d := float64(img.RGBAAt(x, y).R) - float64(truth.At(x, y))
				sum, n = sum+d*d, n+1
			}
		}
		return math.Sqrt(sum / n)
	}
	if before, after := wrong(main, 150, 100, 250, 200), wrong(got, 150, 100, 250, 200); after > before/2 {
		t.Errorf("inside the close-up grey values are off by %.1f, by %.1f without it: want half at most", after, before)
	}
	for y := range 300 {
		for x := range 60 {
			if got.RGBAAt(x, y) != main.RGBAAt(x, y) {
				t.Fatalf("pixel (%d, %d) outside the close-up changed", x, y)
			}
		}
	}
}

// A photo with light from behind, bright through bare board: its brightness
// speaks for copper where dark and against where bright, and within bounds.
func TestLightFromBehindSpeaks(t *testing.T) {
	q, inside := raster.NewPlane(200, 100), raster.NewMask(200, 100)
	over := laid{covers: inside.Not()}
	for k := range over.rgb {
		over.rgb[k] = raster.NewPlane(200, 100)
	}
	for i := range q.Pix {
		q.Pix[i], inside.Pix[i] = 0.1, 1
		bright := float32(200)
		if i%200 < 100 {
			q.Pix[i], bright = 0.9, 40
		}
		for k := range over.rgb {
			over.rgb[k].Pix[i] = bright
		}
	}
	u := raster.NewPlane(200, 100)
	newBacklight(over).addTo(u, q, inside)
	if dark, bright := u.At(50, 50), u.At(150, 50); dark < 1 || dark > backlitMost || bright > -1 || bright < -backlitMost {
		t.Errorf("log odds %.2f where dark and %.2f where bright, want above 1 and below -1, at most %.0f either way", dark, bright, backlitMost)
	}
}

// What the photo with light from behind has no pixels of, it says nothing about.
func TestLightFromBehindIsSilentWhereItShowsNothing(t *testing.T) {
	q := raster.NewPlane(20, 20)
	over := laid{covers: raster.NewMask(20, 20)}
	for k := range over.rgb {
		over.rgb[k] = raster.NewPlane(20, 20)
	}
	u := raster.NewPlane(20, 20)
	newBacklight(over).addTo(u, q, over.covers.Not())
	for i, v := range u.Pix {
		if v != 0 {
			t.Fatalf("pixel %d: log odds %v, want none", i, v)
		}
	}
}
