package schematic

import "math"

// Side is a direction on the drawing.
type Side uint8

// The sides, clockwise from above.
const (
	Up Side = iota
	Right
	Down
	Left
)

// String names the side.
func (s Side) String() string { return [...]string{"up", "right", "down", "left"}[s&3] }

// step is the unit vector of the side.
func (s Side) step() cell {
	return [4]cell{{0, -1}, {1, 0}, {0, 1}, {-1, 0}}[s&3]
}

func (s Side) opposite() Side { return (s + 2) & 3 }

func (s Side) vertical() bool { return s == Up || s == Down }

// Orient is how a symbol is turned: mirrored left to right first, then turned
// clockwise by quarters.
type Orient struct {
	Mirror   bool `json:"mirror,omitempty"`
	Quarters int  `json:"quarters,omitempty"` // 0…3
}

// apply turns a point about the symbol's origin.
func (o Orient) apply(p Point) Point {
	if o.Mirror {
		p.X = -p.X
	}
	for range o.Quarters & 3 {
		p.X, p.Y = -p.Y, p.X
	}
	return p
}

// side turns a direction.
func (o Orient) side(s Side) Side {
	if o.Mirror && !s.vertical() {
		s = s.opposite()
	}
	return (s + Side(o.Quarters&3)) & 3
}

func (o Orient) strokes(in []Stroke) []Stroke {
	out := make([]Stroke, len(in))
	for i, s := range in {
		out[i] = s
		out[i].Points = make([]Point, len(s.Points))
		for j, p := range s.Points {
			out[i].Points[j] = o.apply(p)
		}
	}
	return out
}

// box turns a box; it stays upright.
func (o Orient) box(b Box) Box {
	return boxOf(o.apply(Point{b.X, b.Y}), o.apply(Point{b.X + b.W, b.Y + b.H}))
}

func moveStrokes(in []Stroke, dx, dy float64) []Stroke {
	out := make([]Stroke, len(in))
	for i, s := range in {
		out[i] = s
		out[i].Points = make([]Point, len(s.Points))
		for j, p := range s.Points {
			out[i].Points[j] = Point{p.X + dx, p.Y + dy}
		}
	}
	return out
}

// boxOf is the smallest box about the points.
func boxOf(points ...Point) Box {
	lo, hi := points[0], points[0]
	for _, p := range points[1:] {
		lo = Point{math.Min(lo.X, p.X), math.Min(lo.Y, p.Y)}
		hi = Point{math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)}
	}
	return Box{lo.X, lo.Y, hi.X - lo.X, hi.Y - lo.Y}
}

func (b Box) right() float64  { return b.X + b.W }
func (b Box) bottom() float64 { return b.Y + b.H }

func (b Box) move(dx, dy float64) Box { return Box{b.X + dx, b.Y + dy, b.W, b.H} }

func (b Box) grow(d float64) Box { return Box{b.X - d, b.Y - d, b.W + 2*d, b.H + 2*d} }

func (b Box) union(c Box) Box {
	return boxOf(Point{b.X, b.Y}, Point{b.right(), b.bottom()}, Point{c.X, c.Y}, Point{c.right(), c.bottom()})
}

// overlaps tells whether the boxes share more than an edge.
func (b Box) overlaps(c Box) bool {
	return b.X < c.right() && c.X < b.right() && b.Y < c.bottom() && c.Y < b.bottom()
}

// holds tells whether the point is in the box or on its edge.
func (b Box) holds(p Point) bool {
	return b.X <= p.X && p.X <= b.right() && b.Y <= p.Y && p.Y <= b.bottom()
}

// strokeBox is the box about strokes. A curve lies within its control points
// for the arcs that a pen draws, so that they serve.
func strokeBox(strokes []Stroke) Box {
	var all []Point
	for _, s := range strokes {
		all = append(all, s.Points...)
	}
	return boxOf(all...)
}

// cell is a place on the grid, or a distance on it.
type cell struct{ x, y int }

func (c cell) add(d cell) cell { return cell{c.x + d.x, c.y + d.y} }

func (c cell) times(k int) cell { return cell{c.x * k, c.y * k} }

func (c cell) point() Point { return Point{float64(c.x * Unit), float64(c.y * Unit)} }

func gridCell(p Point) cell {
	return cell{int(math.Round(p.X / Unit)), int(math.Round(p.Y / Unit))}
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
