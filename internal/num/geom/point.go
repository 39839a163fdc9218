package geom

import "math"

// Point is a place in the plane: x to the right, y down.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p - q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale returns p scaled by k about the origin.
func (p Point) Scale(k float64) Point { return Point{k * p.X, k * p.Y} }

// Norm is the distance of p from the origin.
func (p Point) Norm() float64 { return math.Hypot(p.X, p.Y) }

// Dist is the distance between p and q.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Norm() }

// Finite reports whether both coordinates are numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X+p.Y) && !math.IsInf(p.X, 0) && !math.IsInf(p.Y, 0)
}
