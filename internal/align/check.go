package align

import (
	"fmt"
	"math"

	"foilside/internal/num/geom"
)

// MinPairs is how many pairs a map needs.
const MinPairs = 4

const spreadAdvice = "mark four or more places spread over the board, such as holes near its corners"

// checkPairs finds what makes pairs useless before anything is fitted.
func checkPairs(pairs []Pair, sizes Sizes) error {
	if len(pairs) < MinPairs {
		return &Problem{Kind: TooFew, Reason: fmt.Sprintf("%d of the 4 pairs of corresponding pixels that a map needs are given", len(pairs)),
			Advice: spreadAdvice}
	}
	for i, p := range pairs {
		if err := checkInside(i, "component", p.Component, sizes.Component); err != nil {
			return err
		}
		if err := checkInside(i, "foil", p.Foil, sizes.Foil); err != nil {
			return err
		}
	}
	if err := checkRepeated(pairs); err != nil {
		return err
	}
	component, foil := split(pairs)
	if side := lineOf(component, foil, 0); side != "" {
		return &Problem{Kind: Collinear, Reason: "the pairs lie on one line in the " + side + " photo, which leaves the map open", Advice: spreadAdvice}
	}
	return nil
}

func checkInside(i int, side string, p geom.Point, size Size) error {
	if p.Finite() && size.contains(p) {
		return nil
	}
	return &Problem{Kind: Outside, Pairs: []int{i + 1},
		Reason: fmt.Sprintf("pair %d: %s [%g, %g] lies outside that photo, which is %d × %d pixels", i+1, side, p.X, p.Y, size.Width, size.Height),
		Advice: "give pixels of the photo as shown, or look whether component and foil are exchanged"}
}

// repeatedWithin is the distance, in pixels, below which two marks are one.
const repeatedWithin = 0.5

// checkRepeated finds two pairs that share a place in either photo.
func checkRepeated(pairs []Pair) error {
	for i, a := range pairs {
		for j, b := range pairs[:i] {
			same, other := "component", a.Foil.Dist(b.Foil)
			switch {
			case a.Component.Dist(b.Component) <= repeatedWithin:
			case a.Foil.Dist(b.Foil) <= repeatedWithin:
				same, other = "foil", a.Component.Dist(b.Component)
			default:
				continue
			}
			text := "mark the same place in both photos"
			if other > repeatedWithin {
				text = "mark one place in the " + same + " photo but two in the other"
			}
			return &Problem{Kind: Repeated, Pairs: []int{j + 1, i + 1}, Reason: fmt.Sprintf("pairs %d and %d %s", j+1, i+1, text),
				Advice: "take one of them away or move it to another place"}
		}
	}
	return nil
}

// lineOf names the photo in which all points but at most spare are on a line.
func lineOf(component, foil []geom.Point, spare int) string {
	if nearlyCollinear(component, spare) {
		return "component"
	}
	if nearlyCollinear(foil, spare) {
		return "foil"
	}
	return ""
}

// lineWidth: points within this share of their extent from a line count as on
// it. A person marks to some 0.1 % of the board's length.
const lineWidth = 0.0025

// nearlyCollinear reports whether some line passes within lineWidth of all
// points but at most spare.
func nearlyCollinear(points []geom.Point, spare int) bool {
	width := lineWidth * boxDiagonal(points)
	for i, a := range points {
		for _, b := range points[:i] {
			off := 0
			for _, p := range points {
				if math.Abs(geom.Turn(a, b, p)) > width*a.Dist(b) {
					if off++; off > spare {
						break
					}
				}
			}
			if off <= spare {
				return true
			}
		}
	}
	return false
}

// boxDiagonal is the diagonal of the upright box round the points.
func boxDiagonal(points []geom.Point) float64 {
	lo, hi := points[0], points[0]
	for _, p := range points {
		lo = geom.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = geom.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	return hi.Dist(lo)
}

func split(pairs []Pair) (component, foil []geom.Point) {
	for _, p := range pairs {
		component = append(component, p.Component)
		foil = append(foil, p.Foil)
	}
	return component, foil
}
