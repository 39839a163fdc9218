package align_test

import (
	"context"
	"errors"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"foilside/internal/align"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// taken renders one board under a shot changed by change.
func taken(t *testing.T, seed uint64, change func(*specimen.Board, *specimen.Shot)) (component, foil *photo.Photo, truth specimen.Truth) {
	t.Helper()
	ctx := context.Background()
	board, err := specimen.Generate(ctx, 40, 0.2, seed)
	if err != nil {
		t.Fatal(err)
	}
	shot := specimen.RandomShot(1000, seed, 0.2)
	change(&board, &shot)
	s, err := specimen.Render(ctx, board, shot)
	if err != nil {
		t.Fatal(err)
	}
	return decoded(t, s.Component.JPEG), decoded(t, s.Foil.JPEG), s.Truth
}

func decoded(t *testing.T, jpeg []byte) *photo.Photo {
	t.Helper()
	p, err := photo.Decode(context.Background(), jpeg, "made.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// blurred is a photo out of focus.
func blurred(p *photo.Photo, sigma float64) *photo.Photo {
	img := image.NewRGBA(p.Pixels.Rect)
	w, h := p.Width(), p.Height()
	for c := range 4 {
		plane := raster.NewPlane(w, h)
		for i := range plane.Pix {
			plane.Pix[i] = float32(p.Pixels.Pix[4*i+c])
		}
		for i, v := range raster.Smooth(plane, sigma).Pix {
			img.Pix[4*i+c] = uint8(math.Round(float64(v)))
		}
	}
	return &photo.Photo{Pixels: img}
}

// covered is a photo with a cloth over all of the board.
func covered(p *photo.Photo) *photo.Photo {
	img := image.NewRGBA(p.Pixels.Rect)
	copy(img.Pix, p.Pixels.Pix)
	w, h := p.Width(), p.Height()
	for y := h / 20; y < h-h/20; y++ {
		for x := w / 20; x < w-w/20; x++ {
			v := uint8(150 + (x*7+y*13)%5)
			img.SetRGBA(x, y, color.RGBA{v, v, v - 20, 255})
		}
	}
	return &photo.Photo{Pixels: img}
}

// stripes is a photo of something that is no board.
func stripes(w, h int) *photo.Photo {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(128 + 60*math.Sin(float64(x)/17)*math.Cos(float64(y)/(23+float64(x)/90)))
			img.SetRGBA(x, y, color.RGBA{v, 255 - v, v / 2, 255})
		}
	}
	return &photo.Photo{Pixels: img}
}

// Photos that can't be laid over each other are refused, with what is wrong
// and what to do, or laid right all the same; never wrong.
func TestUnfitPhotos(t *testing.T) {
	plain := func(*specimen.Board, *specimen.Shot) {}
	good, under, _ := taken(t, 41, plain)
	oblique, _, obliqueTruth := taken(t, 41, func(_ *specimen.Board, s *specimen.Shot) { s.Component.Camera.Tilt = math.Pi / 3 })
	sixty, _, sixtyTruth := taken(t, 44, func(_ *specimen.Board, s *specimen.Shot) { s.Component.Camera.Tilt = math.Pi / 3 })
	_, underSixty, _ := taken(t, 44, plain)
	cut, _, cutTruth := taken(t, 41, func(b *specimen.Board, s *specimen.Shot) {
		s.Height = 700
		s.Component.Camera.Zoom, s.Component.Camera.Aim = 1.7, b.Size.Scale(0.35)
	})
	again, _, _ := taken(t, 41, func(_ *specimen.Board, s *specimen.Shot) { s.Seed += 3; s.Component.Camera.Spin += 0.1 })
	for _, c := range []struct {
		name            string
		component, foil *photo.Photo
		truth           *specimen.Truth // nil: no map may be taken
		says            string          // in the message of a refusal
	}{
		{"blurred beyond use", blurred(good, 24), under, nil, "blurred"},
		{"taken at 60°", oblique, under, &obliqueTruth, "far from straight above"},
		{"another taken at 60°", sixty, underSixty, &sixtyTruth, ""},
		{"cut off by the frame", cut, under, &cutTruth, ""},
		{"two photos of the same face", good, again, nil, "same face"},
		{"something else", good, stripes(1000, 700), nil, ""},
		{"fully covered", covered(good), under, nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, err := align.Automatic(context.Background(), c.component, c.foil, nil, align.Options{})
			var p *align.Problem
			switch {
			case errors.As(err, &p):
				t.Log(p)
				if !strings.Contains(p.Reason, c.says) || p.Advice == "" {
					t.Errorf("says %q, advises %q; want %q", p.Reason, p.Advice, c.says)
				}
			case err != nil:
				t.Fatal(err)
			case c.truth == nil:
				t.Errorf("a map was taken: %s", a.Confidence)
			default:
				if w := wrongness(&a, *c.truth, c.foil.Width()); w > tooWrong || !a.Mirrored() {
					t.Errorf("a wrong map was taken: %.1f %% off, %s", 100*w, a.Confidence)
				}
			}
		})
	}
}

// A board without any part shows its holes from both sides: the easiest of all.
func TestBareBoard(t *testing.T) {
	component, foil, truth := taken(t, 43, func(b *specimen.Board, _ *specimen.Shot) {
		for i := range b.Parts {
			b.Parts[i].Missing = true
		}
		for i := range b.Pads {
			b.Pads[i].Solder = specimen.Solder{}
		}
		b.Jumpers, b.Drops = nil, nil
	})
	a, err := align.Automatic(context.Background(), component, foil, nil, align.Options{})
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for i := range 25 {
		mm := geom.Point{X: truth.Board.Size.X * float64(i%5) / 4, Y: truth.Board.Size.Y * float64(i/5) / 4}
		worst = max(worst, a.ToFoil(truth.Component.ToPixel(mm)).Dist(truth.Foil.ToPixel(mm)))
	}
	t.Logf("worst of 25 places over the whole board %.2f px of %d; %s", worst, foil.Width(), a.Confidence)
	if worst > 0.5 {
		t.Errorf("off by %.2f px", worst)
	}
}
