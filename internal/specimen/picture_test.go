package specimen

import (
	"math"
	"testing"
)

func TestSmearIsTwoBoxMeans(t *testing.T) {
	g := grid{w: 23, h: 17}
	v := make([]float32, g.w*g.h)
	v[8*g.w+11] = 1
	smear(v, g, 2)
	// A point spread by two box means of 5 pixels each way: the convolution of
	// two rows of fifths is 1 2 3 4 5 4 3 2 1 over 25.
	tri := []float64{1, 2, 3, 4, 5, 4, 3, 2, 1}
	for y := range g.h {
		for x := range g.w {
			want := 0.0
			if dx, dy := x-11+4, y-8+4; dx >= 0 && dx < 9 && dy >= 0 && dy < 9 {
				want = tri[dx] * tri[dy] / 625
			}
			if got := float64(v[y*g.w+x]); math.Abs(got-want) > 1e-6 {
				t.Fatalf("at (%d, %d) %.5f, want %.5f", x, y, got, want)
			}
		}
	}
}

func TestBlurAgainstPlainSum(t *testing.T) {
	const w, h, sigma = 19, 13, 1.4
	r := raw{w, h, make([]float32, 3*w*h)}
	rnd := newRand(1, 1)
	for i := range r.v {
		r.v[i] = rnd.Float32()
	}
	src := append([]float32(nil), r.v...)
	blurRaw(r, sigma)
	k := gauss(sigma)
	n := len(k) - 1
	for y := range h {
		for x := range w {
			for c := range 3 {
				want := 0.0
				for dy := -n; dy <= n; dy++ {
					for dx := -n; dx <= n; dx++ {
						yy, xx := max(0, min(h-1, y+dy)), max(0, min(w-1, x+dx))
						want += float64(k[max(dx, -dx)]*k[max(dy, -dy)]) * float64(src[3*(yy*w+xx)+c])
					}
				}
				if got := float64(r.v[3*(y*w+x)+c]); math.Abs(got-want) > 1e-5 {
					t.Fatalf("at (%d, %d) channel %d: %.6f, want %.6f", x, y, c, got, want)
				}
			}
		}
	}
}

func TestToneCurve(t *testing.T) {
	for _, contrast := range []float64{0, 0.5, 1} {
		c := toneCurve(contrast)
		for i := 1; i < len(c); i++ {
			if c[i] < c[i-1] {
				t.Fatalf("contrast %g: the curve falls at %d", contrast, i)
			}
		}
		if c[0] != 0 || c[len(c)-1] < 250 {
			t.Errorf("contrast %g: the curve runs from %d to %d", contrast, c[0], c[len(c)-1])
		}
	}
	// IEC 61966-2-1: linear 0.2140 (step 219 of 1024) is encoded as 0.5, 128 of 255.
	if got := toneCurve(0)[219]; got < 126 || got > 129 {
		t.Errorf("middle grey is encoded as %d, want 128", got)
	}
}

func TestLinearIsNearTheStandardCurve(t *testing.T) {
	for v := range uint32(256) {
		c := float64(v) / 255
		want := c / 12.92 // IEC 61966-2-1
		if c > 0.04045 {
			want = math.Pow((c+0.055)/1.055, 2.4)
		}
		if got := float64(linear(v)); math.Abs(got-want) > 0.002 {
			t.Errorf("%d: %.4f, the standard says %.4f", v, got, want)
		}
	}
}

func TestTileHasNoSeam(t *testing.T) {
	n := newTile(newRand(3, 1), 32)
	sum := 0.0
	for i := range 500 {
		x, y := float64(i)*1.37, float64(i)*0.71
		if a, b := n.at(x, y), n.at(x+tileSize, y-tileSize); math.Abs(float64(a-b)) > 1e-4 {
			t.Fatalf("at (%g, %g) the tile does not repeat: %g and %g", x, y, a, b)
		}
		if d := n.at(x+0.01, y) - n.at(x, y); math.Abs(float64(d)) > 0.1 {
			t.Fatalf("the noise jumps by %g at (%g, %g)", d, x, y)
		}
		sum += float64(n.at(x, y))
	}
	if math.Abs(sum/500) > 0.15 {
		t.Errorf("the noise has a mean of %g", sum/500)
	}
}

func TestMattAnswerFollowsTheLamp(t *testing.T) {
	l := Light{Azimuth: 0, Elevation: 0.8, Lamp: 1, Glare: 0.5}
	k := newLookups(l, nil, newRand(1, 1))
	flat, toward, away := k.matt.at(0, 0), k.matt.at(0.5, 0), k.matt.at(-0.5, 0)
	if !(toward > flat && flat > away) {
		t.Errorf("a slope toward the lamp shows %.2f, level %.2f, away %.2f", toward, flat, away)
	}
	if math.Abs(float64(flat)-1) > 0.02 {
		t.Errorf("a level white sheet shows %.3f, want 1", flat)
	}
	if s := l.shadow(); s.X >= 0 || math.Abs(s.Y) > 1e-9 {
		t.Errorf("the shadow falls to %v, not away from the lamp", s)
	}
}

func TestLayAndCover(t *testing.T) {
	s := newSurface(grid{scale: 10, w: 1, h: 1})
	red, blue := material{colour: rgb{1, 0, 0}}, material{colour: rgb{0, 0, 1}}
	s.lay(0, 1, red, 0, 0)
	s.lay(0, 0.25, blue, 0, 0)
	if c := s.mat[0].colour; math.Abs(float64(c[0])-0.75) > 1e-6 || math.Abs(float64(c[2])-0.25) > 1e-6 {
		t.Errorf("a quarter of blue over red is %v", c)
	}
	for _, k := range []struct{ d, want float64 }{{-1, 1}, {0, 0.5}, {0.025, 0.25}, {1, 0}} {
		if got := s.cover(k.d); math.Abs(float64(got)-k.want) > 1e-6 {
			t.Errorf("an edge %g mm off covers %.3f of a pixel of 0.1 mm, want %.3f", k.d, got, k.want)
		}
	}
}
