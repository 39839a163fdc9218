package geom

// Inside reports whether p lies in the polygon, by counting the edges that a
// ray to the right crosses. A point on an edge may come out either way.
//
// Source: even-odd rule, Shimrat 1962.
func Inside(polygon []Point, p Point) bool {
	in := false
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// Area is the polygon's area by the shoelace formula: positive where the
// corners run clockwise as seen with y down.
func Area(polygon []Point) float64 {
	sum := 0.0
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return sum / 2
}
