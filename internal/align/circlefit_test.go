package align

import (
	"math"
	"testing"

	"foilside/internal/num/geom"
)

// A circle through 36 border points, timed against OpenCV's fitEllipse by
// crosscheck/raster_speed.py.
func BenchmarkPrimitiveCircle(b *testing.B) {
	points := make([]borderPoint, sectors)
	for k := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sectors)
		r := 11 + 0.3*math.Sin(7*float64(k))
		points[k] = borderPoint{at: geom.Point{X: 40.3 + r*cos, Y: 39.8 + r*sin}, slope: 5}
	}
	for b.Loop() {
		c := circle{at: geom.Point{X: 40, Y: 40}, radius: 10}
		c.fit(points)
	}
}
