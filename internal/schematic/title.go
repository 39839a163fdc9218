package schematic

import (
	"math"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
)

// MarkSuspects notes which parts are suspected, the most likely first.
func (d Drawing) MarkSuspects(refs []circuit.PartRef) Drawing {
	d.Parts = append([]Part(nil), d.Parts...)
	for rank, ref := range refs {
		for i := range d.Parts {
			if d.Parts[i].Ref == ref && d.Parts[i].Suspect == 0 {
				d.Parts[i].Suspect = rank + 1
			}
		}
	}
	return d
}

// Titled returns the drawing with a title block under it: the unit, and further
// lines beside it.
//
// Errors:  an embedded font that can't be read.
func (d Drawing) Titled(unit string, lines []string) (Drawing, error) {
	const edge, unitSize, step = 15.0, 11.0, 11.0
	ruler, err := lettering.NewRuler()
	if err != nil {
		return d, err
	}
	d.Texts = append([]Text(nil), d.Texts...)
	top := d.Height + 5
	add := func(text string, bold bool, size, x, base float64) {
		weight := lettering.Plain
		if bold {
			weight = lettering.Bold
		}
		w := ruler.Width(text, weight, size)
		d.Texts = append(d.Texts, Text{Text: text, Role: TitleText, Bold: bold, Size: size, At: Point{x, base},
			Box: Box{x, base - size*lettering.Ascent, w, size * (lettering.Ascent + lettering.Descent)}})
		d.Width = math.Max(d.Width, x+w+edge)
	}
	add(unit, true, unitSize, edge, top+4+unitSize)
	x := edge + ruler.Width(unit, lettering.Bold, unitSize) + 3*Unit
	for i, line := range lines {
		add(line, false, textSize, x, top+4+unitSize+step*float64(i))
	}
	d.Ruled = append([]Stroke(nil), Stroke{Points: []Point{{edge, top}, {d.Width - edge, top}}})
	d.Width = math.Ceil(d.Width)
	d.Height = top + 4 + unitSize + step*float64(max(len(lines), 1)) + 2
	d.Metrics.Width, d.Metrics.Height = d.Width, d.Height
	return d, nil
}
