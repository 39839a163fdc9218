package trial

import (
	_ "embed" // the textbook circuits
	"strings"
)

//go:embed textbook.txt
var textbook string

// Textbook returns the circuits of the collection, in its order.
func Textbook() ([]Named, error) {
	var out []Named
	for _, block := range strings.Split(strings.TrimSpace(textbook), "\n\n") {
		n, err := parse(block)
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}
