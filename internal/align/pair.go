package align

import (
	"encoding/json"

	"foilside/internal/num/geom"
)

// Pair is one place of the board, seen in both photos. As JSON and YAML it is
// {component: [x, y], foil: [x, y]}.
type Pair struct {
	Component geom.Point // pixel of the component photo
	Foil      geom.Point // pixel of the foil photo
}

// Size is a photo's width and height in pixels.
type Size struct {
	Width, Height int
}

// contains reports whether p is on a pixel of the photo.
func (s Size) contains(p geom.Point) bool {
	return p.X >= -0.5 && p.Y >= -0.5 && p.X <= float64(s.Width)-0.5 && p.Y <= float64(s.Height)-0.5
}

func (s Size) centre() geom.Point {
	return geom.Point{X: float64(s.Width-1) / 2, Y: float64(s.Height-1) / 2}
}

// diagonal of the photo in pixels.
func (s Size) diagonal() float64 {
	return geom.Point{X: float64(s.Width), Y: float64(s.Height)}.Norm()
}

// corners of the photo, clockwise from the top left.
func (s Size) corners() []geom.Point {
	w, h := float64(s.Width-1), float64(s.Height-1)
	return []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
}

// Sizes are those of both photos as shown (upright).
type Sizes struct {
	Component, Foil Size
}

// pairText is a Pair as it stands in a job.
type pairText struct {
	Component [2]float64 `json:"component" yaml:"component,flow"`
	Foil      [2]float64 `json:"foil" yaml:"foil,flow"`
}

func (p Pair) text() pairText {
	return pairText{[2]float64{p.Component.X, p.Component.Y}, [2]float64{p.Foil.X, p.Foil.Y}}
}

func (t pairText) pair() Pair {
	return Pair{geom.Point{X: t.Component[0], Y: t.Component[1]}, geom.Point{X: t.Foil[0], Y: t.Foil[1]}}
}

// MarshalJSON writes {"component": [x, y], "foil": [x, y]}.
func (p Pair) MarshalJSON() ([]byte, error) { return json.Marshal(p.text()) }

// UnmarshalJSON reads what MarshalJSON writes.
func (p *Pair) UnmarshalJSON(data []byte) error {
	var t pairText
	if err := json.Unmarshal(data, &t); err != nil {
		return err
	}
	*p = t.pair()
	return nil
}

// MarshalYAML gives the YAML library the same two lists of two numbers.
func (p Pair) MarshalYAML() (any, error) { return p.text(), nil }

// UnmarshalYAML reads what MarshalYAML gives.
func (p *Pair) UnmarshalYAML(decode func(any) error) error {
	var t pairText
	if err := decode(&t); err != nil {
		return err
	}
	*p = t.pair()
	return nil
}
