package raster_test

import (
	"testing"

	"pgregory.net/rapid"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// Pixels inside are those of which geom.Inside says so, for triangles whose
// sides go through no pixel's middle.
func TestEachInsideVisitsWhatIsInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const side = 20
		var triangle []geom.Point
		for range 3 {
			x, y := rapid.IntRange(0, side-1).Draw(t, "x"), rapid.IntRange(0, side-1).Draw(t, "y")
			triangle = append(triangle, geom.Point{X: float64(x) + 0.371137, Y: float64(y) + 0.413773})
		}
		visited := map[[2]int]bool{}
		raster.EachInside(triangle, func(x, y int) { visited[[2]int{x, y}] = true })
		for y := range side + 1 {
			for x := range side + 1 {
				want := geom.Inside(triangle, geom.Point{X: float64(x), Y: float64(y)})
				if visited[[2]int{x, y}] != want {
					t.Fatalf("pixel %d, %d of %v: visited %v, inside %v", x, y, triangle, !want, want)
				}
			}
		}
	})
}

// A path that winds twice around a place has it inside, unlike one that winds
// around it forwards and backwards.
func TestEachInsideCountsTurns(t *testing.T) {
	square := func(side float64) []geom.Point {
		return []geom.Point{{X: 0.5, Y: 0.5}, {X: side, Y: 0.5}, {X: side, Y: side}, {X: 0.5, Y: side}}
	}
	inside := func(path []geom.Point) bool {
		in := false
		raster.EachInside(path, func(x, y int) { in = in || x == 2 && y == 2 })
		return in
	}
	twice := append(square(8.5), square(4.5)...)
	if !inside(twice) {
		t.Error("a place that is gone around twice is not inside")
	}
	back := square(4.5)
	back[1], back[3] = back[3], back[1]
	if inside(append(square(8.5), back...)) {
		t.Error("a place that is gone around there and back is inside")
	}
	raster.EachInside(nil, func(int, int) { t.Error("nothing has an inside") })
}
