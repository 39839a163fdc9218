package sheet

import (
	"fmt"

	"foilside/internal/schematic"
)

// Document is a sheet as a reader meets it.
type Document struct {
	Title  string
	Facts  []string
	Footer string // at the foot of every page
	Blocks []Block
}

// Block is one of Heading, Paragraph, Caution, Table, Figure, Picture, Lines.
type Block interface{ block() }

// Heading begins a section.
type Heading struct{ Text string }

// Paragraph is running text.
type Paragraph struct{ Text string }

// Caution is a box of sentences that must be seen.
type Caution struct {
	Title string
	Items []string
}

// Table is rows under a head that is repeated on every page.
type Table struct {
	Head []string
	Rows [][]string
	// Widths are the columns' shares of the page's width; they add up to 1.
	Widths []float64
	// Warn marks rows that carry a caution.
	Warn []bool
}

// Figure is a drawing.
type Figure struct {
	Drawing *schematic.Drawing
	Caption string
}

// Picture is a photograph.
type Picture struct {
	Photo Photo
}

// Lines are ruled lines to write on.
type Lines struct{ Count int }

func (Heading) block()   {}
func (Paragraph) block() {}
func (Caution) block()   {}
func (Table) block()     {}
func (Figure) block()    {}
func (Picture) block()   {}
func (Lines) block()     {}

// Document lays the sheet out as a tree, sections without content left out.
func (s Sheet) Document() Document {
	d := Document{Title: s.Unit, Facts: s.Facts, Footer: s.Unit}
	if d.Title == "" {
		d.Title, d.Footer = "Unit without a name", "Unit without a name"
	}
	if s.Made != "" {
		d.Facts = append(append([]string(nil), d.Facts...), "Sheet made "+s.Made+by(s.By))
		d.Footer += ", " + s.Made
	}
	d.add(Caution{"Before you open it", s.cautions()})
	if s.Drawing != nil {
		d.section("Drawing", s.figures()...)
	}
	d.stages(s)
	if len(s.Photos) > 0 {
		d.add(Heading{"The board"})
		for _, p := range s.Photos {
			d.add(Picture{p})
		}
	}
	d.table("Parts", partsTable(s.Parts))
	if len(s.Expected) > 0 {
		d.section("What a good unit reads", Paragraph{s.expectedNote()}, expectedTable(s.Expected))
	}
	if len(s.Symptoms) > 0 {
		d.add(Heading{"What was seen"})
		for _, x := range s.Symptoms {
			d.add(Paragraph{x})
		}
	}
	d.table("Readings taken", readingsTable(s.Readings))
	d.table("Suspects", suspectsTable(s.Suspects))
	d.paragraphs("Found and repaired", s.Repair)
	d.table("Work done", workTable(s.Work))
	d.paragraphs("How it was measured", s.Method)
	n := s.BlankLines
	if n == 0 {
		n = 8
	}
	d.section("For the next person", Lines{n})
	return d
}

// figures are the sheets of the drawing, each by itself; the note stands under
// the last.
func (s Sheet) figures() []Block {
	if len(s.Drawing.Sheets) < 2 {
		return []Block{Figure{s.Drawing, s.DrawingNote}}
	}
	var out []Block
	for i := range s.Drawing.Sheets {
		d := s.Drawing.OnSheet(i)
		note := ""
		if i == len(s.Drawing.Sheets)-1 {
			note = s.DrawingNote
		}
		out = append(out, Figure{&d, note})
	}
	return out
}

func by(name string) string {
	if name == "" {
		return ""
	}
	return " by " + name
}

func (d *Document) add(b ...Block) { d.Blocks = append(d.Blocks, b...) }

func (d *Document) section(title string, b ...Block) {
	d.add(Heading{title})
	d.add(b...)
}

func (d *Document) table(title string, t Table) {
	if len(t.Rows) > 0 {
		d.section(title, t)
	}
}

func (d *Document) paragraphs(title string, texts []string) {
	if len(texts) == 0 {
		return
	}
	d.add(Heading{title})
	for _, t := range texts {
		d.add(Paragraph{t})
	}
}

func (s Sheet) expectedNote() string {
	text := "Each reading is given with the band in which 95 of 100 good units lie over the tolerances of their parts."
	if s.Meter != "" {
		text = "With " + s.Meter + ". " + text
	}
	return text
}

func partsTable(parts []PartRow) Table {
	t := Table{Head: []string{"Ref", "Part", "Value", "Type", "Rating", "Note"}, Widths: []float64{0.09, 0.25, 0.15, 0.15, 0.2, 0.16}}
	for _, p := range parts {
		t.Rows = append(t.Rows, []string{p.Ref, p.What, p.Value, p.Type, p.Rating, p.Note})
	}
	return t
}

func expectedTable(rows []ExpectedRow) Table {
	t := Table{Head: []string{"Reading", "Red", "Black", "State", "Reads", "Low", "High"}, Widths: []float64{0.16, 0.16, 0.16, 0.16, 0.12, 0.12, 0.12}}
	for _, r := range rows {
		mode := r.Mode
		if r.Hazard != "" {
			mode += ": " + r.Hazard
		}
		t.Rows = append(t.Rows, []string{mode, r.Red, r.Black, r.State, r.Nominal, r.Low, r.High})
		t.Warn = append(t.Warn, r.Hazard != "")
	}
	return t
}

func readingsTable(rows []ReadingRow) Table {
	t := Table{Head: []string{"When", "Reading", "Red", "Black", "State", "Read", "Expected", ""}, Widths: []float64{0.14, 0.12, 0.13, 0.13, 0.11, 0.11, 0.13, 0.13}}
	for _, r := range rows {
		t.Rows = append(t.Rows, []string{r.When, r.Mode, r.Red, r.Black, r.State, r.Value, r.Expected, r.Verdict})
	}
	return t
}

func suspectsTable(rows []SuspectRow) Table {
	t := Table{Head: []string{"Suspect", "Probability", "Can't be told apart from"}, Widths: []float64{0.45, 0.15, 0.4}}
	for _, r := range rows {
		t.Rows = append(t.Rows, []string{r.What, fmt.Sprintf("%.0f %%", 100*r.Probability), r.Group})
	}
	return t
}

func workTable(rows []WorkRow) Table {
	t := Table{Head: []string{"When", "What"}, Widths: []float64{0.2, 0.8}}
	for _, r := range rows {
		t.Rows = append(t.Rows, []string{r.When, r.What})
	}
	return t
}
