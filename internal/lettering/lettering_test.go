package lettering

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
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

// The general font reader is the judge: in a subset every character of the
// texts has the outline and the advance of the whole font, and no other is in it.
func TestASubsetHasTheCharactersOfItsTexts(t *testing.T) {
	texts := []string{"R1", "4.7 kΩ", "100 µF é", "−12 V", "∞"}
	for _, w := range []Weight{Plain, Bold} {
		data, err := Subset(w, texts)
		if err != nil {
			t.Fatal(err)
		}
		if len(data) > 12000 {
			t.Errorf("%d bytes for a few characters", len(data))
		}
		small, err := sfnt.Parse(data)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := sfnt.Parse(TTF(w))
		if err != nil {
			t.Fatal(err)
		}
		var buf sfnt.Buffer
		for _, r := range strings.Join(texts, "") {
			a, _ := small.GlyphIndex(&buf, r)
			b, _ := whole.GlyphIndex(&buf, r)
			if a == 0 {
				t.Errorf("%q is not in the subset", r)
				continue
			}
			x, err := small.LoadGlyph(&buf, a, fixed.I(1000), nil)
			if err != nil {
				t.Fatalf("%q: %v", r, err)
			}
			got := fmt.Sprint(x)
			y, _ := whole.LoadGlyph(&buf, b, fixed.I(1000), nil)
			if want := fmt.Sprint(y); got != want {
				t.Errorf("%q is drawn otherwise", r)
			}
			m, _ := small.GlyphAdvance(&buf, a, fixed.I(1000), font.HintingNone)
			n, _ := whole.GlyphAdvance(&buf, b, fixed.I(1000), font.HintingNone)
			if m != n {
				t.Errorf("%q is %v wide, not %v", r, m, n)
			}
		}
		if g, _ := small.GlyphIndex(&buf, 'Z'); g != 0 {
			t.Error("a character that no text has is in the subset")
		}
	}
}
