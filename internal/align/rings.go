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

// rimSearch says which round rims are looked for all over a board, on a copy
// of about so many pixels along its longer side; radii are in pixels of it.
type rimSearch struct {
	pixels      float64
	least, most float64
	side        polarity
}

// jointRims are pads of 1.4 mm on boards of 200 mm to pads of 3 mm on boards
// of 60 mm; holeRims are holes of 0.8 mm to 1.4 mm on the same boards.
func jointRims() rimSearch { return rimSearch{1100, 4, 27, eitherSide} }
func holeRims() rimSearch  { return rimSearch{1500, 3, 17, darkInside} }

const (
	mostRings = 300
	// fewestVotes is the share of a rim's length that must have voted.
	fewestVotes = 0.3
)

// findRings lists the round rims, those with most of their rim seen first, in
// photo pixels.
func findRings(ctx context.Context, img *image.RGBA, board outline, want rimSearch) ([]ring, error) {
	part := board.box(img.Rect)
	factor := math.Max(1, board.longer()/want.pixels)
	n := int(factor)
	small, err := photo.Shrink(ctx, img.SubImage(part).(*image.RGBA), n)
	if err != nil {
		return nil, err
	}
	s := newSlopes(raster.Shrink(lumaOf(small), factor/float64(n)))
	corner := geom.Point{X: float64(part.Min.X), Y: float64(part.Min.Y)}
	var all []ring
	border := s.borderPixels()
	votes := func(r float64) rimVotes { return newRimVotes(border, s.x.W, s.x.H, r, want.side) }
	last, here := votes(want.least-1), votes(want.least)
	for r := want.least; r < want.most; r++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		next := votes(r + 1)
		for _, found := range here.peaks(last, next, r) {
			// The centre of a shrunk pixel, raster.Shrink.
			half := geom.Point{X: 0.5, Y: 0.5}
			found.at = found.at.Add(half).Scale(factor).Sub(half).Add(corner)
			found.radius *= factor
			if geom.Inside(board.quad[:], found.at) {
				all = append(all, found)
			}
		}
		last, here = here, next
	}
	slices.SortStableFunc(all, func(a, b ring) int { return cmp.Compare(b.votes, a.votes) })
	var kept []ring
	for _, c := range all {
		if len(kept) == mostRings {
			break
		}
		if !slices.ContainsFunc(kept, func(k ring) bool { return k.at.Dist(c.at) < 0.7*math.Max(k.radius, c.radius) }) {
			kept = append(kept, c)
		}
	}
	return kept, nil
}

func lumaOf(img *image.RGBA) raster.Plane {
	f := face{img: img}
	p := raster.NewPlane(img.Rect.Dx(), img.Rect.Dy())
	raster.Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			for x := range row {
				row[x] = f.luma(x, y)
			}
		}
	})
	return p
}

// borderPixel is a pixel on a border: its slope's direction, outwards of
// something dark, and how much it counts.
type borderPixel struct {
	x, y   float32
	dx, dy float32
	weight float32
}

func (s slopes) borderPixels() []borderPixel {
	var list []borderPixel
	for y := 1; y < s.x.H-1; y++ {
		gx, gy := s.x.Row(y), s.y.Row(y)
		for x := 1; x < s.x.W-1; x++ {
			size := float64(gx[x]*gx[x] + gy[x]*gy[x])
			if size < s.faint*s.faint {
				continue
			}
			g := math.Sqrt(size)
			list = append(list, borderPixel{float32(x), float32(y), gx[x] / float32(g), gy[x] / float32(g), float32(math.Min(1, g/(fullVote*s.faint)))})
		}
	}
	return list
}

// rimVotes counts, for one radius, the border pixels that have a place as
// their circle's centre, over the number that a whole rim has.
type rimVotes struct{ raster.Plane }

func newRimVotes(border []borderPixel, w, h int, r float64, side polarity) rimVotes {
	v := raster.NewPlane(w, h)
	share := float32(1 / (2 * math.Pi * r))
	for _, way := range side.ways() {
		reach := float32(way * r)
		for _, b := range border {
			// One is added before cutting off so that a little below 0 isn't 0.
			i, k := int(b.x-reach*b.dx+1.5)-1, int(b.y-reach*b.dy+1.5)-1
			if i >= 0 && k >= 0 && i < w && k < h {
				v.Pix[k*w+i] += b.weight * share
			}
		}
	}
	return rimVotes{raster.Gaussian(v, 1)}
}

// rimGain undoes what the smoothing of votes takes from a peak that is spread
// over about a pixel each way.
const rimGain = 10.0

// peaks are the places with more votes than all neighbours in place and
// radius.
func (v rimVotes) peaks(smaller, larger rimVotes, r float64) []ring {
	var list []ring
	for y := 1; y < v.H-1; y++ {
		for x := 1; x < v.W-1; x++ {
			a := v.At(x, y)
			if rimGain*a < fewestVotes || !topOf(v, a, x, y) || !topOf(smaller, a, x, y) || !topOf(larger, a, x, y) {
				continue
			}
			list = append(list, ring{geom.Point{X: float64(x), Y: float64(y)}, r, float64(a)})
		}
	}
	return list
}

func topOf(v rimVotes, a float32, x, y int) bool {
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if v.At(x+dx, y+dy) > a {
				return false
			}
		}
	}
	return true
}
