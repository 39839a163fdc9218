package bench

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"foilside/internal/job"
)

// picture is a small photograph with some structure.
func picture(t *testing.T, w, h int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, color.RGBA{uint8(x), uint8(y), uint8(x * y / 7), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func dot(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewRGBA(image.Rect(0, 0, 1, 1))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Every refusal says what is wrong and what to do, and leaves the job as it
// was.
func TestPhotographsThatAreRefused(t *testing.T) {
	good := picture(t, 300, 200)
	for _, row := range []struct {
		name, file string
		data       []byte
		says       string
	}{
		{"text named .jpg", "top.jpg", []byte("dear all, here is the photograph"), "no photograph"},
		{"truncated JPEG", "top.jpg", good[:len(good)/2], "damaged or cut short"},
		{"one pixel", "top.png", dot(t), "1 × 1"},
		{"nothing", "top.jpg", nil, "empty"},
		{"the other face's file again", "foil.jpg", good, "same file"},
	} {
		t.Run(row.name, func(t *testing.T) {
			b := openText(t, "unit: A radio\n", nil)
			if _, err := b.SetPhoto(t.Context(), job.FoilSide, "foil.jpg", good); err != nil {
				t.Fatal(err)
			}
			before := string(Text(b.document()))
			_, err := b.SetPhoto(t.Context(), job.ComponentSide, row.file, row.data)
			var f *Fault
			if !errors.As(err, &f) || !f.Input || len(f.Next) == 0 || !strings.Contains(f.Error(), row.says) {
				t.Fatalf("%v does not say %q and what to do", err, row.says)
			}
			if after := string(Text(b.document())); after != before {
				t.Errorf("the job changed:\n%s", after)
			}
		})
	}
}

// pairs are point pairs as a text.
func withPairs(t *testing.T, pairs string) *Bench {
	t.Helper()
	b := openText(t, "align:\n"+pairs, nil)
	for face, size := range map[job.Face]int{job.ComponentSide: 300, job.FoilSide: 320} {
		if _, err := b.SetPhoto(t.Context(), face, string(face)+".jpg", picture(t, size, 200)); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

func TestPairsThatAreRefused(t *testing.T) {
	for _, row := range []struct{ name, pairs, says string }{
		{"collinear", "  - {component: [10, 10], foil: [290, 10]}\n  - {component: [60, 60], foil: [240, 60]}\n  - {component: [110, 110], foil: [190, 110]}\n  - {component: [160, 160], foil: [140, 160]}\n", "line"},
		{"one place twice", "  - {component: [10, 10], foil: [290, 10]}\n  - {component: [10, 10], foil: [290, 10]}\n  - {component: [10, 10], foil: [290, 10]}\n  - {component: [160, 160], foil: [140, 160]}\n", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := withPairs(t, row.pairs).Align(t.Context())
			var f *Fault
			if !errors.As(err, &f) || len(f.Next) == 0 || !strings.Contains(f.Error(), row.says) {
				t.Fatalf("%v does not say %q and what to do", err, row.says)
			}
		})
	}
}

// What is missing is said, with what to do; it is no failure of the program.
func TestWhatIsMissingIsSaid(t *testing.T) {
	b := openText(t, "unit: A radio\n", nil)
	for name, ask := range map[string]func() error{
		"photograph": func() error { _, err := b.Align(t.Context()); return err },
		"copper":     func() error { _, err := b.Copper(t.Context()); return err },
		"parts":      func() error { _, err := b.Drawing(t.Context(), DrawOptions{}); return err },
		"meter":      func() error { _, err := b.meterNamed("mine"); return err },
		"suspects":   func() error { _, err := b.Diagnosis(t.Context()); return err },
	} {
		t.Run(name, func(t *testing.T) {
			err := ask()
			var f *Fault
			if !errors.As(err, &f) || strings.Contains(err.Error(), "mistake inside") {
				t.Errorf("%v", err)
			}
		})
	}
}

func TestUndoAndRedoOverTheBench(t *testing.T) {
	b := openText(t, "unit: A radio\ncommon: chassis\nparts:\n  R1: {kind: resistor, value: 1k, leads: {1: a, 2: chassis}}\n  R2: {kind: resistor, value: 2k, leads: {1: a, 2: chassis}}\n", nil)
	seen := 0
	defer b.Watch(func(job.Snapshot) { seen++ })()
	if _, err := b.LogReading(t.Context(), Query{Mode: "ohms", Red: "a"}, "667", ""); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Undo(t.Context()); err != nil || len(b.document().Readings) != 0 {
		t.Errorf("undo left %d readings, %v", len(b.document().Readings), err)
	}
	if _, err := b.Redo(t.Context()); err != nil || len(b.document().Readings) != 1 {
		t.Errorf("redo left %d readings, %v", len(b.document().Readings), err)
	}
	if _, err := b.Redo(t.Context()); err == nil {
		t.Error("there is nothing to redo, and that is not said")
	}
	if seen != 3 {
		t.Errorf("the watcher was told of %d changes", seen)
	}
}
