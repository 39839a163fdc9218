package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Problem is something wrong, or doubtful, in the text of a job.
type Problem struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`   // from 1; 0: not in a text
	Column  int    `json:"column,omitempty"` // from 1
	Path    string `json:"path,omitempty"`   // where in the document: "parts.R1.value"
	Text    string `json:"text"`             // what was found and what was expected
	Warning bool   `json:"warning,omitempty"`
}

// String is the problem on one line: file:line:column: text.
func (p Problem) String() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File + ":")
	}
	if p.Line > 0 {
		fmt.Fprintf(&b, "%d:%d:", p.Line, p.Column)
	}
	if b.Len() == 0 && p.Path != "" {
		b.WriteString(p.Path + ":")
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if p.Warning {
		b.WriteString("warning: ")
	}
	return b.String() + p.Text
}

// Errors returns the problems that are not warnings.
func Errors(all []Problem) []Problem {
	return slices.DeleteFunc(slices.Clone(all), func(p Problem) bool { return p.Warning })
}

// InvalidError says why a document, or a change of it, is not taken.
type InvalidError struct {
	Problems []Problem
}

// Error lists the problems, one a line.
func (e *InvalidError) Error() string {
	lines := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// AsError returns an *InvalidError with the problems that are not warnings, or
// nil where there is none.
func AsError(all []Problem) error {
	if bad := Errors(all); len(bad) > 0 {
		return &InvalidError{Problems: bad}
	}
	return nil
}

// ErrStale is the reason when a command was made for another state of the job.
var ErrStale = errors.New("the job has changed since")

// orList writes "a, b or c".
func orList(words []string) string {
	switch len(words) {
	case 0:
		return "nothing"
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// didYouMean names the nearest allowed word, or is empty where none is near.
func didYouMean(word string, allowed []string) string {
	if n := nearest(word, allowed); n != "" {
		return "; did you mean " + n + "?"
	}
	return ""
}

// nearest returns the allowed word with the fewest single-letter changes from
// word, where they are few for its length; the first of several.
func nearest(word string, allowed []string) string {
	const longest = 60 // a longer word is no slip of the hand
	if len(word) > longest {
		return ""
	}
	best, bestDist := "", 1+max(1, len(word)/3)
	for _, a := range allowed {
		if a == word {
			continue
		}
		if d := editDistance(strings.ToLower(word), strings.ToLower(a)); d < bestDist {
			best, bestDist = a, d
		}
	}
	return best
}

// editDistance counts letters put in, left out, changed or two swapped.
//
// Source: Damerau's four slips, restricted to swaps of neighbours.
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	var twoUp []int
	up := make([]int, len(y)+1)
	for j := range up {
		up[j] = j
	}
	for i := range x {
		row := make([]int, len(y)+1)
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			row[j+1] = min(row[j]+1, up[j+1]+1, up[j]+cost)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				row[j+1] = min(row[j+1], twoUp[j-1]+1)
			}
		}
		twoUp, up = up, row
	}
	return up[len(y)]
}

// article puts a or an before a noun, by its sound.
func article(noun string) string {
	spelt := strings.HasPrefix(noun, "NPN") || strings.HasPrefix(noun, "npn") || strings.HasPrefix(noun, "n-") || strings.HasPrefix(noun, "led")
	vowel := noun != "" && strings.ContainsRune("aeioAEIO", rune(noun[0]))
	if spelt || vowel {
		return "an " + noun
	}
	return "a " + noun
}
