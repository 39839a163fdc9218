package render

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/circuit"
	"foilside/internal/schematic"
	"foilside/internal/schematic/trial"
	"foilside/internal/sheet"
)

// readSVG takes the geometry from an SVG by CONTRACT §4, knowing nothing of
// the scene that it was written from.
func readSVG(t *testing.T, svg []byte) schematic.Geometry {
	t.Helper()
	var g schematic.Geometry
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Errorf("%q is no number", s)
		}
		return v
	}
	dec := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return g
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		a := map[string]string{}
		for _, x := range e.Attr {
			a[x.Name.Local] = x.Value
		}
		if _, ok := a["transform"]; ok {
			t.Errorf("a transform on <%s>", e.Name.Local)
		}
		switch class, _, _ := strings.Cut(a["class"], " "); class {
		case "lead":
			if a["r"] != "0" {
				t.Errorf("lead %s of %s has radius %s", a["data-lead"], a["data-ref"], a["r"])
			}
			g.Leads = append(g.Leads, schematic.SeenLead{
				Lead: circuit.LeadRef{Part: circuit.PartRef(a["data-ref"]), Lead: circuit.LeadName(a["data-lead"])},
				At:   schematic.Point{X: number(a["cx"]), Y: number(a["cy"])}})
		case "dot":
			g.Dots = append(g.Dots, schematic.Point{X: number(a["cx"]), Y: number(a["cy"])})
		case "continues":
			g.Marks = append(g.Marks, schematic.SeenMark{Name: a["data-net"], At: schematic.Point{X: number(a["data-x"]), Y: number(a["data-y"])}})
		case "wire":
			g.Wires = append(g.Wires, readPath(t, a["d"]))
		}
	}
}

// readPath reads a path of M, H and V only.
func readPath(t *testing.T, d string) []schematic.Point {
	var pts []schematic.Point
	d = strings.NewReplacer("M", " M ", "H", " H ", "V", " V ").Replace(d)
	f := strings.Fields(d)
	at := schematic.Point{}
	for i := 0; i < len(f); i++ {
		n := func() float64 {
			i++
			v, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				t.Fatalf("wire path %q", d)
			}
			return v
		}
		switch f[i] {
		case "M":
			at.X = n()
			at.Y = n()
		case "H":
			at.X = n()
		case "V":
			at.Y = n()
		default:
			t.Fatalf("wire path %q has more than M, H and V", d)
		}
		pts = append(pts, at)
	}
	return pts
}

func TestSVGReadsBackAsTheCircuit(t *testing.T) {
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		t.Run(n.Name, func(t *testing.T) {
			d := drawn(t, n.Circuit, schematic.Options{})
			if diff := cmp.Diff(schematic.Partition(n.Circuit), readSVG(t, SVG(d, WarmPaper())).ReadBack()); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func drawn(t *testing.T, c *circuit.Circuit, o schematic.Options) schematic.Drawing {
	t.Helper()
	d, err := schematic.Draw(context.Background(), c, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func amplifier(t *testing.T) trial.Named {
	t.Helper()
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	return all[1]
}

// A net's name may hold what XML must not.
func TestNamesAreEscaped(t *testing.T) {
	c := amplifier(t).Circuit.Clone()
	for i := range c.Parts {
		for k, l := range c.Parts[i].Leads {
			if l.Net == "vcc" {
				c.Parts[i].Leads[k].Net = `<a & "b">`
			}
		}
	}
	c.Parts[0].Type = `<"&'>`
	d := drawn(t, c, schematic.Options{})
	if diff := cmp.Diff(schematic.Partition(c), readSVG(t, SVG(d, Night())).ReadBack()); diff != "" {
		t.Error(diff)
	}
}

// The PNG shows ink where the scene has wires, and paper at its corners.
func TestPNGHasTheWires(t *testing.T) {
	d := drawn(t, amplifier(t).Circuit, schematic.Options{})
	for name, look := range map[string]Look{"paper": WarmPaper(), "white": White(), "night": Night()} {
		t.Run(name, func(t *testing.T) {
			data, err := PNG(d, look, 200)
			if err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			k := 200 / 25.4 / 4
			if w := img.Bounds().Dx(); w != int(math.Ceil(d.Width*k)) {
				t.Errorf("%d pixels wide", w)
			}
			if c := img.At(0, 0); !near(c, look.Paper) {
				t.Errorf("the corner is %v", c)
			}
			for _, w := range d.Wires {
				mid := schematic.Point{X: (w.Points[0].X + w.Points[1].X) / 2, Y: (w.Points[0].Y + w.Points[1].Y) / 2}
				if c := img.At(int(mid.X*k), int(mid.Y*k)); !near(c, look.Ink) {
					t.Errorf("no ink on the wire of %s at %v: %v", w.Net, mid, c)
				}
			}
		})
	}
}

func near(a color.Color, b color.RGBA) bool {
	r, g, bl, _ := a.RGBA()
	d := func(x uint32, y uint8) float64 { return math.Abs(float64(x>>8) - float64(y)) }
	return d(r, b.R)+d(g, b.G)+d(bl, b.B) < 90
}

func TestPNGRefusesWhatIsTooLarge(t *testing.T) {
	d := drawn(t, amplifier(t).Circuit, schematic.Options{})
	for _, dpi := range []float64{0, -3, math.NaN(), math.Inf(1), 1e6} {
		if _, err := PNG(d, White(), dpi); err == nil {
			t.Errorf("%g dots per inch were taken", dpi)
		}
	}
}

// text reads a PDF's words with pdftotext.
func text(t *testing.T, file []byte) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed")
	}
	name := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func TestPDFCanBeSearched(t *testing.T) {
	n := amplifier(t)
	d := drawn(t, n.Circuit, schematic.Options{})
	for _, paper := range []Paper{A4, A3, Letter} {
		file, err := PDF(d, White(), Page{Paper: paper, Title: n.Name, Lines: []string{"drawn by a test"}})
		if err != nil {
			t.Fatal(err)
		}
		words := text(t, file)
		for _, want := range []string{"4.7 kΩ", "100 µF", "BC547", "Q2", n.Name, "drawn by a test"} {
			if !strings.Contains(words, want) {
				t.Errorf("%s: %q can't be found in the PDF", paper, want)
			}
		}
	}
}

func TestFilesAreTheSameEveryTime(t *testing.T) {
	n := amplifier(t)
	d := drawn(t, n.Circuit, schematic.Options{})
	a, _ := PDF(d, White(), Page{Title: n.Name})
	b, _ := PDF(drawn(t, n.Circuit, schematic.Options{}), White(), Page{Title: n.Name})
	if !bytes.Equal(a, b) {
		t.Error("two PDFs of one circuit differ")
	}
}

// photo is a small JPEG, light above and dark below.
func photo(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 320, 200))
	for y := range 200 {
		for x := range 320 {
			img.Set(x, y, color.RGBA{uint8(200 - y/2), uint8(150 - y/2), 90, 255})
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func fullSheet(t *testing.T) sheet.Sheet {
	n := amplifier(t)
	d := drawn(t, n.Circuit, schematic.Options{})
	wait := 12.4
	s := sheet.Sheet{
		Unit: "Two-stage amplifier, unbranded", Facts: []string{"Serial number scratched off", "Job file amplifier.foilside"},
		Made: "25 November 2026", By: "the bench",
		Stores:  []sheet.Store{{Part: "C2", Voltage: 400, Energy: 17.6, Charge: 0.088, SecondsToSafe: &wait, Through: "R4", Hazardous: true}, {Part: "C9", Voltage: 9, Energy: 0.004}},
		Drawing: &d, DrawingNote: "Voltages with the supply on, no signal.",
		Photos:   []sheet.Photo{{Title: "Foil side", JPEG: photo(t), Width: 320, Height: 200, Marks: []sheet.PhotoMark{{X: 100, Y: 50, Text: "out"}, {X: 200, Y: 150, Text: "chassis"}}}},
		Parts:    sheet.PartsOf(n.Circuit),
		Meter:    "a digital meter of 10 MΩ",
		Symptoms: []string{"Silent when the supply is on."},
		Suspects: []sheet.SuspectRow{{What: "R3 open", Probability: 0.81, Group: "Q1 open at c"}},
		Repair:   []string{"R3 was open. A new 4.7 kΩ, 0.25 W was fitted."},
		Work:     []sheet.WorkRow{{When: "2026-11-25 10:12", What: "R3 replaced"}},
		Method:   []string{"All voltages against chassis, black lead on the negative pole of B1."},
		Readings: []sheet.ReadingRow{{When: "10:02", Mode: "volts-dc", Red: "c1", Black: "gnd", State: "on", Value: "0.02 V", Expected: "5.1 V", Verdict: "outside"}},
	}
	for i := range 60 {
		s.Expected = append(s.Expected, sheet.ExpectedRow{Mode: "volts-dc", Red: "net " + strconv.Itoa(i), Black: "gnd", State: "on", Nominal: "4.31 V", Low: "4.02 V", High: "4.63 V"})
	}
	s.Expected[3].Hazard = "400 V: one hand, probe rated for it"
	return s
}

func TestSheetHTMLIsWellFormed(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		page := SheetHTML(fullSheet(t), paper)
		body := bytes.TrimPrefix(page, []byte("<!DOCTYPE html>\n"))
		dec := xml.NewDecoder(bytes.NewReader(body))
		for {
			_, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		for _, want := range []string{"Before you open it", "17.6 J", "size:" + strings.ToLower(string(paper)), "data:image/jpeg;base64,", `class="wire"`, "hazardous live"} {
			if !bytes.Contains(page, []byte(want)) {
				t.Errorf("%s: the page lacks %q", paper, want)
			}
		}
	}
}

func TestSheetPDF(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		file, err := SheetPDF(fullSheet(t), paper, time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		words := text(t, file)
		for _, want := range []string{"Before you open it", "17.6 J", "R3 was open", "net 59", "page 1 of", "For the next person"} {
			if !strings.Contains(words, want) {
				t.Errorf("%s: %q can't be found in the PDF", paper, want)
			}
		}
		if n := strings.Count(words, "Nominal") + strings.Count(words, "Reads"); n < 2 {
			t.Errorf("%s: the table's head stands %d times over its pages", paper, n)
		}
	}
}

func TestSheetPDFRefusesABadPhotograph(t *testing.T) {
	s := fullSheet(t)
	s.Photos[0].JPEG = []byte("no picture")
	if _, err := SheetPDF(s, A4, time.Time{}); err == nil || !strings.Contains(err.Error(), "Foil side") {
		t.Errorf("got %v", err)
	}
}
