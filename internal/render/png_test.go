package render

import (
	"bytes"
	"image/color"
	"image/png"
	"math"
	"testing"

	"foilside/internal/schematic"
)

// The PNG shows ink where the scene has wires, and paper at its corners.
func TestPNGHasTheWires(t *testing.T) {
	d := drawn(t, amplifier(t).Circuit, schematic.Options{})
	for name, look := range map[string]Look{"paper": WarmPaper(), "white": White(), "night": Night()} {
		t.Run(name, func(t *testing.T) {
			data, err := PNG(d, look, 200)
			if err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			k := 200 / 25.4 / 4
			if w := img.Bounds().Dx(); w != int(math.Ceil(d.Width*k)) {
				t.Errorf("%d pixels wide", w)
			}
			if c := img.At(0, 0); !near(c, look.Paper) {
				t.Errorf("the corner is %v", c)
			}
			for _, w := range d.Wires {
				mid := schematic.Point{X: (w.Points[0].X + w.Points[1].X) / 2, Y: (w.Points[0].Y + w.Points[1].Y) / 2}
				if c := img.At(int(mid.X*k), int(mid.Y*k)); !near(c, look.Ink) {
					t.Errorf("no ink on the wire of %s at %v: %v", w.Net, mid, c)
				}
			}
		})
	}
}

func near(a color.Color, b color.RGBA) bool {
	r, g, bl, _ := a.RGBA()
	d := func(x uint32, y uint8) float64 { return math.Abs(float64(x>>8) - float64(y)) }
	return d(r, b.R)+d(g, b.G)+d(bl, b.B) < 90
}

func TestPNGRefusesWhatIsTooLarge(t *testing.T) {
	d := drawn(t, amplifier(t).Circuit, schematic.Options{})
	for _, dpi := range []float64{0, -3, math.NaN(), math.Inf(1), 1e6} {
		if _, err := PNG(d, White(), dpi); err == nil {
			t.Errorf("%g dots per inch were taken", dpi)
		}
	}
}
