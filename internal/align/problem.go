package align

import (
	"fmt"
	"strings"
)

// Kind is a sort of trouble with an alignment.
type Kind string

// Kinds of trouble.
const (
	TooFew     Kind = "too-few"      // fewer than four pairs
	Outside    Kind = "outside"      // a pair lies outside its photo
	Repeated   Kind = "repeated"     // two pairs mark the same place
	Collinear  Kind = "collinear"    // the pairs lie on one line
	NotOne     Kind = "not-one"      // the pairs don't fit one board
	SameFace   Kind = "same-face"    // the map doesn't mirror
	Horizon    Kind = "horizon"      // the map reaches infinity inside the photo
	WrongPair  Kind = "wrong-pair"   // a pair was left out
	Unsure     Kind = "unsure"       // the automatic search found no sure answer
	NoBoard    Kind = "no-board"     // the automatic search saw no board in a photo
	FewToJudge Kind = "few-to-judge" // so few pairs that a wrong one can't be told
	BadScale   Kind = "bad-scale"    // the scale can't be used
)

// Problem is trouble that the person should see. As an error it stopped the
// work; in Alignment.Problems the work went on.
type Problem struct {
	Kind   Kind   `json:"kind"`
	Pairs  []int  `json:"pairs,omitempty"` // counted from 1, as the job lists them
	Reason string `json:"text"`
	Advice string `json:"advice"`
}

// Error says what is wrong and what to do next.
func (p *Problem) Error() string { return p.Reason + "; " + p.Advice }

// Next is the advice alone, for a place that shows it on a line of its own.
func (p *Problem) Next() string { return p.Advice }

// pairNames writes "pair 3" or "pairs 3, 5 and 6".
func pairNames(pairs []int) string {
	if len(pairs) == 1 {
		return fmt.Sprintf("pair %d", pairs[0])
	}
	var b strings.Builder
	b.WriteString("pairs ")
	for i, p := range pairs {
		switch {
		case i > 0 && i == len(pairs)-1:
			b.WriteString(" and ")
		case i > 0:
			b.WriteString(", ")
		}
		fmt.Fprint(&b, p)
	}
	return b.String()
}
