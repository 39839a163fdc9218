package render

import (
	"math"

	"foilside/internal/schematic"
)

// line is one stroke of the display list, in drawing units.
type line struct {
	schematic.Stroke
	width float64
}

// list is a drawing as PDF and PNG draw it: strokes first, texts over them.
type list struct {
	lines []line
	texts []schematic.Text
}

// dotRadius is that of a junction, in drawing units.
const dotRadius = 2.4

// listOf flattens a drawing.
func listOf(d schematic.Drawing) list {
	var l list
	add := func(strokes []schematic.Stroke) {
		for _, s := range strokes {
			l.lines = append(l.lines, line{s, lineWidth})
		}
	}
	if len(d.Sheets) > 1 {
		for _, s := range d.Sheets {
			b := s.Box
			add([]schematic.Stroke{{Closed: true, Points: []schematic.Point{{X: b.X, Y: b.Y}, {X: b.X + b.W, Y: b.Y}, {X: b.X + b.W, Y: b.Y + b.H}, {X: b.X, Y: b.Y + b.H}}}})
		}
	}
	for _, w := range d.Wires {
		add([]schematic.Stroke{{Points: w.Points}})
	}
	for _, x := range d.Dots {
		l.lines = append(l.lines, line{disc(x.At, dotRadius), 0})
	}
	for _, p := range d.Parts {
		add(p.Strokes)
	}
	for _, m := range d.Marks {
		add(m.Strokes)
	}
	add(d.Ruled)
	for _, p := range d.Parts {
		if p.Suspect > 0 {
			add([]schematic.Stroke{suspectFrame(p.Box)})
		}
	}
	for _, t := range d.TestPoints {
		add(t.Strokes)
		add(t.Wave)
	}
	l.texts = d.Texts
	return l
}

// suspectFrame is the dashed frame about a suspected part.
func suspectFrame(b schematic.Box) schematic.Stroke {
	const room = 1.5
	x0, y0, x1, y1 := b.X-room, b.Y-room, b.X+b.W+room, b.Y+b.H+room
	return schematic.Stroke{Closed: true, Dashed: true, Points: []schematic.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
}

// disc is a filled circle of four cubic arcs.
func disc(c schematic.Point, r float64) schematic.Stroke {
	const k = 0.5522847498
	at := func(x, y float64) schematic.Point { return schematic.Point{X: c.X + r*x, Y: c.Y + r*y} }
	return schematic.Stroke{Curved: true, Closed: true, Filled: true, Points: []schematic.Point{
		at(1, 0), at(1, k), at(k, 1), at(0, 1), at(-k, 1), at(-1, k), at(-1, 0),
		at(-1, -k), at(-k, -1), at(0, -1), at(k, -1), at(1, -k), at(1, 0)}}
}

// flat turns a stroke into a polyline; arcs into pieces of an eighth turn at
// most.
func flat(s schematic.Stroke) []schematic.Point {
	if !s.Curved {
		if s.Closed {
			return append(append([]schematic.Point(nil), s.Points...), s.Points[0])
		}
		return s.Points
	}
	const steps = 10
	out := []schematic.Point{s.Points[0]}
	for i := 0; i+3 < len(s.Points); i += 3 {
		p := s.Points[i : i+4]
		for k := 1; k <= steps; k++ {
			t := float64(k) / steps
			u := 1 - t
			a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
			out = append(out, schematic.Point{
				X: a*p[0].X + b*p[1].X + c*p[2].X + d*p[3].X,
				Y: a*p[0].Y + b*p[1].Y + c*p[2].Y + d*p[3].Y})
		}
	}
	if s.Closed {
		out = append(out, s.Points[0])
	}
	return out
}

// dashed cuts a polyline into dashes of the given lengths.
func dashed(pts []schematic.Point, on, off float64) [][]schematic.Point {
	var out [][]schematic.Point
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		for s := 0.0; s < l; s += on + off {
			e := math.Min(s+on, l)
			out = append(out, []schematic.Point{
				{X: a.X + (b.X-a.X)*s/l, Y: a.Y + (b.Y-a.Y)*s/l},
				{X: a.X + (b.X-a.X)*e/l, Y: a.Y + (b.Y-a.Y)*e/l}})
		}
	}
	return out
}
