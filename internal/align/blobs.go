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

// blob is a small round spot, dark or bright, as holes, pads and joints are.
type blob struct {
	at     geom.Point // photo pixels
	radius float64    // photo pixels
	power  float64    // contrast, L* units, always positive
	dark   bool       // darker than what is round it
}

// Blobs are looked for at radii against the longer side of the board.
const (
	smallestBlob = 0.0018 // a 0.7 mm hole in a board of 200 mm
	largestBlob  = 0.016
	// finestRadius is the smallest blob's radius in pixels of the working copy.
	finestRadius = 1.9
	// roundest: the ratio of the two curvatures of a blob is at most this;
	// tracks and edges have more.
	roundest = 3.0
	// faintest contrast that counts, in L*.
	faintest = 1.5
)

// findBlobs returns the most marked blobs of a board, strongest first.
//
// The part of the photo round the board is first shrunk so that the smallest
// blob still has a radius of some 2 pixels; every doubling of the radius then
// works on a copy half as large.
//
// Source: scale-space extrema of the difference of Gaussians with an edge test
// by the ratio of principal curvatures, Lowe, Int. J. Comput. Vis. 60 (2004),
// §3, §4.1.
func findBlobs(ctx context.Context, img *image.RGBA, board outline, most int) ([]blob, error) {
	found, err := blobsOf(ctx, img, board, smallestBlob, largestBlob)
	if err != nil {
		return nil, err
	}
	return thin(strong(found), most), nil
}

// A blob must have this share of the contrast of the strongest but so many. The
// weave of a laminate makes faint blobs by the hundred in even rows, which fit
// each other any way the board is turned.
const (
	strongShare = 0.1
	strongOf    = 30
)

// strong drops the blobs that are faint against the strong ones; the list is
// sorted.
func strong(sorted []blob) []blob {
	if len(sorted) < strongOf {
		return sorted
	}
	least := strongShare * sorted[strongOf-1].power
	n := slices.IndexFunc(sorted, func(b blob) bool { return b.power < least })
	if n < 0 {
		return sorted
	}
	return sorted[:n]
}

// bigBlobs returns the most marked dark blobs of the size of bores.
func bigBlobs(ctx context.Context, img *image.RGBA, board outline) ([]blob, error) {
	found, err := blobsOf(ctx, img, board, leastBore, mostBore)
	if err != nil {
		return nil, err
	}
	found = slices.DeleteFunc(found, func(b blob) bool { return !b.dark })
	return thin(found, mostBores), nil
}

// blobsOf lists the blobs of a board with radii between two shares of its
// longer side, strongest first.
func blobsOf(ctx context.Context, img *image.RGBA, board outline, least, largest float64) ([]blob, error) {
	part := board.box(img.Rect)
	crop := img.SubImage(part).(*image.RGBA)
	n := max(1, int(math.Round(least*board.longer()/finestRadius)))
	small, err := photo.Shrink(ctx, crop, n)
	if err != nil {
		return nil, err
	}
	lab, err := photo.Lab(ctx, small)
	if err != nil {
		return nil, err
	}
	radius := least * board.longer() / float64(n)
	found, err := octaves(ctx, lab.L, radius, largest/least*radius)
	if err != nil {
		return nil, err
	}
	corner := geom.Point{X: float64(part.Min.X), Y: float64(part.Min.Y)}
	var inside []blob
	for _, b := range found {
		b.at, b.radius = photo.PixelAt(b.at, n).Add(corner), b.radius*float64(n)
		if geom.Inside(board.quad[:], b.at) {
			inside = append(inside, b)
		}
	}
	slices.SortFunc(inside, func(a, b blob) int {
		return cmp.Or(cmp.Compare(b.power, a.power), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
	return inside, nil
}

// octaves finds the blobs of all radii from smallest to largest, in pixels of
// p, halving the plane as the radius doubles.
func octaves(ctx context.Context, p raster.Plane, smallest, largest float64) ([]blob, error) {
	var found []blob
	shrunk := 1
	for radius := smallest; radius < largest; radius *= 2 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		steps := differences(p, radius/float64(shrunk))
		for s := 1; s+1 < len(steps); s++ {
			for _, b := range extrema(steps, s) {
				b.at, b.radius = photo.PixelAt(b.at, shrunk), b.radius*float64(shrunk)
				found = append(found, b)
			}
		}
		p = raster.Shrink(p, 2)
		shrunk *= 2
	}
	return found, nil
}

// scaled is one difference of two smoothings: its blobs have the radius given,
// in pixels of the plane.
type scaled struct {
	plane  raster.Plane
	radius float64
}

// scaleStep is the step from one radius to the next.
const scaleStep = math.Sqrt2

// differences smooths at four scales round two radii, the one given and the
// next, and subtracts neighbours. A disc of radius r answers most at
// sigma = r/√2 (Lindeberg, Int. J. Comput. Vis. 30, 1998).
func differences(p raster.Plane, radius float64) []scaled {
	var list []scaled
	r := radius / scaleStep
	last := raster.Gaussian(p, r/math.Sqrt2/math.Sqrt(scaleStep))
	for range 4 {
		next := raster.Gaussian(p, r/math.Sqrt2*math.Sqrt(scaleStep))
		d := raster.NewPlane(p.W, p.H)
		for i := range d.Pix {
			d.Pix[i] = last.Pix[i] - next.Pix[i]
		}
		list = append(list, scaled{d, r})
		last, r = next, r*scaleStep
	}
	return list
}

// discGain turns the answer of a difference of Gaussians into the contrast of
// a disc of matching radius: smoothed with sigma, a disc of radius r keeps
// 1 - exp(-r²/2σ²) of its contrast at its centre. With r²/2σ² = √2 and 1/√2
// that leaves 0.757 - 0.507.
const discGain = 1 / 0.2500

// extrema finds the places of scale s that exceed all 26 neighbours in place
// and scale.
func extrema(steps []scaled, s int) []blob {
	p := steps[s].plane
	var list []blob
	edge := int(steps[s].radius) + 2
	for y := edge; y < p.H-edge; y++ {
		for x := edge; x < p.W-edge; x++ {
			v := p.At(x, y)
			power := math.Abs(float64(v)) * discGain
			if power < faintest || !exceeds(steps, s, x, y, v) || !round(p, x, y) {
				continue
			}
			list = append(list, blob{at: finer(p, x, y), radius: steps[s].radius, power: power, dark: v < 0})
		}
	}
	return list
}

// exceeds reports whether v at (x, y) is the extreme of its 26 neighbours.
func exceeds(steps []scaled, s, x, y int, v float32) bool {
	sign := float32(1)
	if v < 0 {
		sign = -1
	}
	for ds := -1; ds <= 1; ds++ {
		q := steps[s+ds].plane
		for dy := -1; dy <= 1; dy++ {
			row := q.Pix[(y+dy)*q.W+x-1 : (y+dy)*q.W+x+2]
			for dx, w := range row {
				if (ds != 0 || dy != 0 || dx != 1) && sign*w >= sign*v {
					return false
				}
			}
		}
	}
	return true
}

// round reports whether the spot curves about alike both ways.
func round(p raster.Plane, x, y int) bool {
	c := 2 * p.At(x, y)
	xx := float64(p.At(x+1, y) + p.At(x-1, y) - c)
	yy := float64(p.At(x, y+1) + p.At(x, y-1) - c)
	xy := float64(p.At(x+1, y+1)+p.At(x-1, y-1)-p.At(x+1, y-1)-p.At(x-1, y+1)) / 4
	trace, det := xx+yy, xx*yy-xy*xy
	return det > 0 && trace*trace/det < (roundest+1)*(roundest+1)/roundest
}

// finer places the extremum between pixels by a parabola each way.
func finer(p raster.Plane, x, y int) geom.Point {
	shift := func(before, at, after float32) float64 {
		bend := float64(before - 2*at + after)
		if bend == 0 {
			return 0
		}
		return math.Max(-0.5, math.Min(0.5, float64(before-after)/(2*bend)))
	}
	v := p.At(x, y)
	return geom.Point{
		X: float64(x) + shift(p.At(x-1, y), v, p.At(x+1, y)),
		Y: float64(y) + shift(p.At(x, y-1), v, p.At(x, y+1)),
	}
}

// thin keeps the strongest blobs, at most so many, dropping those that a
// stronger one covers (a pad and the hole in it are one place).
func thin(sorted []blob, most int) []blob {
	var kept []blob
	cells := map[[2]int][]blob{}
	const cell = 64.0 // photo pixels; only a bucket size
	for _, b := range sorted {
		if len(kept) == most {
			break
		}
		cx, cy := int(b.at.X/cell), int(b.at.Y/cell)
		covered := false
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for _, k := range cells[[2]int{cx + dx, cy + dy}] {
					covered = covered || k.at.Dist(b.at) < math.Max(b.radius, k.radius)
				}
			}
		}
		if !covered {
			kept = append(kept, b)
			cells[[2]int{cx, cy}] = append(cells[[2]int{cx, cy}], b)
		}
	}
	return kept
}
