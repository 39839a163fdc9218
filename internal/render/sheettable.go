package render

import (
	"image/color"

	"foilside/internal/sheet"
)

// Lettering of a table in the PDF, in points and millimetres.
const (
	cellSize = 8.5
	cellStep = 3.9
	cellPad  = 1.2
)

// table prints rows under their head, which is repeated on every page. A row
// is never cut.
func (p *sheetPDF) table(t sheet.Table) {
	p.y += 1
	p.tableHead(t)
	for i, r := range t.Rows {
		cells, high := p.cells(t, r, "")
		if p.y+high > p.h-sheetFoot {
			p.page()
			p.tableHead(t)
		}
		if i < len(t.Warn) && t.Warn[i] {
			p.fill(danger())
			p.Rect(sheetEdge-1.2, p.y, 0.9, high, "F")
		}
		p.row(t, cells, high, "", 0.12)
	}
	p.y += 2
}

func (p *sheetPDF) tableHead(t sheet.Table) {
	cells, high := p.cells(t, t.Head, "B")
	p.row(t, cells, high, "B", 0.4)
}

// cells wraps a row's texts and tells how high the row is.
func (p *sheetPDF) cells(t sheet.Table, texts []string, style string) (cells [][]string, high float64) {
	most := 1
	for i, text := range texts {
		lines := p.wrap(text, style, cellSize, t.Widths[i]*p.width()-cellPad)
		cells = append(cells, lines)
		most = max(most, len(lines))
	}
	return cells, cellStep*float64(most) + 1.8
}

func (p *sheetPDF) row(t sheet.Table, cells [][]string, high float64, style string, rule float64) {
	p.SetFont("sans", style, cellSize)
	p.ink(ink())
	x := sheetEdge
	for i, lines := range cells {
		for k, line := range lines {
			p.Text(x, p.y+cellStep*float64(k+1)-0.4, line)
		}
		x += t.Widths[i] * p.width()
	}
	p.y += high
	p.pen(ink())
	if style == "" {
		p.pen(color.RGBA{0xb9, 0xb0, 0xa2, 255})
	}
	p.SetLineWidth(rule)
	p.Line(sheetEdge, p.y, sheetEdge+p.width(), p.y)
}
