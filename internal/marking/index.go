package marking

import (
	"strings"

	"foilside/internal/circuit"
)

// Index is the parts shelf by type number, for those who look up often.
type Index struct {
	rows map[string]Entry
}

// NewIndex builds the index of the whole shelf.
func NewIndex() Index {
	all := Shelf()
	rows := make(map[string]Entry, len(all))
	for _, e := range all {
		rows[e.Type] = e
	}
	return Index{rows}
}

// Amount returns a parameter of a type number in SI base units and where it is
// from. A type number on the shelf as another kind has none.
func (x Index) Amount(kind circuit.Kind, typeNumber, param string) (a circuit.Amount, source string, ok bool) {
	e, ok := x.find(kind, typeNumber)
	if !ok {
		return a, "", false
	}
	v, ok := e.Amount[param]
	if !ok {
		return a, "", false
	}
	info, _ := circuit.Lookup(kind)
	if p, known := info.Param(param); known && len(p.Units) > 0 {
		a.Unit = p.Units[0]
	}
	a.Value = v
	return a, "parts shelf, " + e.Type + ": " + e.Source, true
}

// Word returns a parameter that is a word, such as the material.
func (x Index) Word(kind circuit.Kind, typeNumber, param string) (word, source string, ok bool) {
	e, ok := x.find(kind, typeNumber)
	if !ok {
		return "", "", false
	}
	word, ok = e.Word[param]
	return word, "parts shelf, " + e.Type + ": " + e.Source, ok
}

func (x Index) find(kind circuit.Kind, typeNumber string) (Entry, bool) {
	e, ok := x.lookup(strings.ToUpper(strings.ReplaceAll(typeNumber, " ", "")))
	return e, ok && e.Kind == kind
}

// lookup cuts a maker's suffix off where the whole number is not listed. What
// is cut off must not be a figure: 1N400 is not 1N4001's family.
func (x Index) lookup(s string) (Entry, bool) {
	for cut := s; len(cut) >= 3 && len(s)-len(cut) <= 3; cut = cut[:len(cut)-1] {
		if e, ok := x.rows[cut]; ok && !strings.ContainsAny(s[len(cut):], "0123456789") {
			return e, true
		}
	}
	return Entry{}, false
}
