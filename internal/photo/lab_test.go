package photo

import (
	"context"
	"image"
	"image/color"
	"math"
	"testing"

	"foilside/internal/num/geom"
)

// slowLab is the formula as printed, in float64: the oracle for the tables.
// IEC 61966-2-1:1999 §5.2 and CIE 15:2004 §8.2.1; the white is the matrix's
// row sums.
func slowLab(r, g, b, gain float64) (l, a, bb float64) {
	lin := func(v float64) float64 {
		v /= 255
		if v <= 0.04045 {
			return gain * v / 12.92
		}
		return gain * math.Pow((v+0.055)/1.055, 2.4)
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := 0.4124*lin(r) + 0.3576*lin(g) + 0.1805*lin(b)
	y := 0.2126*lin(r) + 0.7152*lin(g) + 0.0722*lin(b)
	z := 0.0193*lin(r) + 0.1192*lin(g) + 0.9505*lin(b)
	fx, fy, fz := f(x/0.9505), f(y), f(z/1.0890)
	return 116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)
}

func onePixel(c color.RGBA) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 1, 1))
	img.SetRGBA(0, 0, c)
	return img
}

// Published values: B. Lindbloom's colour calculator, sRGB under D65 (from
// memory). It uses seven-digit matrix entries, hence the 0.05.
func TestLabAgainstPublishedColours(t *testing.T) {
	for _, c := range []struct {
		name    string
		rgb     color.RGBA
		l, a, b float64
	}{
		{"white", color.RGBA{255, 255, 255, 255}, 100, 0, 0},
		{"black", color.RGBA{0, 0, 0, 255}, 0, 0, 0},
		{"red", color.RGBA{255, 0, 0, 255}, 53.2408, 80.0925, 67.2032},
		{"green", color.RGBA{0, 255, 0, 255}, 87.7347, -86.1827, 83.1793},
		{"blue", color.RGBA{0, 0, 255, 255}, 32.2970, 79.1875, -107.8602},
		{"mid grey 119", color.RGBA{119, 119, 119, 255}, 50.034, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			lab, err := Lab(context.Background(), onePixel(c.rgb))
			if err != nil {
				t.Fatal(err)
			}
			l, a, b := lab.L.At(0, 0), lab.A.At(0, 0), lab.B.At(0, 0)
			if math.Abs(float64(l)-c.l) > 0.05 || math.Abs(float64(a)-c.a) > 0.05 || math.Abs(float64(b)-c.b) > 0.05 {
				t.Errorf("got %.3f %.3f %.3f, want %.3f %.3f %.3f", l, a, b, c.l, c.a, c.b)
			}
		})
	}
}

func TestLabAgainstFormula(t *testing.T) {
	// Every 5th step of each channel: 52³ colours in one image.
	const steps = 52
	img := image.NewRGBA(image.Rect(0, 0, steps*steps, steps))
	for r := range steps {
		for g := range steps {
			for b := range steps {
				img.SetRGBA(r*steps+g, b, color.RGBA{uint8(5 * r), uint8(5 * g), uint8(5 * b), 255})
			}
		}
	}
	lab, err := Lab(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for y := range steps {
		for x := range steps * steps {
			c := img.RGBAAt(x, y)
			l, a, b := slowLab(float64(c.R), float64(c.G), float64(c.B), 1)
			worst = max(worst, math.Abs(l-float64(lab.L.At(x, y))), math.Abs(a-float64(lab.A.At(x, y))), math.Abs(b-float64(lab.B.At(x, y))))
		}
	}
	if worst > 0.02 {
		t.Errorf("largest difference from the formula %.4f, documented 0.02", worst)
	}
}

// lamp is a light that falls off to a corner: cos⁴ of the angle from a lamp
// over (0.2, 0.1) of the photo, at a height of 0.9 of its width.
func lamp(x, y, w, h float64) float64 {
	dx, dy := (x/w - 0.2), (y/h-0.1)*h/w
	c2 := 1 / (1 + (dx*dx+dy*dy)/0.81)
	return c2 * c2
}

// litBoard paints laminate with copper tracks and a big ground plane under
// the lamp, in sRGB.
func litBoard(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			reflect := 0.18
			if (x/20)%4 == 0 || (x > w/2 && y > 2*h/3) {
				reflect = 0.45
			}
			v := reflect * lamp(float64(x), float64(y), float64(w), float64(h))
			s := uint8(math.Round(255 * (1.055*math.Pow(v, 1/2.4) - 0.055)))
			img.SetRGBA(x, y, color.RGBA{s, s, s, 255})
		}
	}
	return img
}

func TestFindLightFollowsLampNotCopper(t *testing.T) {
	const w, h = 960, 640
	img := litBoard(w, h)
	light, err := FindLight(context.Background(), img, LightOptions{})
	if err != nil {
		t.Fatal(err)
	}
	// The estimate is relative to its mean, so compare the shape: the ratio to
	// the true lamp must be the same everywhere.
	lo, hi := math.Inf(1), 0.0
	for y := 20; y < h; y += 40 {
		for x := 20; x < w; x += 40 {
			ratio := light.At(geom.Point{X: float64(x), Y: float64(y)}) / lamp(float64(x), float64(y), w, h)
			lo, hi = min(lo, ratio), max(hi, ratio)
		}
	}
	if hi/lo > 1.15 {
		t.Errorf("light is off by a factor %.3f across the board, want below 1.15 (uncorrected it is %.2f)", hi/lo, 1/lamp(w, h, w, h))
	}
	even, err := EvenLab(context.Background(), img, light)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := Lab(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	// Bare laminate near the lamp and in the far corner: same colour once evened.
	near, far := image.Pt(50, 40), image.Pt(w/2-50, h-30)
	before := math.Abs(float64(raw.L.At(near.X, near.Y) - raw.L.At(far.X, far.Y)))
	after := math.Abs(float64(even.L.At(near.X, near.Y) - even.L.At(far.X, far.Y)))
	if after > 2 || before < 5 {
		t.Errorf("laminate differs by %.1f L* before and %.1f after, want > 5 and < 2", before, after)
	}
}

func TestFindLightWithinOutline(t *testing.T) {
	// A board in the middle of a dark table: the table must not count.
	const w, h = 960, 640
	img := litBoard(w, h)
	outline := []geom.Point{{X: 200, Y: 100}, {X: 800, Y: 100}, {X: 800, Y: 560}, {X: 200, Y: 560}}
	for y := range h {
		for x := range w {
			if !geom.Inside(outline, geom.Point{X: float64(x), Y: float64(y)}) {
				img.SetRGBA(x, y, color.RGBA{3, 3, 3, 255})
			}
		}
	}
	light, err := FindLight(context.Background(), img, LightOptions{Within: outline})
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := math.Inf(1), 0.0
	for y := 120; y < 550; y += 40 {
		for x := 220; x < 790; x += 40 {
			ratio := light.At(geom.Point{X: float64(x), Y: float64(y)}) / lamp(float64(x), float64(y), w, h)
			lo, hi = min(lo, ratio), max(hi, ratio)
		}
	}
	if hi/lo > 1.15 {
		t.Errorf("light is off by a factor %.3f across the board", hi/lo)
	}
}

func TestZeroLightIsEven(t *testing.T) {
	if got := (Light{}).At(geom.Point{X: 10, Y: 20}); got != 1 {
		t.Errorf("zero Light gives %v, want 1", got)
	}
	tiny, err := FindLight(context.Background(), corners(10, 10), LightOptions{})
	if err != nil || tiny.At(geom.Point{X: 3, Y: 3}) != 1 {
		t.Errorf("a photo too small to tell gives %v, %v; want even light", tiny.At(geom.Point{X: 3, Y: 3}), err)
	}
}

func BenchmarkLab12MP(b *testing.B) {
	img := litBoard(4000, 3000)
	for b.Loop() {
		if _, err := Lab(context.Background(), img); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFindLight12MP(b *testing.B) {
	img := litBoard(4000, 3000)
	for b.Loop() {
		if _, err := FindLight(context.Background(), img, LightOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
