package raster

import "foilside/internal/num/geom"

// Outline is one closed boundary of a labelled piece, along the edges of its
// pixels: corners lie at half-integers. With y down, outer boundaries run
// clockwise on the screen and holes the other way, so the shoelace sum of all
// outlines of a piece is its area in pixels.
type Outline []geom.Point

// heading is a step along a pixel edge: right, down, left, up.
type heading uint8

var steps = [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}

// Contours returns the outlines of the pixels with of[i] == label. Pieces that
// touch at a corner only are kept apart (four neighbours).
func Contours(l Labels, label int32) []Outline {
	in := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < l.W && y < l.H && l.Of[y*l.W+x] == label
	}
	seen := make(map[int]bool) // top edges already walked, by pixel index
	var out []Outline
	for y := range l.H {
		for x := range l.W {
			if in(x, y) && !in(x, y-1) && !seen[y*l.W+x] {
				out = append(out, walk(in, x, y, func(x, y int) { seen[y*l.W+x] = true }))
			}
		}
	}
	return out
}

// walk follows the boundary that begins along the top edge of pixel (x, y),
// keeping the piece on its right.
func walk(in func(x, y int) bool, x, y int, top func(x, y int)) Outline {
	var o Outline
	cx, cy, h := x, y, heading(0) // corner (cx-½, cy-½)
	for {
		if h == 0 {
			top(cx, cy)
		}
		cx, cy = cx+steps[h][0], cy+steps[h][1]
		turn := nextHeading(in, cx, cy, h)
		if turn != h {
			o = append(o, geom.Point{X: float64(cx) - 0.5, Y: float64(cy) - 0.5})
		}
		h = turn
		if cx == x && cy == y && h == 0 {
			return o
		}
	}
}

// nextHeading looks at the two pixels ahead of corner (cx, cy).
func nextHeading(in func(x, y int) bool, cx, cy int, h heading) heading {
	// The pixel right of the next edge and the one left of it, per heading.
	right := [4][2]int{{0, 0}, {-1, 0}, {-1, -1}, {0, -1}}
	left := [4][2]int{{0, -1}, {0, 0}, {-1, 0}, {-1, -1}}
	switch {
	case !in(cx+right[h][0], cy+right[h][1]):
		return (h + 1) % 4
	case !in(cx+left[h][0], cy+left[h][1]):
		return h
	default:
		return (h + 3) % 4
	}
}

// Area is the shoelace area: positive for outer boundaries.
func (o Outline) Area() float64 {
	s := 0.0
	for i, p := range o {
		q := o[(i+1)%len(o)]
		s += p.X*q.Y - q.X*p.Y
	}
	return s / 2
}
