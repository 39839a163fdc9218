package specimen

import (
	"context"
	"image"
	"testing"

	"foilside/internal/num/geom"
)

// brightness is the mean of the linear light of the pixels that show a class.
func brightness(img image.Image, class *image.Gray, c Class) float64 {
	sum, n := 0.0, 0
	for i, k := range class.Pix {
		if Class(k) == c {
			_, g, _, _ := img.At(i%class.Stride, i/class.Stride).RGBA()
			sum += float64(linear(g >> 8))
			n++
		}
	}
	return sum / float64(max(1, n))
}

func TestBacklight(t *testing.T) {
	b, err := Generate(context.Background(), 20, 0, 3)
	if err != nil {
		t.Fatal(err)
	}
	b.Laminate, b.Mask = Epoxy, NoMask
	plain := PlainShot(700, 1).Foil
	ratio := func(f FaceShot) float64 {
		s, err := RenderFace(context.Background(), b, true, f, 700, 500, 1)
		if err != nil {
			t.Fatal(err)
		}
		img, err := s.Image()
		if err != nil {
			t.Fatal(err)
		}
		return brightness(img, s.Class, BareBoard) / brightness(img, s.Class, CopperClass)
	}
	front, back := ratio(plain), ratio(plain.Backlit())
	if back < 2*front || back < 2 {
		t.Errorf("board against copper: %.2f from the front, %.2f from behind; light from behind should part them", front, back)
	}
}

func TestCloseUp(t *testing.T) {
	b, err := Generate(context.Background(), 20, 0, 3)
	if err != nil {
		t.Fatal(err)
	}
	aim := b.Pads[4].At
	s, err := RenderFace(context.Background(), b, true, PlainShot(600, 1).Foil.CloseUp(aim, 3), 600, 450, 1)
	if err != nil {
		t.Fatal(err)
	}
	if d := s.View.ToPixel(aim).Dist(geom.Point{X: 299.5, Y: 224.5}); d > 1 {
		t.Errorf("the place aimed at is %.1f pixels off the middle", d)
	}
	whole, err := RenderFace(context.Background(), b, true, PlainShot(600, 1).Foil, 600, 450, 1)
	if err != nil {
		t.Fatal(err)
	}
	if k := s.View.pixelsPerMM(b.Size) / whole.View.pixelsPerMM(b.Size); k < 2.9 || k > 3.1 {
		t.Errorf("a close-up of 3 is %.2f times larger", k)
	}
}
