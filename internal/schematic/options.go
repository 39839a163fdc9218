package schematic

import "foilside/internal/circuit"

// Standard is whose symbols are drawn.
type Standard string

// The standards.
const (
	IEC  Standard = "iec"  // IEC 60617
	IEEE Standard = "ieee" // IEEE 315
)

// ValueStyle is how values are written.
type ValueStyle string

// The styles of a value.
const (
	Prose ValueStyle = "prose" // 4.7 kΩ
	Code  ValueStyle = "code"  // 4k7, the letter code of IEC 60062
)

// Options say how a circuit is drawn. The zero value is IEC symbols with
// values in prose.
type Options struct {
	Standard Standard
	Value    ValueStyle
	// TestPoints are nets that get a numbered circle, in this order from 1.
	TestPoints []TestPointText
	// Places are where parts stood before, or were put by hand. They stay; what
	// is new goes where there is room.
	Places []Place
	// Attempts is how many placements are tried, the tidiest being kept; 0
	// tries as many as the circuit's size allows within half a second. 1 gives
	// a quick drawing that is not gone over once more.
	Attempts int
	// OneSheet draws larger circuits on one sheet too.
	OneSheet bool
	// NoRails keeps supplies and common as marks at every lead.
	NoRails bool
	// Progress is told how far the work is, 0…1; nil is allowed.
	Progress func(done float64, what string)
}

// TestPointText is a test point that is asked for, and the expected voltage
// that is printed beside it, with a sketch of its wave where it swings.
type TestPointText struct {
	Net  circuit.NetID
	Text string
	Wave []float64 // volts at even times over a cycle or two; drawn as a sketch
}

func (o Options) standard() Standard {
	if o.Standard == "" {
		return IEC
	}
	return o.Standard
}

func (o Options) report(done float64, what string) {
	if o.Progress != nil {
		o.Progress(done, what)
	}
}
