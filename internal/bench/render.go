package bench

import (
	"fmt"

	"foilside/internal/render"
	"foilside/internal/schematic"
)

// Paper is what a drawing is looked at on.
type Paper string

// The papers.
const (
	ForPrint  Paper = "print"
	ForScreen Paper = "screen"
	ForNight  Paper = "night"
)

// drawingDPI is the resolution of a drawing as PNG: text of 2.5 mm is read
// with ease at it.
const drawingDPI = 200

// Print says how a drawing's file is made.
type Print struct {
	Look  Paper        // ForPrint where empty
	Size  render.Paper // of a PDF's pages; A4 where empty
	Title string       // the unit; empty: no title block
	Lines []string     // further lines of the title block
}

// RenderDrawing makes a drawing's file: svg, pdf or png. Every file brings its
// lettering along, but for an SVG without a title block, which the page shows.
func RenderDrawing(d schematic.Drawing, form string, p Print) ([]byte, error) {
	look := render.White()
	switch p.Look {
	case ForScreen:
		look = render.WarmPaper()
	case ForNight:
		look = render.Night()
	}
	if form == "pdf" {
		data, err := render.PDF(d, look, render.Page{Paper: p.Size, Title: p.Title, Lines: p.Lines})
		return data, NotDone(err)
	}
	if form != "svg" && form != "png" {
		return nil, BadInput(fmt.Errorf("a drawing is written as .svg, .pdf or .png, not as .%s", form))
	}
	if p.Title == "" && form == "svg" {
		return render.SVG(d, look), nil
	}
	if p.Title != "" {
		var err error
		if d, err = d.Titled(p.Title, p.Lines); err != nil {
			return nil, NotDone(err)
		}
	}
	if form == "svg" {
		data, err := render.SVGWithFont(d, look)
		return data, NotDone(err)
	}
	data, err := render.PNG(d, look, drawingDPI)
	return data, NotDone(err)
}
