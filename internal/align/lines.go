package align

import (
	"cmp"
	"context"
	"image"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// Where no colour tells board from bench, as with brown laminate on wood, four
// long straight lines still do: each a faint change of colour all along a side
// that ends at the corners, which the grain of wood doesn't.
const (
	linePixels = 300_000 // of the copy that lines are looked for on
	// steepestLine is the largest slope of a side against the photo's edge.
	steepestLine = 0.35
	lineSlopes   = 61
	linesEach    = 16 // lines tried each way
	// fullStep is the change of colour that counts in full.
	fullStep = 8.0
	// leastAlong is the least mean weight along a side, leastEnds by how much
	// the four sides together exceed what goes on beyond their corners.
	leastAlong = 0.3
	leastEnds  = 1.2
)

// straight is a line across the photo: across = a + b·(along - middle), with
// along = x for lying lines and y for standing ones.
type straight struct {
	a, b, middle float64
	standing     bool
	votes        float64
}

func (s straight) line() line {
	// across - b·along = a - b·middle
	n := math.Hypot(1, s.b)
	l := line{x: -s.b / n, y: 1 / n, c: (s.a - s.b*s.middle) / n}
	if s.standing {
		l.x, l.y = l.y, l.x
	}
	return l
}

// linedQuad is the quad of four lines that look most like a board's sides.
func linedQuad(ctx context.Context, img *image.RGBA) (quad [4]geom.Point, ok bool, err error) {
	small, n, err := photo.Working(ctx, img, linePixels)
	if err != nil {
		return quad, false, err
	}
	lab, err := photo.Lab(ctx, small)
	if err != nil {
		return quad, false, err
	}
	lying, standing := lineSteps(lab, false), lineSteps(lab, true)
	tops, sides := strongLines(lying, false), strongLines(standing, true)
	best := 0.0
	for _, vs := range pairsOfLines(sides) {
		if err := ctx.Err(); err != nil {
			return quad, false, err
		}
		for _, hs := range pairsOfLines(tops) {
			q, score := judgeQuad(hs, vs, lying, standing)
			if score > best {
				quad, best = q, score
			}
		}
	}
	for i := range quad {
		quad[i] = photo.PixelAt(quad[i], n)
	}
	return quad, best > 0, nil
}

// lineSteps weighs, from 0 to 1, how much colour changes across each pixel,
// where it changes more than beside it: downwards for lying lines, rightwards
// for standing ones.
func lineSteps(lab photo.LabPlanes, standing bool) raster.Plane {
	w, h := lab.L.W, lab.L.H
	dx, dy := 0, 1
	if standing {
		dx, dy = 1, 0
	}
	size := raster.NewPlane(w, h)
	planes := [3]raster.Plane{raster.Gaussian(lab.L, 1), raster.Gaussian(lab.A, 1), raster.Gaussian(lab.B, 1)}
	for y := 2; y < h-2; y++ {
		for x := 2; x < w-2; x++ {
			sum := float32(0)
			for _, p := range planes {
				d := p.At(x+2*dx, y+2*dy) - p.At(x-2*dx, y-2*dy)
				sum += d * d
			}
			size.Set(x, y, float32(math.Sqrt(float64(sum))))
		}
	}
	out := raster.NewPlane(w, h)
	for y := 3; y < h-3; y++ {
		for x := 3; x < w-3; x++ {
			v := size.At(x, y)
			if v > faintest && v >= size.At(x-dx, y-dy) && v > size.At(x+dx, y+dy) {
				out.Set(x, y, float32(math.Min(1, float64(v)/fullStep)))
			}
		}
	}
	return out
}

// strongLines are the lines with most steps on them (Hough transform, Duda &
// Hart 1972).
func strongLines(steps raster.Plane, standing bool) []straight {
	along, across := steps.W, steps.H
	if standing {
		along, across = across, along
	}
	middle := float64(along) / 2
	const bin = 2.0
	bins := int(float64(across)/bin) + 1
	votes := make([]float32, lineSlopes*bins)
	slope := func(k int) float64 { return steepestLine * (2*float64(k)/(lineSlopes-1) - 1) }
	for y := range steps.H {
		for x, v := range steps.Row(y) {
			if v == 0 {
				continue
			}
			u, s := float64(x), float64(y)
			if standing {
				u, s = s, u
			}
			for k := range lineSlopes {
				if i := int((s - slope(k)*(u-middle)) / bin); i >= 0 && i < bins {
					votes[k*bins+i] += v
				}
			}
		}
	}
	var all []straight
	for i, v := range votes {
		if v > 0.1*float32(along) {
			all = append(all, straight{a: (float64(i%bins) + 0.5) * bin, b: slope(i / bins), middle: middle, standing: standing, votes: float64(v)})
		}
	}
	slices.SortStableFunc(all, func(p, q straight) int { return cmp.Compare(q.votes, p.votes) })
	var kept []straight
	for _, c := range all {
		if len(kept) == linesEach {
			break
		}
		if !slices.ContainsFunc(kept, func(k straight) bool { return math.Abs(k.a-c.a) < 6 && math.Abs(k.b-c.b) < 0.06 }) {
			kept = append(kept, c)
		}
	}
	return kept
}

// pairsOfLines lists the pairs of lines, the one nearer to the origin first.
func pairsOfLines(lines []straight) [][2]straight {
	var list [][2]straight
	for i, p := range lines {
		for _, q := range lines[:i] {
			if p.a > q.a {
				p, q = q, p
			}
			if q.a-p.a > 0.15*p.middle {
				list = append(list, [2]straight{p, q})
			}
		}
	}
	return list
}

// judgeQuad says how much four lines look like the sides of a board; 0 where
// they don't.
func judgeQuad(lying, standing [2]straight, lyingSteps, standingSteps raster.Plane) (q [4]geom.Point, score float64) {
	top, bottom, left, right := lying[0].line(), lying[1].line(), standing[0].line(), standing[1].line()
	for i, pair := range [4][2]line{{top, left}, {top, right}, {bottom, right}, {bottom, left}} {
		p, ok := pair[0].meets(pair[1])
		if !ok || p.X < -2 || p.Y < -2 || p.X > float64(lyingSteps.W)+1 || p.Y > float64(lyingSteps.H)+1 {
			return q, 0
		}
		q[i] = p
	}
	share := geom.Area(q[:]) / float64(lyingSteps.W*lyingSteps.H)
	if share < leastBoard || share > mostBoard {
		return q, 0
	}
	for i := range q {
		steps := lyingSteps
		if i%2 == 1 {
			steps = standingSteps
		}
		along, beyond := alongSide(steps, q[i], q[(i+1)%4])
		if along < leastAlong {
			return q, 0
		}
		score += along - beyond
	}
	if score < leastEnds {
		return q, 0
	}
	return q, score * (1 + math.Sqrt(share))
}

// alongSide is the mean weight of the steps along a side, and beyond its ends.
func alongSide(steps raster.Plane, a, b geom.Point) (along, beyond float64) {
	d := b.Sub(a)
	across := geom.Point{X: -d.Y, Y: d.X}.Scale(1 / math.Max(1, d.Norm()))
	at := func(t float64) float64 {
		best := float32(0)
		for s := -2.0; s <= 2; s++ {
			p := a.Add(d.Scale(t)).Add(across.Scale(s))
			x, y := int(math.Round(p.X)), int(math.Round(p.Y))
			if x >= 0 && y >= 0 && x < steps.W && y < steps.H {
				best = max(best, steps.At(x, y))
			}
		}
		return float64(best)
	}
	const places, outside = 32, 6
	for k := range places {
		along += at(0.05+0.9*(float64(k)+0.5)/places) / places
	}
	for k := range outside {
		t := 0.02 + 0.1*(float64(k)+0.5)/outside
		beyond += (at(-t) + at(1+t)) / (2 * outside)
	}
	return along, beyond
}
