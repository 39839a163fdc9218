package lettering

import (
	"math"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// The oracle is the library's own text drawer at a large size.
func TestWidthIsTheDrawersWidth(t *testing.T) {
	ruler, err := NewRuler()
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"R12", "4.7 kΩ", "100 µF", "BC547B", "il", "", "Ж ± ≤"} {
		for w, ttf := range [][]byte{TTF(Plain), TTF(Bold)} {
			f, err := opentype.Parse(ttf)
			if err != nil {
				t.Fatal(err)
			}
			face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 500, DPI: 72, Hinting: font.HintingNone})
			if err != nil {
				t.Fatal(err)
			}
			var want fixed.Int26_6
			for _, r := range text {
				a, _ := face.GlyphAdvance(r)
				want += a
			}
			if got := ruler.Width(text, Weight(w), 500); math.Abs(got-float64(want)/64) > 0.5 {
				t.Errorf("%q weight %d: %.2f wide, the drawer says %.2f", text, w, got, float64(want)/64)
			}
		}
	}
}
