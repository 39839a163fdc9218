package render

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image/color"
	"strconv"
	"strings"

	"foilside/internal/lettering"
	"foilside/internal/schematic"
)

// drawingCSS colours a drawing; it moves nothing. The class lit, set on all
// that has a net's data-net, shows that net.
const drawingCSS = `.schematic .paper{fill:PAPER}
.schematic .sheet{fill:none;stroke:FAINT;stroke-width:WIDTH}
.schematic .part path,.schematic .wire,.schematic .continues path,.schematic .testpoint path,.schematic .titleblock path,.schematic .suspect path{fill:none;stroke:INK;stroke-width:WIDTH;stroke-linecap:round;stroke-linejoin:round}
.schematic .part .ink,.schematic .continues .ink,.schematic .testpoint .ink{fill:INK}
.schematic .dash{stroke-dasharray:3 2.4}
.schematic .dot{fill:INK}
.schematic .lead{fill:none}
.schematic .label{fill:INK;font-family:"Drawing Sans","DejaVu Sans",Verdana,sans-serif}
.schematic .label[data-role=voltage]{fill:FAINT}
.schematic .wire.lit,.schematic .continues.lit path,.schematic .testpoint.lit path{stroke:LIT;stroke-width:2.2}
.schematic .dot.lit,.schematic .continues.lit .ink,.schematic .label.lit{fill:LIT}
`

// SVG writes the drawing by CONTRACT §4: no transform anywhere, parts, leads,
// wires, dots, continues-marks and labels in the root's user units.
func SVG(d schematic.Drawing, look Look) []byte { return writeSVG(d, look, "") }

// SVGWithFont writes it with the characters it uses of the lettering's typeface
// inside, so that it looks the same wherever it is opened.
//
// Errors:  an embedded font that can't be read.
func SVGWithFont(d schematic.Drawing, look Look) ([]byte, error) {
	var css strings.Builder
	for _, w := range []lettering.Weight{lettering.Plain, lettering.Bold} {
		var texts []string
		for _, t := range d.Texts {
			if t.Bold == (w == lettering.Bold) {
				texts = append(texts, t.Text)
			}
		}
		if len(texts) == 0 {
			continue
		}
		ttf, err := lettering.Subset(w, texts)
		if err != nil {
			return nil, err
		}
		weight := "normal"
		if w == lettering.Bold {
			weight = "bold"
		}
		fmt.Fprintf(&css, "@font-face{font-family:\"Drawing Sans\";font-weight:%s;src:url(data:font/ttf;base64,%s)}\n", weight, base64.StdEncoding.EncodeToString(ttf))
	}
	return writeSVG(d, look, css.String()), nil
}

func writeSVG(d schematic.Drawing, look Look, fonts string) []byte {
	w := &svgWriter{}
	w.head(d, look, fonts)
	for _, s := range d.Sheets {
		w.printf("<rect class=\"sheet\" data-sheet=\"%d\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n", s.Number, num(s.Box.X), num(s.Box.Y), num(s.Box.W), num(s.Box.H))
	}
	for _, x := range d.Wires {
		w.printf("<path class=\"wire\" data-net=\"%s\" d=\"%s\"/>\n", esc(string(x.Net)), wirePath(x.Points))
	}
	for _, x := range d.Dots {
		w.printf("<circle class=\"dot\" data-net=\"%s\" cx=\"%s\" cy=\"%s\" r=\"%s\"/>\n", esc(string(x.Net)), num(x.At.X), num(x.At.Y), num(dotRadius))
	}
	for _, p := range d.Parts {
		w.part(p)
	}
	for _, m := range d.Marks {
		w.printf("<g class=\"continues\" data-net=\"%s\" data-kind=\"%s\" data-x=\"%s\" data-y=\"%s\">", esc(string(m.Net)), m.Kind, num(m.At.X), num(m.At.Y))
		w.strokes(m.Strokes)
		w.printf("</g>\n")
	}
	for _, t := range d.TestPoints {
		w.printf("<g class=\"testpoint\" data-net=\"%s\" data-number=\"%d\">", esc(string(t.Net)), t.Number)
		w.strokes(t.Strokes)
		w.strokes(t.Wave)
		w.printf("</g>\n")
	}
	if len(d.Ruled) > 0 {
		w.printf("<g class=\"titleblock\">")
		w.strokes(d.Ruled)
		w.printf("</g>\n")
	}
	for _, t := range d.Texts {
		w.text(t)
	}
	w.printf("</svg>\n")
	return w.Bytes()
}

type svgWriter struct{ bytes.Buffer }

func (w *svgWriter) printf(format string, args ...any) { fmt.Fprintf(&w.Buffer, format, args...) }

func (w *svgWriter) head(d schematic.Drawing, look Look, fonts string) {
	w.printf("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\" class=\"schematic\" data-standard=\"%s\">\n",
		num(d.Width/4), num(d.Height/4), num(d.Width), num(d.Height), d.Standard)
	css := strings.NewReplacer("INK", hex(look.Ink), "FAINT", hex(look.Faint), "PAPER", hex(look.Paper), "LIT", hex(look.Lit), "WIDTH", num(lineWidth))
	w.printf("<style>\n%s%s</style>\n", fonts, css.Replace(drawingCSS))
	w.printf("<rect class=\"paper\" x=\"0\" y=\"0\" width=\"%s\" height=\"%s\"/>\n", num(d.Width), num(d.Height))
}

func (w *svgWriter) part(p schematic.Part) {
	pinned := ""
	if p.Pinned {
		pinned = " data-pinned=\"yes\""
	}
	if p.Suspect > 0 {
		w.printf("<g class=\"suspect\" data-part=\"%s\" data-rank=\"%d\">", esc(string(p.Ref)), p.Suspect)
		w.strokes([]schematic.Stroke{suspectFrame(p.Box)})
		w.printf("</g>\n")
	}
	w.printf("<g class=\"part\" data-ref=\"%s\" data-kind=\"%s\" data-box=\"%s\"%s>", esc(string(p.Ref)), p.Kind, boxText(p.Box), pinned)
	w.strokes(p.Strokes)
	w.printf("</g>\n")
	for _, l := range p.Leads {
		w.printf("<circle class=\"lead\" data-ref=\"%s\" data-lead=\"%s\" cx=\"%s\" cy=\"%s\" r=\"0\"/>\n",
			esc(string(p.Ref)), esc(string(l.Lead)), num(l.At.X), num(l.At.Y))
	}
}

func (w *svgWriter) strokes(strokes []schematic.Stroke) {
	for _, s := range strokes {
		class := ""
		if s.Filled {
			class = " class=\"ink\""
		} else if s.Dashed {
			class = " class=\"dash\""
		}
		w.printf("<path%s d=\"%s\"/>", class, strokePath(s))
	}
}

// text sets its width by textLength, so that it fits its box in any typeface.
func (w *svgWriter) text(t schematic.Text) {
	weight := ""
	if t.Bold {
		weight = " font-weight=\"bold\""
	}
	net := ""
	if t.Net != "" {
		net = fmt.Sprintf(" data-net=\"%s\"", esc(string(t.Net)))
	}
	if t.Part != "" {
		net += fmt.Sprintf(" data-part=\"%s\"", esc(string(t.Part)))
	}
	w.printf("<text class=\"label\" data-role=\"%s\" x=\"%s\" y=\"%s\" font-size=\"%s\" textLength=\"%s\" lengthAdjust=\"spacingAndGlyphs\" data-box=\"%s\"%s%s>%s</text>\n",
		t.Role, num(t.At.X), num(t.At.Y), num(t.Size), num(t.Box.W), boxText(t.Box), weight, net, esc(t.Text))
}

// wirePath writes a chain of corners with H and V.
func wirePath(pts []schematic.Point) string {
	var b strings.Builder
	fmt.Fprintf(&b, "M%s %s", num(pts[0].X), num(pts[0].Y))
	for i := 1; i < len(pts); i++ {
		if pts[i].Y == pts[i-1].Y {
			b.WriteString(" H" + num(pts[i].X))
		} else {
			b.WriteString(" V" + num(pts[i].Y))
		}
	}
	return b.String()
}

func strokePath(s schematic.Stroke) string {
	var b strings.Builder
	pair := func(p schematic.Point) { b.WriteString(num(p.X) + " " + num(p.Y)) }
	b.WriteString("M")
	pair(s.Points[0])
	for i := 1; i < len(s.Points); i++ {
		switch {
		case !s.Curved:
			b.WriteString("L")
		case i%3 == 1:
			b.WriteString("C")
		default:
			b.WriteString(" ")
		}
		pair(s.Points[i])
	}
	if s.Closed {
		b.WriteString("Z")
	}
	return b.String()
}

func boxText(b schematic.Box) string {
	return num(b.X) + " " + num(b.Y) + " " + num(b.W) + " " + num(b.H)
}

// num writes a coordinate to a thousandth, without trailing zeros.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

func esc(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;").Replace(s)
}

func hex(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }
