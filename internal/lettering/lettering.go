package lettering

import (
	_ "embed" // the font files
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Weight is how heavy a text is printed.
type Weight int

// The weights.
const (
	Plain Weight = iota
	Bold
)

// Ascent and Descent are how far capitals with an accent and descenders reach
// from the baseline, as parts of the size. A text's box spans both.
const (
	Ascent  = 0.80
	Descent = 0.22
)

//go:embed fonts/DejaVuSans.ttf
var plainTTF []byte

//go:embed fonts/DejaVuSans-Bold.ttf
var boldTTF []byte

// TTF returns the font file of a weight. The caller must not change it.
func TTF(w Weight) []byte {
	if w == Bold {
		return boldTTF
	}
	return plainTTF
}

// Ruler measures texts and remembers the characters it met. It is for one
// goroutine.
type Ruler struct {
	faces [2]face
}

type face struct {
	font   *sfnt.Font
	widths map[rune]float64 // advance at size 1
}

// NewRuler opens both fonts.
//
// Errors:  an embedded font that can't be read: a damaged build.
func NewRuler() (*Ruler, error) {
	r := &Ruler{}
	for i, w := range []Weight{Plain, Bold} {
		f, err := sfnt.Parse(TTF(w))
		if err != nil {
			return nil, fmt.Errorf("the built-in font can't be read, the program file is damaged: %w", err)
		}
		r.faces[i] = face{font: f, widths: map[rune]float64{}}
	}
	return r, nil
}

// Width is how wide the text is at the given size, in the unit of the size.
// A character that the font lacks counts as its box of a missing character.
func (r *Ruler) Width(text string, w Weight, size float64) float64 {
	f := &r.faces[0]
	if w == Bold {
		f = &r.faces[1]
	}
	sum := 0.0
	for _, c := range text {
		sum += f.advance(c)
	}
	return sum * size
}

// advance is measured at 1000 to the em, where the hinting is off.
func (f *face) advance(r rune) float64 {
	if w, ok := f.widths[r]; ok {
		return w
	}
	const em = 1000
	w := 0.6
	var buf sfnt.Buffer
	if i, err := f.font.GlyphIndex(&buf, r); err == nil {
		if a, err := f.font.GlyphAdvance(&buf, i, fixed.I(em), font.HintingNone); err == nil {
			w = float64(a) / 64 / em
		}
	}
	f.widths[r] = w
	return w
}
