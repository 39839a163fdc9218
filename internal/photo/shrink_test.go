package photo

import (
	"context"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"foilside/internal/num/geom"
)

func noise(w, h int) *image.RGBA {
	rng := rand.New(rand.NewPCG(1, 2))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = uint8(rng.UintN(256))
	}
	for i := 3; i < len(img.Pix); i += 4 {
		img.Pix[i] = 255
	}
	return img
}

// slowShrink is the definition: the rounded mean of each block.
func slowShrink(img *image.RGBA, n, x, y int) color.RGBA {
	var sum [3]float64
	for dy := range n {
		for dx := range n {
			c := img.RGBAAt(x*n+dx, y*n+dy)
			sum[0] += float64(c.R)
			sum[1] += float64(c.G)
			sum[2] += float64(c.B)
		}
	}
	mean := func(s float64) uint8 { return uint8(math.Floor(s/float64(n*n) + 0.5)) }
	return color.RGBA{mean(sum[0]), mean(sum[1]), mean(sum[2]), 255}
}

func TestShrinkAveragesBlocks(t *testing.T) {
	img := noise(103, 77)
	for _, n := range []int{2, 3, 4, 7} {
		small, err := Shrink(context.Background(), img, n)
		if err != nil {
			t.Fatal(err)
		}
		if small.Rect.Dx() != 103/n || small.Rect.Dy() != 77/n {
			t.Fatalf("by %d: size %v", n, small.Rect)
		}
		for y := range small.Rect.Dy() {
			for x := range small.Rect.Dx() {
				if got, want := small.RGBAAt(x, y), slowShrink(img, n, x, y); got != want {
					t.Fatalf("by %d at (%d, %d): %v, want %v", n, x, y, got, want)
				}
			}
		}
	}
}

func TestShrinkEdges(t *testing.T) {
	img := noise(5, 3)
	same, err := Shrink(context.Background(), img, 1)
	if err != nil || same != img {
		t.Error("by 1 must return the image itself")
	}
	dot, err := Shrink(context.Background(), img, 100)
	if err != nil || dot.Rect.Dx() != 1 || dot.Rect.Dy() != 1 || dot.Pix[3] != 255 {
		t.Errorf("by more than the size: %v, %v", dot, err)
	}
}

func TestWorkingKeepsTheBudget(t *testing.T) {
	small, n, err := Working(context.Background(), noise(400, 300), 30_000)
	if err != nil || n != 2 || small.Rect.Dx() != 200 {
		t.Errorf("got factor %d, size %v, %v; want 2, 200 × 150", n, small.Rect, err)
	}
}

func TestPixelPlacesSurviveShrinking(t *testing.T) {
	// The first pixel of a copy by 4 covers photo pixels 0 to 3: centre 1.5.
	if got := PixelAt(geom.Point{}, 4); got != (geom.Point{X: 1.5, Y: 1.5}) {
		t.Errorf("first pixel lands on %v, want 1.5, 1.5", got)
	}
	p := geom.Point{X: 12.25, Y: -3}
	if back := ShrunkPixel(PixelAt(p, 7), 7); back.Dist(p) > 1e-12 {
		t.Errorf("there and back gives %v, want %v", back, p)
	}
}

func TestPyramidHalves(t *testing.T) {
	p, err := NewPyramid(context.Background(), noise(256, 100), 32)
	if err != nil {
		t.Fatal(err)
	}
	if len(p) != 4 || p[3].Rect.Dx() != 32 || p[3].Rect.Dy() != 12 {
		t.Errorf("%d levels, last %v; want 4, 32 × 12", len(p), p[len(p)-1].Rect)
	}
	for want, level := range map[int]int{20: 3, 32: 3, 33: 2, 256: 0, 1000: 0} {
		if got := p.Level(want); got != level {
			t.Errorf("level for %d pixels is %d, want %d", want, got, level)
		}
	}
}

func TestPreviewDecodesAgain(t *testing.T) {
	data, err := JPEG(corners(80, 120), 90)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Decode(context.Background(), data, "preview")
	if err != nil || cornerNames(p.Pixels) != "RGBW" {
		t.Errorf("preview came back as %v, %v", p, err)
	}
}

func BenchmarkShrinkBy4of12MP(b *testing.B) {
	img := noise(4000, 3000)
	for b.Loop() {
		if _, err := Shrink(context.Background(), img, 4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecode12MP(b *testing.B) {
	data := jpegBytes(b, litBoard(4000, 3000))
	for b.Loop() {
		if _, err := Decode(context.Background(), data, "board.jpg"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTurn12MP(b *testing.B) {
	img := noise(4000, 3000)
	for b.Loop() {
		if _, err := turnUpright(context.Background(), img, 6); err != nil {
			b.Fatal(err)
		}
	}
}

// A part of a photo is a photo: the search for joints works on the board's box.
func TestPartOfAPhoto(t *testing.T) {
	img := noise(103, 77)
	part := img.SubImage(image.Rect(10, 20, 70, 60)).(*image.RGBA)
	alone := image.NewRGBA(image.Rect(0, 0, 60, 40))
	for y := range 40 {
		for x := range 60 {
			alone.SetRGBA(x, y, img.RGBAAt(10+x, 20+y))
		}
	}
	a, err1 := Shrink(context.Background(), part, 4)
	b, err2 := Shrink(context.Background(), alone, 4)
	if err1 != nil || err2 != nil || string(a.Pix) != string(b.Pix) {
		t.Errorf("shrunk part differs from the same pixels alone (%v, %v)", err1, err2)
	}
	c, err1 := Lab(context.Background(), part)
	d, err2 := Lab(context.Background(), alone)
	if err1 != nil || err2 != nil || !slices.Equal(c.L.Pix, d.L.Pix) || !slices.Equal(c.B.Pix, d.B.Pix) {
		t.Errorf("colours of the part differ from the same pixels alone (%v, %v)", err1, err2)
	}
}
