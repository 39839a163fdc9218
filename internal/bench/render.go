package bench

import (
	"errors"
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

// RenderDrawing makes a drawing's file: svg, pdf or png.
func RenderDrawing(d schematic.Drawing, form string, p Paper) ([]byte, error) {
	look := render.White()
	switch p {
	case ForScreen:
		look = render.WarmPaper()
	case ForNight:
		look = render.Night()
	}
	var data []byte
	var err error
	switch form {
	case "svg":
		data = render.SVG(d, look)
	case "pdf":
		data, err = render.PDF(d, look, render.Page{})
	case "png":
		data, err = render.PNG(d, look, drawingDPI)
	default:
		return nil, BadInput(fmt.Errorf("a drawing is written as .svg, .pdf or .png, not as .%s", form))
	}
	return data, NotDone(errors.Join(err))
}
