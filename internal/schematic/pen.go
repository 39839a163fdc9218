package schematic

import "math"

// pen gathers the strokes of a symbol. Coordinates come as x, y, x, y …
type pen struct{ strokes []Stroke }

func points(xy []float64) []Point {
	out := make([]Point, 0, len(xy)/2)
	for i := 0; i+1 < len(xy); i += 2 {
		out = append(out, Point{xy[i], xy[i+1]})
	}
	return out
}

// line draws a polyline.
func (p *pen) line(xy ...float64) { p.strokes = append(p.strokes, Stroke{Points: points(xy)}) }

// dashes draws a dashed polyline: a mechanical link, a grid.
func (p *pen) dashes(xy ...float64) {
	p.strokes = append(p.strokes, Stroke{Points: points(xy), Dashed: true})
}

// shape draws a closed outline.
func (p *pen) shape(xy ...float64) {
	p.strokes = append(p.strokes, Stroke{Points: points(xy), Closed: true})
}

// solid draws a closed figure filled with ink.
func (p *pen) solid(xy ...float64) {
	p.strokes = append(p.strokes, Stroke{Points: points(xy), Closed: true, Filled: true})
}

func (p *pen) rect(x, y, w, h float64) { p.shape(x, y, x+w, y, x+w, y+h, x, y+h) }

func (p *pen) circle(x, y, r float64) {
	p.strokes = append(p.strokes, arcStroke(x, y, r, 0, 360, true))
}

func (p *pen) disc(x, y, r float64) {
	s := arcStroke(x, y, r, 0, 360, true)
	s.Filled = true
	p.strokes = append(p.strokes, s)
}

// arc draws from one angle to another, degrees clockwise from the right.
func (p *pen) arc(x, y, r, from, to float64) {
	p.strokes = append(p.strokes, arcStroke(x, y, r, from, to, false))
}

// arrow draws a line with a filled head at its end.
func (p *pen) arrow(x0, y0, x1, y1 float64) {
	l := math.Hypot(x1-x0, y1-y0)
	ux, uy := (x1-x0)/l, (y1-y0)/l
	p.line(x0, y0, x1-2*ux, y1-2*uy)
	p.head(x1, y1, ux, uy)
}

// head draws an arrow head with its tip at x, y, pointing along the unit
// vector.
func (p *pen) head(x, y, ux, uy float64) {
	const long, half = 5.0, 2.0
	bx, by := x-long*ux, y-long*uy
	p.solid(x, y, bx-half*uy, by+half*ux, bx+half*uy, by-half*ux)
}

// arcStroke makes an arc of pieces of at most a quarter turn. The control
// points of a piece by the usual 4/3·tan(φ/4); exact to 3 parts in 10000.
func arcStroke(x, y, r, from, to float64, closed bool) Stroke {
	n := int(math.Ceil(math.Abs(to-from)/90 - 1e-9))
	phi := (to - from) / float64(n) * math.Pi / 180
	k := 4.0 / 3 * math.Tan(phi/4)
	at := func(a float64) (c, s float64) { return math.Cos(a), math.Sin(a) }
	a := from * math.Pi / 180
	c, s := at(a)
	pts := []Point{tidy(x+r*c, y+r*s)}
	for range n {
		c1, s1 := at(a + phi)
		pts = append(pts, tidy(x+r*(c-k*s), y+r*(s+k*c)), tidy(x+r*(c1+k*s1), y+r*(s1-k*c1)), tidy(x+r*c1, y+r*s1))
		a, c, s = a+phi, c1, s1
	}
	return Stroke{Points: pts, Curved: true, Closed: closed}
}

// tidy rounds to a thousandth, so that a drawing reads and compares cleanly.
func tidy(x, y float64) Point {
	return Point{math.Round(x*1000) / 1000, math.Round(y*1000) / 1000}
}
