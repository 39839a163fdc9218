package httpapi

import (
	"bytes"
	"strings"
	"testing"
)

// Each wish changes the drawing as it says.
func TestDrawingWishes(t *testing.T) {
	l, _ := liveBench(t)
	for name, row := range map[string]struct {
		wish  DrawingWish
		holds []string
		lacks []string
	}{
		"on the page":      {DrawingWish{Standard: "iec", Look: "screen"}, []string{`data-standard="iec"`, "4.7 kΩ"}, []string{"Symbols by", "@font-face", "suspect\""}},
		"letter code":      {DrawingWish{Standard: "ieee", Values: "code"}, []string{`data-standard="ieee"`, "4k7"}, []string{"4.7 kΩ"}},
		"to keep":          {DrawingWish{Look: "print"}, []string{"Symbols by IEC 60617", "@font-face", "Intercom"}, nil},
		"with test points": {DrawingWish{Points: true}, []string{`class="testpoint"`}, nil},
		"PDF":              {DrawingWish{Form: "pdf", Look: "print"}, []string{"%PDF-"}, nil},
		"PNG":              {DrawingWish{Form: "png", Look: "print"}, []string{"\x89PNG"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			data, err := l.Drawing(t.Context(), row.wish)
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range row.holds {
				if !bytes.Contains(data, []byte(want)) {
					t.Errorf("it lacks %q", want)
				}
			}
			for _, no := range row.lacks {
				if strings.Contains(string(data), no) {
					t.Errorf("it holds %q", no)
				}
			}
		})
	}
	if _, err := l.Drawing(t.Context(), DrawingWish{Form: "doc"}); err == nil {
		t.Error("a form that there is not was made")
	}
}
