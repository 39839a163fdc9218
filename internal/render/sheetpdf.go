package render

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"foilside/internal/sheet"
)

// SheetPDF prints a sheet on paper: a head and foot on every page, tables that
// go on over pages with their heads repeated, text that can be searched.
//
// Errors:  a photograph that is no JPEG; a file that can't be written.
func SheetPDF(s sheet.Sheet, paper Paper, made time.Time) ([]byte, error) {
	d := s.Document()
	w, h := paper.size()
	p := &sheetPDF{pdf: newPDF(Page{Title: d.Title, Made: made}, w, h), doc: d, w: w, h: h}
	p.AliasNbPages("{pages}")
	p.SetFooterFunc(p.footer)
	p.page()
	p.head()
	for i, b := range d.Blocks {
		if err := p.block(b, i); err != nil {
			return nil, err
		}
	}
	return p.bytes()
}

// sheetPDF is a sheet under way; y is where the next block begins.
type sheetPDF struct {
	*pdf
	doc  sheet.Document
	w, h float64
	y    float64
	n    int // pages
}

// The page's edges, in millimetres.
const (
	sheetEdge = 15.0
	sheetTop  = 16.0
	sheetFoot = 18.0
)

func ink() color.RGBA    { return White().Ink }
func faint() color.RGBA  { return White().Faint }
func danger() color.RGBA { return color.RGBA{0x9a, 0x5b, 0x00, 255} }

func (p *sheetPDF) width() float64 { return p.w - 2*sheetEdge }

func (p *sheetPDF) page() {
	p.AddPage()
	p.n++
	p.y = sheetTop
	if p.n > 1 {
		p.SetFont("sans", "", 8)
		p.ink(faint())
		p.Text(sheetEdge, 11, p.doc.Title)
		p.pen(faint())
		p.SetLineWidth(0.2)
		p.Line(sheetEdge, 12.5, p.w-sheetEdge, 12.5)
		p.y = sheetTop + 2
	}
}

func (p *sheetPDF) footer() {
	p.SetFont("sans", "", 8)
	p.ink(faint())
	p.Text(sheetEdge, p.h-9, p.doc.Footer)
	text := fmt.Sprintf("page %d of ", p.PageNo())
	p.Text(p.w-sheetEdge-p.GetStringWidth(text+"00"), p.h-9, text+"{pages}")
}

// room begins a new page unless so much of this one is left.
func (p *sheetPDF) room(need float64) {
	if p.y+need > p.h-sheetFoot && p.y > sheetTop+3 {
		p.page()
	}
}

func (p *sheetPDF) head() {
	p.ink(ink())
	for _, line := range p.wrap(p.doc.Title, "B", 18, p.width()) {
		p.y += 7.5
		p.Text(sheetEdge, p.y, line)
	}
	p.y += 2
	p.ink(faint())
	for _, f := range p.doc.Facts {
		for _, line := range p.wrap(f, "", 9, p.width()) {
			p.y += 4.4
			p.Text(sheetEdge, p.y, line)
		}
	}
	p.y += 2.5
	p.pen(ink())
	p.SetLineWidth(0.5)
	p.Line(sheetEdge, p.y, p.w-sheetEdge, p.y)
	p.y += 4
}

// wrap sets the font and cuts a text into lines that fit the width.
func (p *sheetPDF) wrap(text, style string, size, width float64) []string {
	p.SetFont("sans", style, size)
	var lines []string
	for _, l := range p.SplitText(text, width) {
		lines = append(lines, strings.TrimRight(l, " "))
	}
	if len(lines) == 0 {
		lines = []string{""}
	}
	return lines
}

func (p *sheetPDF) block(b sheet.Block, i int) error {
	switch b := b.(type) {
	case sheet.Heading:
		p.room(12 + p.firstHeight(i))
		p.y += 9
		p.SetFont("sans", "B", 12)
		p.ink(ink())
		p.Text(sheetEdge, p.y, b.Text)
		p.y += 2.5
	case sheet.Paragraph:
		p.paragraph(b.Text, sheetEdge, p.width(), 9.5, ink())
		p.y += 1.5
	case sheet.Caution:
		p.caution(b)
	case sheet.Table:
		p.table(b)
	case sheet.Figure:
		p.figure(b)
	case sheet.Picture:
		return p.picture(b.Photo, i)
	case sheet.Lines:
		p.lines(b.Count)
	}
	return nil
}

// firstHeight is what of the block after a heading must stay with it.
func (p *sheetPDF) firstHeight(i int) float64 {
	if i+1 >= len(p.doc.Blocks) {
		return 0
	}
	switch b := p.doc.Blocks[i+1].(type) {
	case sheet.Figure:
		_, h := p.figureSize(b)
		return h
	case sheet.Picture:
		_, h := p.pictureSize(b.Photo)
		return h
	}
	return 15
}

func (p *sheetPDF) paragraph(text string, x, width, size float64, c color.RGBA) {
	step := size * 0.5
	for _, line := range p.wrap(text, "", size, width) {
		p.room(step)
		p.SetFont("sans", "", size)
		p.ink(c)
		p.y += step
		p.Text(x, p.y, line)
	}
}

// caution is a frame of sentences, kept on one page where it fits.
func (p *sheetPDF) caution(c sheet.Caution) {
	const size, step = 9.5, 4.7
	width := p.width() - 12
	n := 0
	for _, t := range c.Items {
		n += len(p.wrap(t, "", size, width-5))
	}
	high := 11 + step*float64(n) + 1.2*float64(len(c.Items))
	p.room(math.Min(high, p.h-sheetFoot-sheetTop))
	p.fill(color.RGBA{0xff, 0xf6, 0xe2, 255})
	p.pen(danger())
	p.SetLineWidth(0.6)
	p.Rect(sheetEdge, p.y, p.width(), math.Min(high, p.h-sheetFoot-p.y), "DF")
	p.y += 6.5
	p.SetFont("sans", "B", 11.5)
	p.ink(danger())
	p.Text(sheetEdge+5, p.y, c.Title)
	p.y += 1
	for _, t := range c.Items {
		p.fill(ink())
		p.Circle(sheetEdge+6.2, p.y+step-1.3, 0.6, "F")
		p.paragraph(t, sheetEdge+9, width-5, size, ink())
		p.y += 1.2
	}
	p.y += 4
}

// figureSize fits a drawing to the page, never larger than its natural size.
func (p *sheetPDF) figureSize(f sheet.Figure) (k, h float64) {
	d := f.Drawing
	k = math.Min(1, p.width()/(d.Width*mmPerUnit))
	k = math.Min(k, (p.h-sheetTop-sheetFoot-22)/(d.Height*mmPerUnit))
	h = d.Height*mmPerUnit*k + 3
	if f.Caption != "" {
		h += 6
	}
	return k, h
}

func (p *sheetPDF) figure(f sheet.Figure) {
	k, h := p.figureSize(f)
	p.room(h)
	x := sheetEdge + (p.width()-f.Drawing.Width*mmPerUnit*k)/2
	p.drawing(*f.Drawing, White(), x, p.y, k)
	p.y += f.Drawing.Height*mmPerUnit*k + 1
	p.caption(f.Caption)
}

func (p *sheetPDF) caption(text string) {
	if text != "" {
		p.paragraph(text, sheetEdge, p.width(), 8.5, faint())
	}
	p.y += 2
}

func (p *sheetPDF) pictureSize(f sheet.Photo) (w, h float64) {
	w = p.width()
	h = w * float64(f.Height) / math.Max(float64(f.Width), 1)
	if most := (p.h - sheetTop - sheetFoot) * 0.6; h > most {
		w, h = w*most/h, most
	}
	return w, h + 8
}

// picture puts in a photograph with its marks.
func (p *sheetPDF) picture(f sheet.Photo, i int) error {
	if len(f.JPEG) == 0 || f.Width <= 0 || f.Height <= 0 {
		return nil
	}
	w, h := p.pictureSize(f)
	p.room(h)
	name := fmt.Sprintf("photo%d", i)
	p.RegisterImageOptionsReader(name, fpdf.ImageOptions{ImageType: "JPG"}, bytes.NewReader(f.JPEG))
	if p.Err() {
		return fmt.Errorf("the photograph %q can't be put on the sheet; it must be an upright JPEG: %w", f.Title, p.Error())
	}
	x := sheetEdge + (p.width()-w)/2
	p.ImageOptions(name, x, p.y, w, h-8, false, fpdf.ImageOptions{ImageType: "JPG"}, 0, "")
	k := w / float64(f.Width)
	for _, m := range f.Marks {
		p.photoMark(m, x, k)
	}
	p.y += h - 7
	p.caption(f.Title)
	return nil
}

// photoMark rings a place and names it; ring and name have a light edge, so
// that they show on dark copper too.
func (p *sheetPDF) photoMark(m sheet.PhotoMark, x, k float64) {
	cx, cy := x+m.X*k, p.y+m.Y*k
	const r = 1.6
	for _, edge := range []struct {
		c color.RGBA
		w float64
	}{{color.RGBA{255, 255, 255, 255}, 0.9}, {White().Lit, 0.4}} {
		p.pen(edge.c)
		p.SetLineWidth(edge.w)
		p.Circle(cx, cy, r, "D")
	}
	if m.Text == "" {
		return
	}
	p.SetFont("sans", "B", 7.5)
	wide := p.GetStringWidth(m.Text)
	p.fill(color.RGBA{255, 255, 255, 255})
	p.Rect(cx+r+0.4, cy-1.7, wide+1, 3.4, "F")
	p.ink(White().Lit)
	p.Text(cx+r+0.9, cy+1, m.Text)
}

func (p *sheetPDF) lines(n int) {
	p.y += 3
	for range n {
		p.room(9)
		p.y += 9
		p.pen(faint())
		p.SetLineWidth(0.15)
		p.Line(sheetEdge, p.y, p.w-sheetEdge, p.y)
	}
}
