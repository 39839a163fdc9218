package bench

import (
	"strings"
	"testing"

	"foilside/internal/job"
)

// The sheet says how the unit works in the words of the stages, and names the
// parts that belong to none.
func TestSheetSaysHowItWorks(t *testing.T) {
	const text = `unit: Lamp with indicator
common: minus
parts:
  B1: {kind: battery, voltage: 9 V, leads: {+: plus, -: minus}}
  R1: {kind: resistor, value: 1k, leads: {1: plus, 2: anode}}
  D1: {kind: led, forward drop: 1.8 V, leads: {a: anode, k: minus}}
  LA1: {kind: lamp, leads: {1: plus, 2: minus}}
`
	b := openText(t, text, func(*job.Document) {})
	html, err := b.Sheet(t.Context(), SheetOptions{Form: "html"})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"How it works", "LED indicator D1", "It draws 7.2 mA.", "What these do was not found: LA1."} {
		if !strings.Contains(string(html), want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}
