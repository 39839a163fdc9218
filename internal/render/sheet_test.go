package render

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"strconv"
	"strings"
	"testing"
	"time"

	"foilside/internal/schematic"
	"foilside/internal/sheet"
)

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
