package render

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"foilside/internal/lettering"
	"foilside/internal/schematic"
)

// Paper is a paper size by name.
type Paper string

// The paper sizes.
const (
	A4     Paper = "A4"
	A3     Paper = "A3"
	Letter Paper = "Letter"
)

// size is the paper upright, in millimetres.
func (p Paper) size() (w, h float64) {
	switch p {
	case A3:
		return 297, 420
	case Letter:
		return 215.9, 279.4
	}
	return 210, 297
}

// Page says what paper a PDF is for and what stands in its title block.
type Page struct {
	Paper Paper     // A4 where empty
	Title string    // the unit
	Lines []string  // further lines of the title block: state, date, who drew it
	Made  time.Time // written into the file; the zero time leaves the file without a date of its own
}

const (
	mmPerUnit = 0.25
	ptPerMm   = 72 / 25.4
)

// PDF puts the drawing on a page, each sheet of a larger one on its own, turned
// whichever way shows it larger and never larger than half as much again, with
// a title block at the foot.
//
// Errors:  a page that can't be written.
func PDF(d schematic.Drawing, look Look, page Page) ([]byte, error) {
	w, h := page.Paper.size()
	p := newPDF(page, w, h)
	sheets := []schematic.Drawing{d}
	if len(d.Sheets) > 1 {
		sheets = sheets[:0]
		for i := range d.Sheets {
			sheets = append(sheets, d.OnSheet(i))
		}
	}
	for _, s := range sheets {
		p.sheet(s, look, page)
	}
	return p.bytes()
}

// sheet is one page.
func (p *pdf) sheet(d schematic.Drawing, look Look, page Page) {
	w, h := page.Paper.size()
	const edge, foot, most = 12, 16, 1.5
	fit := func(w, h float64) float64 {
		return math.Min((w-2*edge)/(d.Width*mmPerUnit), (h-2*edge-foot)/(d.Height*mmPerUnit))
	}
	turn := "P"
	if fit(h, w) > math.Min(fit(w, h), most) {
		w, h, turn = h, w, "L"
	}
	upright, across := page.Paper.size()
	p.AddPageFormat(turn, fpdf.SizeType{Wd: upright, Ht: across})
	p.fill(look.Paper)
	p.Rect(0, 0, w, h, "F")
	k := math.Min(fit(w, h), most)
	x := (w - d.Width*mmPerUnit*k) / 2
	y := edge + (h-2*edge-foot-d.Height*mmPerUnit*k)/2
	p.drawing(d, look, x, y, k)
	p.titleBlock(page, look, w, h, edge, foot)
}

// pdf is a PDF under way, in millimetres.
type pdf struct{ *fpdf.Fpdf }

func newPDF(page Page, w, h float64) *pdf {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	p := &pdf{f}
	made := page.Made
	if made.IsZero() {
		made = time.Unix(0, 0).UTC() // or the library would write the present time
	}
	f.SetCreationDate(made)
	f.SetModificationDate(made)
	f.SetCatalogSort(true)
	f.SetTitle(page.Title, true)
	f.SetCreator("Foilside", false)
	f.AddUTF8FontFromBytes("sans", "", bytes.Clone(lettering.TTF(lettering.Plain)))
	f.AddUTF8FontFromBytes("sans", "B", bytes.Clone(lettering.TTF(lettering.Bold)))
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	return p
}

func (p *pdf) bytes() ([]byte, error) {
	var out bytes.Buffer
	if err := p.Output(&out); err != nil {
		return nil, fmt.Errorf("writing the PDF: %w", err)
	}
	return out.Bytes(), nil
}

func (p *pdf) fill(c color.RGBA) { p.SetFillColor(int(c.R), int(c.G), int(c.B)) }
func (p *pdf) pen(c color.RGBA)  { p.SetDrawColor(int(c.R), int(c.G), int(c.B)) }
func (p *pdf) ink(c color.RGBA)  { p.SetTextColor(int(c.R), int(c.G), int(c.B)) }

// drawing puts a drawing with its corner at x, y, scaled by k.
func (p *pdf) drawing(d schematic.Drawing, look Look, x, y, k float64) {
	u := mmPerUnit * k
	l := listOf(d)
	p.pen(look.Ink)
	p.fill(look.Ink)
	p.SetLineCapStyle("round")
	p.SetLineJoinStyle("round")
	for _, s := range l.lines {
		p.stroke(s, x, y, u)
	}
	p.SetDashPattern(nil, 0)
	for _, t := range l.texts {
		p.ink(look.Ink)
		if t.Role == schematic.VoltageText {
			p.ink(look.Faint)
		}
		style := ""
		if t.Bold {
			style = "B"
		}
		p.SetFont("sans", style, t.Size*u*ptPerMm)
		p.Text(x+t.At.X*u, y+t.At.Y*u, t.Text)
	}
}

func (p *pdf) stroke(s line, x, y, u float64) {
	at := func(q schematic.Point) (float64, float64) { return x + q.X*u, y + q.Y*u }
	p.SetLineWidth(s.width * u)
	if s.Dashed {
		p.SetDashPattern([]float64{3 * u, 2.4 * u}, 0)
	} else {
		p.SetDashPattern(nil, 0)
	}
	p.MoveTo(at(s.Points[0]))
	if s.Curved {
		for i := 1; i+2 < len(s.Points); i += 3 {
			x0, y0 := at(s.Points[i])
			x1, y1 := at(s.Points[i+1])
			x2, y2 := at(s.Points[i+2])
			p.CurveBezierCubicTo(x0, y0, x1, y1, x2, y2)
		}
	} else {
		for _, q := range s.Points[1:] {
			p.LineTo(at(q))
		}
	}
	if s.Closed {
		p.ClosePath()
	}
	switch {
	case s.Filled && s.width > 0:
		p.DrawPath("DF")
	case s.Filled:
		p.DrawPath("F")
	default:
		p.DrawPath("D")
	}
}

// titleBlock stands at the foot of the page, over its whole width.
func (p *pdf) titleBlock(page Page, look Look, w, h, edge, foot float64) {
	p.pen(look.Ink)
	p.SetLineWidth(0.3)
	top := h - edge - foot + 4
	p.Line(edge, top, w-edge, top)
	p.ink(look.Ink)
	p.SetFont("sans", "B", 11)
	p.Text(edge, top+6, page.Title)
	p.ink(look.Faint)
	p.SetFont("sans", "", 8)
	for i, line := range page.Lines {
		if i > 2 {
			break
		}
		p.Text(w-edge-p.GetStringWidth(line), top+4+3.8*float64(i), line)
	}
}
