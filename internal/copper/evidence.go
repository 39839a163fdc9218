package copper

import (
	"errors"
	"fmt"

	"foilside/internal/num/geom"
)

// Evidence is what a person said about the copper of one foil photo.
// All points are photo pixels.
type Evidence struct {
	Copper   []geom.Point // places that are copper or solder
	Bare     []geom.Point // places that are neither
	Strokes  []Stroke     // brushed over what is copper, and what is bare board
	Cuts     []Segment    // lines that no copper crosses
	Joins    []Segment    // pairs of places that are one conductor
	Measured []Continuity // continuity readings between two places
}

// Segment is a straight line from one photo pixel to another.
type Segment struct {
	From geom.Point `json:"from"`
	To   geom.Point `json:"to"`
}

// Continuity is one measured continuity between two places on copper.
type Continuity struct {
	A, B   geom.Point
	Joined bool
}

// check names the first point of the evidence that lies outside a w×h photo.
func (e Evidence) check(w, h int) error {
	inside := func(what string, i int, p geom.Point) error {
		if p.Finite() && p.X >= -0.5 && p.Y >= -0.5 && p.X <= float64(w)-0.5 && p.Y <= float64(h)-0.5 {
			return nil
		}
		return &OutsideError{What: what, Index: i, Point: p, W: w, H: h}
	}
	for i, p := range e.Copper {
		if err := inside("copper sample", i, p); err != nil {
			return err
		}
	}
	for i, p := range e.Bare {
		if err := inside("bare sample", i, p); err != nil {
			return err
		}
	}
	for i, s := range e.Strokes {
		for _, p := range s.Points {
			if err := inside("brush stroke", i, p); err != nil {
				return err
			}
		}
	}
	for _, kind := range []struct {
		what string
		list []Segment
	}{{"cut", e.Cuts}, {"join", e.Joins}} {
		for i, s := range kind.list {
			if err := inside(kind.what, i, s.From); err != nil {
				return err
			}
			if err := inside(kind.what, i, s.To); err != nil {
				return err
			}
		}
	}
	for i, m := range e.Measured {
		if err := inside("measured continuity", i, m.A); err != nil {
			return err
		}
		if err := inside("measured continuity", i, m.B); err != nil {
			return err
		}
	}
	return nil
}

// OutsideError says that a point of the evidence is no pixel of the photo.
type OutsideError struct {
	What  string // "copper sample", "cut", …
	Index int    // from 0
	Point geom.Point
	W, H  int
}

// Error names the point and says what to do.
func (e *OutsideError) Error() string {
	return fmt.Sprintf("%s %d at (%g, %g) lies outside the foil photo of %d × %d pixels: give pixels of the photo as shown, x right, y down",
		e.What, e.Index+1, e.Point.X, e.Point.Y, e.W, e.H)
}

// ErrNoSamples says that nobody pointed at bare board, and that the board's rim
// is too motley to guess how it looks.
var ErrNoSamples = errors.New("how bare board looks can't be told from this photo: point at one place at least that is copper or solder, and at one that is bare board")
