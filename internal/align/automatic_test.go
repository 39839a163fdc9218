package align

import (
	"context"
	"errors"
	"image"
	"image/color"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

func readPhoto(t testing.TB, file string) *photo.Photo {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(sharedPhotos(t), file))
	if err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(context.Background(), data, file)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// errorShares is the median and the largest error against the foil photo's longer
// side.
func errorShares(b truth, a *Alignment) (median, largest float64) {
	median, largest = placement(b.Pairs, a.ToFoil)
	longer := float64(max(a.Sizes.Foil.Width, a.Sizes.Foil.Height))
	return median / longer, largest / longer
}

func TestAutomaticOnRealBoards(t *testing.T) {
	for _, name := range []string{"SUPPLY81", "SUPPLY91"} {
		t.Run(name, func(t *testing.T) {
			sight, err := Look(context.Background(), readPhoto(t, name+"-component.jpg"), readPhoto(t, name+"-foil.jpg"), Options{})
			if err != nil {
				t.Fatal(err)
			}
			a, err := sight.Find(context.Background(), nil, Options{})
			if err != nil {
				t.Fatal(err)
			}
			photosJoinPairs(t, sight, readTruth(t, name))
			median, largest := errorShares(readTruth(t, name), &a)
			t.Logf("median %.2f %%, largest %.2f %% of the photo's longer side; %s", 100*median, 100*largest, a.Confidence)
			if median > 0.003 || largest > 0.01 {
				t.Errorf("median %.2f %%, largest %.2f %% off", 100*median, 100*largest)
			}
			if a.Found != FoundAutomatic || !a.Mirrored() || a.Confidence == "" {
				t.Errorf("found %q, mirrored %v, confidence %q", a.Found, a.Mirrored(), a.Confidence)
			}
		})
	}
}

// A foil photo that was mirrored before it came here fits only without turning
// the board over, and that must be said.
func TestAutomaticNoticesAMirroredPhoto(t *testing.T) {
	_, err := Automatic(context.Background(), readPhoto(t, "SUPPLY91-component.jpg"), readPhoto(t, "SUPPLY91-foil-asfound.jpg"), nil, Options{})
	var p *Problem
	if !errors.As(err, &p) || p.Kind != SameFace {
		t.Errorf("got %v, want %s", err, SameFace)
	}
}

// Hard cases: rows of like holes, two kinds of perfboard, photos of different
// boards. A right map or a refusal, never a wrong map.
func TestAutomaticRefusesRatherThanGuess(t *testing.T) {
	for _, c := range []struct{ name, component, foil, truth string }{
		{"card with rows of like chips", "CARD84-component.jpg", "CARD84-foil.jpg", "CARD84"},
		{"the same, mirrored by hand", "CARD84-component.jpg", "CARD84-foil-asfound.jpg", ""},
		{"perfboard", "PERFA-component.jpg", "PERFA-foil.jpg", "PERFA"},
		{"two different perfboards", "PERFA-component.jpg", "PERFD-foil.jpg", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, err := Automatic(context.Background(), readPhoto(t, c.component), readPhoto(t, c.foil), nil, Options{})
			var p *Problem
			switch {
			case errors.As(err, &p):
				if p.Kind != Unsure && p.Kind != SameFace || p.Advice == "" {
					t.Errorf("refused with %s: %v", p.Kind, p)
				}
			case err != nil:
				t.Fatal(err)
			case c.truth == "":
				t.Errorf("a map was taken: %s", a.Confidence)
			default:
				if median, largest := errorShares(readTruth(t, c.truth), &a); median > 0.01 || largest > 0.03 {
					t.Errorf("a wrong map was taken: median %.1f %%, largest %.1f %%", 100*median, 100*largest)
				}
			}
		})
	}
}

// One mark settles what a square perfboard leaves open, and the map says that
// it rests on it.
func TestOneMarkIsEnough(t *testing.T) {
	b := readTruth(t, "PERFA")
	a, err := Automatic(context.Background(), readPhoto(t, "PERFA-component.jpg"), readPhoto(t, "PERFA-foil.jpg"), b.Pairs[:1], Options{})
	if err != nil {
		t.Fatal(err)
	}
	median, largest := errorShares(b, &a)
	if median > 0.015 || largest > 0.03 || !a.Mirrored() {
		t.Errorf("median %.1f %%, largest %.1f %%, mirrored %v", 100*median, 100*largest, a.Mirrored())
	}
	if !slices.ContainsFunc(a.Problems, func(p Problem) bool { return p.Kind == FewToJudge }) {
		t.Errorf("problems %v don't say that the map rests on a mark", a.Problems)
	}
}

// PERFB has six pairs; every second leaves three, from which OpenCV makes no
// map. With the photos at hand they serve as marks.
func TestThreePairsAndThePhotos(t *testing.T) {
	b := readTruth(t, "PERFB")
	even, odd := everySecond(b.Pairs)
	a, err := Find(context.Background(), readPhoto(t, "PERFB-component.jpg"), readPhoto(t, "PERFB-foil.jpg"), even, Options{})
	if err != nil {
		t.Fatal(err)
	}
	median, largest := placement(odd, a.ToFoil)
	t.Logf("median %.1f, largest %.1f px of %d; %s", median, largest, b.Foil.Width, a.Confidence)
	// The marks themselves are good to 12 px of 4608 (photos/README.md).
	if median > 15 || largest > 30 || a.Found != FoundAutomatic {
		t.Errorf("median %.1f, largest %.1f px, found %q", median, largest, a.Found)
	}
}

// flatPhoto is a photo of nothing but noise.
func flatPhoto(w, h int, seed uint64) *photo.Photo {
	rng := rand.New(rand.NewPCG(seed, 1))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(128 + 4*rng.NormFloat64())
			img.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	return &photo.Photo{Pixels: img}
}

func TestAutomaticBadInput(t *testing.T) {
	a, b := flatPhoto(400, 300, 1), flatPhoto(400, 300, 2)
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	p := Pair{geom.Point{X: 100, Y: 100}, geom.Point{X: 300, Y: 100}}
	for _, c := range []struct {
		name  string
		ctx   context.Context
		hints []Pair
		kind  Kind
	}{
		{"no board in either photo", context.Background(), nil, Unsure},
		{"a mark outside", context.Background(), []Pair{{geom.Point{X: 500}, geom.Point{}}}, Outside},
		{"one mark twice", context.Background(), []Pair{p, p}, Repeated},
		{"stopped", stopped, nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Automatic(c.ctx, a, b, c.hints, Options{})
			var problem *Problem
			switch {
			case c.kind == "" && !errors.Is(err, context.Canceled):
				t.Errorf("got %v, want context.Canceled", err)
			case c.kind != "" && (!errors.As(err, &problem) || problem.Kind != c.kind || problem.Next() == ""):
				t.Errorf("got %v, want %s", err, c.kind)
			}
		})
	}
}

func TestAutomaticReportsProgress(t *testing.T) {
	last, calls := -1.0, 0
	opts := Options{Progress: func(done float64, what string) {
		if done < last || done > 1 || what == "" {
			t.Errorf("progress %v %q after %v", done, what, last)
		}
		last = done
		calls++
	}}
	_, err := Automatic(context.Background(), flatPhoto(400, 300, 1), flatPhoto(400, 300, 2), nil, opts)
	if err == nil || calls < 3 {
		t.Errorf("%d reports, error %v", calls, err)
	}
}

func BenchmarkAutomaticSupply81(b *testing.B) {
	component, foil := readPhoto(b, "SUPPLY81-component.jpg"), readPhoto(b, "SUPPLY81-foil.jpg")
	for b.Loop() {
		if _, err := Automatic(context.Background(), component, foil, nil, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// Two photos of 16 megapixels; the search ends in a refusal there, after the
// same work.
func BenchmarkAutomaticPerfb16MP(b *testing.B) {
	component, foil := readPhoto(b, "PERFB-component.jpg"), readPhoto(b, "PERFB-foil.jpg")
	for b.Loop() {
		var p *Problem
		if _, err := Automatic(context.Background(), component, foil, nil, Options{}); err != nil && !errors.As(err, &p) {
			b.Fatal(err)
		}
	}
}
