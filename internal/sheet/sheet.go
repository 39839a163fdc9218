package sheet

import (
	"foilside/internal/circuit"
	"foilside/internal/schematic"
)

// Sheet is everything that can stand on a service sheet. Every section may be
// empty; it is then left out.
type Sheet struct {
	Unit  string   // what it is: the title
	Facts []string // maker's plate, owner, job file: one line each
	Made  string   // when the sheet was made, as it is to be printed
	By    string   // who worked on it

	Stores   []Store  // what may hold a charge, the worst first
	Cautions []string // further cautions in the person's own words

	Drawing     *schematic.Drawing
	DrawingNote string // the state that the voltages on it hold for
	Stages      []StageRow
	Apart       []string // references of parts that belong to no stage
	Photos      []Photo
	Parts       []PartRow
	Expected    []ExpectedRow
	Meter       string // that the expected readings hold for
	Readings    []ReadingRow
	Symptoms    []string
	Suspects    []SuspectRow
	Repair      []string // what was found and done, in sentences
	Work        []WorkRow
	Method      []string // how it was measured
	BlankLines  int      // for the next person; 8 where 0
}

// StageRow is a functional group of the circuit and how it works.
type StageRow struct {
	Name  string   // "common-emitter stage Q1"
	Parts string   // references
	From  []string // names of the stages that feed it a signal
	Text  string
	Notes []string
}

// Store is a part that may hold a charge with the supply off, in SI units.
type Store struct {
	Part          string
	Voltage       float64
	Energy        float64
	Charge        float64
	SecondsToSafe *float64 // nil: it does not discharge by itself
	Through       string   // what it discharges through: "R1"; "" says nothing
	Hazardous     bool
}

// Photo is a photograph of the board with what is marked on it.
type Photo struct {
	Title         string
	JPEG          []byte // upright: readers of a PDF don't turn it by its EXIF data
	Width, Height int    // pixels
	Marks         []PhotoMark
}

// PhotoMark is a place on a photograph, in its pixels.
type PhotoMark struct {
	X, Y float64
	Text string
}

// PartRow is a part in the parts list.
type PartRow struct {
	Ref, What, Value, Type, Rating, Note string
}

// ExpectedRow is what a good unit reads in one place.
type ExpectedRow struct {
	Mode, Red, Black, State string
	Nominal, Low, High      string // as printed, with unit; Low and High may be empty
	Hazard                  string // a caution for this reading; "" has none
}

// ReadingRow is a reading that was taken.
type ReadingRow struct {
	When, Mode, Red, Black, State, Value, Expected, Verdict string
}

// SuspectRow is a fault not yet excluded.
type SuspectRow struct {
	What        string
	Probability float64 // 0…1
	Group       string  // those that no allowed reading tells apart
}

// WorkRow is a piece of work done.
type WorkRow struct{ When, What string }

// PartsOf lists a circuit's parts for the parts list.
func PartsOf(c *circuit.Circuit) []PartRow {
	var out []PartRow
	for _, p := range c.Parts {
		info, _ := circuit.Lookup(p.Kind)
		out = append(out, PartRow{Ref: string(p.Ref), What: info.Noun, Value: valueOf(p), Type: p.Type, Rating: ratingOf(p)})
	}
	return out
}
