package schematic

import (
	"fmt"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
)

// HandMove is what a person does with parts of a drawing.
type HandMove string

// The moves of a hand. All but the last pin the parts that it has hold of.
const (
	MoveParts   HandMove = "move"
	TurnParts   HandMove = "turn"   // a quarter clockwise, or the next turn that breaks no rule
	MirrorParts HandMove = "mirror" // left to right, a group about its middle
	PinParts    HandMove = "pin"
	FreeParts   HandMove = "free"
)

// Hand is one move of a part or of a group.
type Hand struct {
	Move        HandMove
	Parts       []circuit.PartRef
	Right, Down int // of a move, in grid steps
}

// Laid returns the places after a hand's move: those that it has hold of as it
// leaves them, the others as they were.
//
// Errors:  an unknown move, a part without a place.
func Laid(c *circuit.Circuit, places []Place, h Hand, opts Options) ([]Place, error) {
	if !slices.Contains([]HandMove{MoveParts, TurnParts, MirrorParts, PinParts, FreeParts}, h.Move) {
		return nil, fmt.Errorf("there is no move %q; choose move, turn, mirror, pin or free", h.Move)
	}
	ruler, err := lettering.NewRuler()
	if err != nil {
		return nil, err
	}
	v := viewNets(c)
	v.setLevels(c)
	s := &shaper{view: v, opts: opts, ruler: ruler}
	out := slices.Clone(places)
	middle := middleOf(out, h.Parts)
	for _, ref := range h.Parts {
		i := slices.IndexFunc(out, func(p Place) bool { return p.Ref == ref })
		part, ok := c.Part(ref)
		if i < 0 || !ok {
			return nil, fmt.Errorf("%s is not on the drawing", ref)
		}
		p := &out[i]
		p.Pinned = h.Move != FreeParts
		switch h.Move {
		case MoveParts:
			p.X, p.Y = p.X+h.Right, p.Y+h.Down
		case TurnParts, MirrorParts:
			shapes, err := s.shapes(part)
			if err != nil {
				return nil, err
			}
			p.reorient(shapes, h.Move)
			if h.Move == MirrorParts {
				p.X = middle - p.X
			}
		}
	}
	return out, nil
}

// middleOf is twice the middle column of a group.
func middleOf(places []Place, group []circuit.PartRef) int {
	lo, hi, first := 0, 0, true
	for _, p := range places {
		if !slices.Contains(group, p.Ref) {
			continue
		}
		if first {
			lo, hi, first = p.X, p.X, false
		}
		lo, hi = min(lo, p.X), max(hi, p.X)
	}
	return lo + hi
}

// reorient turns or mirrors a part to the next of its shapes that does so.
func (p *Place) reorient(shapes []shape, m HandMove) {
	allowed := func(o Orient) bool {
		return slices.ContainsFunc(shapes, func(s shape) bool { return s.orient == o })
	}
	if m == MirrorParts {
		if o := (Orient{Mirror: !p.Orient.Mirror, Quarters: (4 - p.Orient.Quarters) & 3}); allowed(o) {
			p.Orient, p.Caption = o, 0
		}
		return
	}
	for k := 1; k <= 3; k++ {
		if o := (Orient{Mirror: p.Orient.Mirror, Quarters: (p.Orient.Quarters + k) & 3}); allowed(o) {
			p.Orient, p.Caption = o, 0
			return
		}
	}
}
