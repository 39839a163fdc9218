package trial

import (
	_ "embed" // the textbook circuits
	"fmt"
	"strings"
)

//go:embed textbook.txt
var textbook string

//go:embed more.txt
var more string

// Textbook returns the circuits of the collection, in its order.
func Textbook() ([]Named, error) { return Read(textbook) }

// More returns published circuits that were added later, for studies: the
// drawing's weights were not tuned on them before they were first measured.
func More() ([]Named, error) { return Read(more) }

// Read reads circuits in the short text, a blank line between two.
func Read(text string) ([]Named, error) {
	var out []Named
	for _, block := range strings.Split(strings.TrimSpace(text), "\n\n") {
		n, err := parse(block)
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

// Measured is the set that drawings are measured on: all published circuits,
// and as many composed of them, of 18 to 120 parts.
func Measured() ([]Named, error) {
	out, err := Textbook()
	if err != nil {
		return nil, err
	}
	added, err := More()
	if err != nil {
		return nil, err
	}
	out = append(out, added...)
	const composed = 48
	for i := range composed {
		c, err := Composed(uint64(i), 18+i*102/(composed-1))
		if err != nil {
			return nil, err
		}
		out = append(out, Named{Name: c.Unit, Source: fmt.Sprintf("own: %d parts, chained from published stages", len(c.Parts)), Circuit: c})
	}
	return out, nil
}
