package render

import (
	"bytes"
	"encoding/base64"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/image/font/sfnt"

	"foilside/internal/circuit"
	"foilside/internal/schematic"
)

// A title block lies under the drawing, on nothing, and within its size.
func TestTheTitleBlockLiesUnderTheDrawing(t *testing.T) {
	n := amplifier(t)
	d := drawn(t, n.Circuit, schematic.Options{})
	titled, err := d.Titled("Amplifier, unbranded", []string{"Symbols by IEC 60617", "Voltages in the state \"idle\"", strings.Repeat("a long line ", 20)})
	if err != nil {
		t.Fatal(err)
	}
	if c := titled.Conflicts(); len(c) > 0 {
		t.Errorf("%v", c)
	}
	for _, x := range titled.Texts {
		if x.Box.X+x.Box.W > titled.Width || x.Box.Y+x.Box.H > titled.Height {
			t.Errorf("%q lies beyond the edge", x.Text)
		}
		if x.Role == schematic.TitleText && x.Box.Y < d.Height {
			t.Errorf("%q lies in the drawing", x.Text)
		}
	}
	if len(d.Texts) == len(titled.Texts) || len(d.Ruled) > 0 {
		t.Error("the drawing itself was changed")
	}
}

// The font inside an SVG can be read, and has every character that is used.
func TestTheFontInsideHasEveryCharacter(t *testing.T) {
	d := drawn(t, amplifier(t).Circuit, schematic.Options{})
	data, err := SVGWithFont(d, White())
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`base64,([A-Za-z0-9+/=]+)\)`).FindSubmatch(data)
	if m == nil {
		t.Fatal("no font inside")
	}
	ttf, err := base64.StdEncoding.DecodeString(string(m[1]))
	if err != nil {
		t.Fatal(err)
	}
	f, err := sfnt.Parse(ttf)
	if err != nil {
		t.Fatal(err)
	}
	var buf sfnt.Buffer
	for _, x := range d.Texts {
		for _, r := range x.Text {
			if g, _ := f.GlyphIndex(&buf, r); g == 0 {
				t.Errorf("%q of %q is not in the font", r, x.Text)
			}
		}
	}
	if bytes.Contains(SVG(d, White()), []byte("@font-face")) {
		t.Error("the plain drawing carries a font")
	}
}

// Suspects are framed in all forms, in dashes, so that print without colour
// shows them.
func TestSuspectsAreFramed(t *testing.T) {
	d := drawn(t, amplifier(t).Circuit, schematic.Options{})
	marked := d.MarkSuspects([]circuit.PartRef{"Q2", "R1"})
	svg := string(SVG(marked, White()))
	for _, want := range []string{`class="suspect" data-part="Q2" data-rank="1"`, `class="suspect" data-part="R1" data-rank="2"`} {
		if !strings.Contains(svg, want) {
			t.Errorf("the drawing lacks %s", want)
		}
	}
	if a, b := len(listOf(d).lines), len(listOf(marked).lines); b != a+2 {
		t.Errorf("%d lines became %d", a, b)
	}
	if strings.Contains(string(SVG(d, White())), "data-rank") {
		t.Error("the drawing itself was changed")
	}
}
