package bench

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/job"
	"foilside/internal/meter"
	"foilside/internal/photo"
	"foilside/internal/quantity"
	"foilside/internal/render"
	"foilside/internal/schematic"
	"foilside/internal/sheet"
)

// SheetOptions say how the service sheet is printed.
type SheetOptions struct {
	Form     string // html or pdf
	Paper    string // A4 or Letter
	Standard schematic.Standard
	By       string // who worked on it
}

// Sheet prints the service sheet. What can't be worked out is left out, and
// the sheet says why.
func (b *Bench) Sheet(ctx context.Context, o SheetOptions) ([]byte, error) {
	paper := render.Paper(o.Paper)
	if paper == "" {
		paper = render.A4
	}
	if paper != render.A4 && paper != render.Letter {
		return nil, badf("a sheet is printed on A4 or Letter, not on %q", o.Paper)
	}
	if o.Form != "html" && o.Form != "pdf" {
		return nil, badf("a sheet is written as .html or .pdf, not as .%s", o.Form)
	}
	s, err := b.sheet(ctx, o)
	if err != nil {
		return nil, err
	}
	if o.Form == "html" {
		return render.SheetHTML(s, paper), nil
	}
	data, err := render.SheetPDF(s, paper, b.now())
	return data, NotDone(err)
}

func (b *Bench) sheet(ctx context.Context, o SheetOptions) (sheet.Sheet, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return sheet.Sheet{}, err
	}
	d := b.document()
	w := sheetWriter{bench: b, doc: d, circuit: built.Circuit, out: sheet.Sheet{
		Unit: d.Unit, Made: b.now().Format("2 January 2006"), By: o.By, Parts: sheet.PartsOf(built.Circuit),
	}}
	for _, section := range []func(context.Context, SheetOptions) error{w.charge, w.drawing, w.stages, w.photos, w.expected, w.readings, w.suspects} {
		if err := section(ctx, o); err != nil {
			return sheet.Sheet{}, err
		}
	}
	w.log()
	return w.out, nil
}

type sheetWriter struct {
	bench   *Bench
	doc     job.Document
	circuit *circuit.Circuit
	rows    []meter.Expected
	out     sheet.Sheet
}

// missing notes what the sheet goes without. A cancelled run stays an error.
func (w *sheetWriter) missing(what string, err error) error {
	if err == nil || cancelled(err) {
		return err
	}
	w.out.Facts = append(w.out.Facts, fmt.Sprintf("Without %s: %s", what, err))
	return nil
}

func (w *sheetWriter) charge(ctx context.Context, _ SheetOptions) error {
	r, err := w.bench.Charge(ctx)
	if err != nil {
		return w.missing("stored charge", err)
	}
	for _, s := range r.Stores {
		w.out.Stores = append(w.out.Stores, sheet.Store{Part: string(s.Part), Voltage: s.Voltage, Energy: s.Energy,
			Charge: s.Charge, SecondsToSafe: s.SecondsToSafe, Hazardous: s.Hazardous})
	}
	for _, s := range r.Steps {
		w.out.Cautions = append(w.out.Cautions, s.Text)
	}
	if r.Refused != "" {
		w.out.Cautions = append(w.out.Cautions, r.Refused)
	}
	return nil
}

func (w *sheetWriter) drawing(ctx context.Context, o SheetOptions) error {
	state := poweredState(w.circuit)
	d, err := w.bench.Drawing(ctx, DrawOptions{Standard: o.Standard, TestPoints: true, State: state})
	if err != nil {
		return w.missing("a drawing", err)
	}
	w.out.Drawing = &d
	if state != "" && len(d.TestPoints) > 0 {
		w.out.DrawingNote = fmt.Sprintf("Voltages against %s hold for a good unit in the state %q, read with a digital meter of 10 MΩ.", w.circuit.Common, state)
	}
	return nil
}

// stages says how the unit works.
func (w *sheetWriter) stages(ctx context.Context, _ SheetOptions) error {
	found, err := w.bench.Stages(ctx)
	if err != nil {
		return w.missing("how it works", err)
	}
	for i, s := range found.Stages {
		row := sheet.StageRow{Name: s.Name, Parts: joinRefs(s.Parts()), Text: s.Text, Notes: s.Notes}
		for _, e := range found.Feeds {
			if e.To == i && !e.Power && !e.Back && !slices.Contains(row.From, found.Stages[e.From].Name) {
				row.From = append(row.From, found.Stages[e.From].Name)
			}
		}
		w.out.Stages = append(w.out.Stages, row)
	}
	for _, p := range found.Left {
		w.out.Apart = append(w.out.Apart, string(p))
	}
	return nil
}

func joinRefs(all []circuit.PartRef) string {
	var out []string
	for _, p := range all {
		out = append(out, string(p))
	}
	return strings.Join(out, ", ")
}

// printedPixels is enough for a photograph across a page at 200 dots per inch.
const printedPixels = 2_500_000

func (w *sheetWriter) photos(ctx context.Context, _ SheetOptions) error {
	for _, face := range []job.Face{job.ComponentSide, job.FoilSide} {
		if w.doc.Photos.Of(face) == nil {
			continue
		}
		p, err := w.bench.Photo(ctx, face)
		if err != nil {
			return w.missing("the photograph of the "+string(face)+" side", err)
		}
		small, scale, err := photo.Working(ctx, p.Pixels, printedPixels)
		if err != nil {
			return err
		}
		data, err := photo.JPEG(small, 85)
		if err != nil {
			return NotDone(err)
		}
		title := map[job.Face]string{job.ComponentSide: "Component side", job.FoilSide: "Foil side, not mirrored"}[face]
		marks, err := w.marks(ctx, face, scale)
		if err != nil {
			return err
		}
		w.out.Photos = append(w.out.Photos, sheet.Photo{Title: title, JPEG: data,
			Width: small.Rect.Dx(), Height: small.Rect.Dy(), Marks: marks})
	}
	return nil
}

// marks name the parts on the component side where their leads were placed.
func (w *sheetWriter) marks(ctx context.Context, face job.Face, scale int) ([]sheet.PhotoMark, error) {
	if face != job.ComponentSide {
		return nil, nil
	}
	var out []sheet.PhotoMark
	for _, p := range w.doc.Parts {
		var x, y, n float64
		for _, l := range p.AllLeads() {
			if l.Place.At != nil {
				x, y, n = x+l.Place.At[0], y+l.Place.At[1], n+1
			}
		}
		if n > 0 {
			out = append(out, sheet.PhotoMark{X: x / n / float64(scale), Y: y / n / float64(scale), Text: string(p.Ref)})
		}
	}
	return out, ctx.Err()
}

func (w *sheetWriter) expected(ctx context.Context, _ SheetOptions) error {
	rows, err := w.bench.table(ctx, "", true)
	if err != nil {
		return w.missing("expected readings", err)
	}
	w.rows = rows
	w.out.Meter = "digital, 10 MΩ on volts, 0.5 V open circuit on ohms"
	for _, r := range rows {
		if w.sources() && r.Mode == meter.VoltsDC && w.dark(r.State) {
			continue // with everything off, every voltage is nought
		}
		w.out.Expected = append(w.out.Expected, expectedRow(r))
	}
	return nil
}

// sources tells whether the circuit has any.
func (w *sheetWriter) sources() bool {
	for _, p := range w.circuit.Parts {
		if isSource(p.Kind) {
			return true
		}
	}
	return false
}

// dark tells whether a state has every source off.
func (w *sheetWriter) dark(state string) bool {
	s, _ := w.circuit.State(state)
	for _, p := range w.circuit.Parts {
		if isSource(p.Kind) && s.Setting(p).Form != circuit.Off {
			return false
		}
	}
	return true
}

func isSource(k circuit.Kind) bool {
	return k == circuit.Battery || k == circuit.Supply || k == circuit.Signal
}

func expectedRow(r meter.Expected) sheet.ExpectedRow {
	end := func(v *float64) string {
		if v == nil {
			return "over-range"
		}
		return quantity.Format(*v, r.Mode.Unit(), 3)
	}
	row := sheet.ExpectedRow{Mode: string(r.Mode), Red: r.Red, Black: r.Black, State: r.State, Nominal: end(r.Nominal), Hazard: r.Hazard.Text}
	if r.Low != nil || r.High != nil {
		row.Low, row.High = end(r.Low), end(r.High)
	}
	return row
}

func (w *sheetWriter) readings(context.Context, SheetOptions) error {
	for _, r := range w.doc.Readings {
		row := sheet.ReadingRow{When: when(r.Time), Mode: string(r.Mode), Red: placeText(r.Red), State: r.State, Value: r.Value.Text}
		if r.Black != nil {
			row.Black = placeText(*r.Black)
		} else {
			row.Black = string(w.circuit.Common)
		}
		for _, e := range w.rows {
			if string(e.Mode) == row.Mode && e.Red == row.Red && e.Black == row.Black && e.State == row.State {
				x := expectedRow(e)
				row.Expected = x.Nominal
			}
		}
		w.out.Readings = append(w.out.Readings, row)
	}
	for _, s := range w.doc.Symptoms {
		text := s.Seen
		if s.Part != "" {
			text = string(s.Part) + ": " + text
		}
		if s.State != "" {
			text += " (" + s.State + ")"
		}
		w.out.Symptoms = append(w.out.Symptoms, text)
	}
	return nil
}

func placeText(p job.Place) string {
	switch {
	case p.Net != "":
		return string(p.Net)
	case p.Joint != nil:
		return fmt.Sprintf("foil pixel %.0f, %.0f", p.Joint[0], p.Joint[1])
	case p.At != nil:
		return fmt.Sprintf("component pixel %.0f, %.0f", p.At[0], p.At[1])
	}
	return ""
}

// fewSuspects is how many suspects a sheet lists.
const fewSuspects = 6

func (w *sheetWriter) suspects(ctx context.Context, _ SheetOptions) error {
	if len(w.doc.Readings)+len(w.doc.Symptoms) == 0 {
		return nil
	}
	a, _, err := w.bench.Suspects(ctx)
	if err != nil {
		return w.missing("suspects", err)
	}
	for i, s := range a.Suspects {
		if i == fewSuspects || s.Probability < 0.01 {
			break
		}
		w.out.Suspects = append(w.out.Suspects, sheet.SuspectRow{What: s.Text, Probability: s.Probability, Group: groupMates(a.Suspects, i)})
	}
	return nil
}

// groupMates names the suspects that no reading tells apart from the i-th.
func groupMates(all []diagnosis.Suspect, i int) string {
	var out []string
	for j, s := range all {
		if j != i && s.Group == all[i].Group {
			out = append(out, s.Text)
		}
	}
	if len(out) > fewSuspects {
		out = append(out[:fewSuspects], fmt.Sprintf("%d more", len(out)-fewSuspects))
	}
	return strings.Join(out, ", ")
}

func (w *sheetWriter) log() {
	for _, x := range w.doc.Work {
		text := x.Did
		if x.Part != "" {
			text = string(x.Part) + ": " + text
		}
		w.out.Work = append(w.out.Work, sheet.WorkRow{When: when(x.Time), What: text})
		if x.Part != "" {
			w.out.Repair = append(w.out.Repair, text)
		}
	}
	w.out.Method = []string{
		"The circuit was traced from photographs of both faces of the board; places in doubt are to be checked with a meter.",
		"Expected readings were computed with the meter in the circuit, over the tolerances of the parts: 95 of 100 good units read within the band.",
	}
}

func when(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02 15:04")
}
