package httpapi

import "context"

// Bench is what this package needs of the use cases. Every method may be
// called by several pages at once. Errors may tell their kind with a method
// Kind() string (one of this package's kinds) and their advice with Next().
type Bench interface {
	Document
	Pictures
	Results

	// Watch registers a receiver of events and returns a function that takes
	// it off again. The receiver must not block.
	Watch(receive func(Event)) (stop func())
}

// Document reads and changes the job.
type Document interface {
	Job(ctx context.Context) (Job, error)
	Do(ctx context.Context, c Command) (Job, error)
	Undo(ctx context.Context) (Job, error)
	Redo(ctx context.Context) (Job, error)
	Log(ctx context.Context) ([]LogEntry, error)
	SetPhoto(ctx context.Context, side Side, name string, data []byte) (Job, error)
	// AddFurther takes one more photograph of the foil side in.
	AddFurther(ctx context.Context, name string, data []byte, backlit bool) (Job, error)
}

// DrawingWish says how the schematic is wanted; empty fields are the customary.
type DrawingWish struct {
	Standard string // iec or ieee
	Look     string // screen, night or print
	Form     string // svg, pdf or png
	Values   string // prose or code
	Points   bool   // number the nets and print what a good unit reads there
	Suspects bool   // frame the parts that are suspected
}

// Pictures gives what is shown as a picture or a page.
type Pictures interface {
	// WorkingCopy is the upright photo as JPEG, at most 12 megapixels.
	WorkingCopy(ctx context.Context, side Side) ([]byte, error)
	// Drawing is the schematic.
	Drawing(ctx context.Context, w DrawingWish) ([]byte, error)
	// Sheet is the service sheet; the form is html or pdf.
	Sheet(ctx context.Context, form string) ([]byte, error)
}

// Results are computed from the document.
type Results interface {
	Alignment(ctx context.Context) (Alignment, error)
	// Further are the more photographs of the foil side.
	Further(ctx context.Context) ([]Further, error)
	Copper(ctx context.Context) (Copper, error)
	// NetLook looks closely at a net of the copper by its id.
	NetLook(ctx context.Context, net string) (NetLook, error)
	// Checking tells of the continuity checks, the next one between places
	// other than those beyond reach.
	Checking(ctx context.Context, beyond []Point) (Checking, error)
	Circuit(ctx context.Context) (Circuit, error)
	// Stages are the functional groups of the circuit.
	Stages(ctx context.Context) (Stages, error)
	// Waves follows the circuit over time.
	Waves(ctx context.Context, w WaveWish) (Waves, error)
	Expect(ctx context.Context, r Reading) (Expected, error)
	Next(ctx context.Context) (Next, error)
	Suspects(ctx context.Context) (Suspects, error)
	Charge(ctx context.Context) (Charge, error)
	Kinds(ctx context.Context) ([]KindInfo, error)
	Marking(ctx context.Context, text, kind string) (Marking, error)
	Quantity(ctx context.Context, text, unit string) (Quantity, error)
	// DemoReading is what the meter shows on a demonstration's unit.
	DemoReading(ctx context.Context, r Reading) (string, error)
}
