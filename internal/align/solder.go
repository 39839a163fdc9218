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

// Solder is grey where laminate, copper and lacquer are coloured, and it
// glitters. Where that is so most within a joint's width, solder is; on a
// tinned board, where all metal is grey, the glitter still tells.
const (
	solderPixels = 1000 // of the board's longer side, about, on the copy looked at
	// solderRadius is a joint's, against the longer side: 0.6 mm to 2 mm on
	// boards of 60 mm to 200 mm.
	solderRadius = 0.01
	mostSolder   = 60
	// nearBlack keeps near black, where noise rules, from having a colour, 8 bit.
	nearBlack = 20
	// insideShare of the board is looked at: its rim is grey and glitters too.
	insideShare = 0.96
	// ranksOf is how many pixels the ranks of all are taken from.
	ranksOf = 20_000
)

// findSolder lists the places of a foil photo that look most like solder, the
// likeliest first.
func findSolder(ctx context.Context, img *image.RGBA, board outline) ([]ring, error) {
	part := board.box(img.Rect)
	n := max(1, int(math.Round(board.longer()/solderPixels)))
	small, err := photo.Shrink(ctx, img.SubImage(part).(*image.RGBA), n)
	if err != nil {
		return nil, err
	}
	corner := geom.Point{X: float64(part.Min.X), Y: float64(part.Min.Y)}
	radius := solderRadius * board.longer() / float64(n)
	glitter, grey := glitterAndGrey(small, radius/2)
	inside := board.shrunk(insideShare)
	isInside := func(x, y int) bool {
		return geom.Inside(inside.quad[:], photo.PixelAt(geom.Point{X: float64(x), Y: float64(y)}, n).Add(corner))
	}
	score := rankProduct(glitter, grey, isInside)
	score = raster.Gaussian(score, radius/2)
	var list []ring
	for _, p := range localTops(score, int(math.Round(radius))) {
		list = append(list, ring{photo.PixelAt(p, n).Add(corner), radius * float64(n), float64(score.At(int(p.X), int(p.Y)))})
	}
	slices.SortStableFunc(list, func(a, b ring) int { return cmp.Compare(b.votes, a.votes) })
	return list[:min(len(list), mostSolder)], ctx.Err()
}

// shrunk draws an outline in towards its middle.
func (o outline) shrunk(share float64) outline {
	mid := mean(o.quad[:])
	for i, p := range o.quad {
		o.quad[i] = mid.Add(p.Sub(mid).Scale(share))
	}
	return o
}

// glitterAndGrey are the spread of brightness round each pixel, and how little
// colour there is, both over a Gaussian window.
func glitterAndGrey(img *image.RGBA, sigma float64) (glitter, grey raster.Plane) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	luma, squares, plain := lumaOf(img), raster.NewPlane(w, h), raster.NewPlane(w, h)
	for y := range h {
		row := img.Pix[y*img.Stride:]
		for x := range w {
			r, g, b := float32(row[4*x]), float32(row[4*x+1]), float32(row[4*x+2])
			hi := max(r, g, b)
			plain.Pix[y*w+x] = (min(r, g, b) - hi) / (hi + nearBlack)
			squares.Pix[y*w+x] = luma.Pix[y*w+x] * luma.Pix[y*w+x]
		}
	}
	mean, of := raster.Gaussian(luma, sigma), raster.Gaussian(squares, sigma)
	for i, v := range mean.Pix {
		of.Pix[i] = max(0, of.Pix[i]-v*v)
	}
	return of, raster.Gaussian(plain, sigma)
}

// rankProduct is, for each pixel inside, the rank of its glitter times the
// square of that of its grey; 0 outside.
func rankProduct(glitter, grey raster.Plane, inside func(x, y int) bool) raster.Plane {
	step := max(1, int(math.Sqrt(float64(len(grey.Pix))/ranksOf)))
	var some [2][]float32
	for y := 0; y < grey.H; y += step {
		for x := 0; x < grey.W; x += step {
			if inside(x, y) {
				some[0], some[1] = append(some[0], glitter.At(x, y)), append(some[1], grey.At(x, y))
			}
		}
	}
	slices.Sort(some[0])
	slices.Sort(some[1])
	out := raster.NewPlane(grey.W, grey.H)
	raster.Rows(out.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range out.W {
				if inside(x, y) {
					g := rankAmong(some[1], grey.At(x, y))
					out.Set(x, y, rankAmong(some[0], glitter.At(x, y))*g*g)
				}
			}
		}
	})
	return out
}

func rankAmong(sorted []float32, v float32) float32 {
	k, _ := slices.BinarySearch(sorted, v)
	return float32(k) / float32(len(sorted))
}

// localTops are the pixels with the largest value within reach each way.
func localTops(p raster.Plane, reach int) []geom.Point {
	var list []geom.Point
	for y := range p.H {
		for x := range p.W {
			if v := p.At(x, y); v > 0 && isTop(p, x, y, v, reach) {
				list = append(list, geom.Point{X: float64(x), Y: float64(y)})
			}
		}
	}
	return list
}

func isTop(p raster.Plane, x, y int, v float32, reach int) bool {
	// The nearest first: most pixels fail there.
	for d := 1; d <= reach; d++ {
		for k := -d; k <= d; k++ {
			for _, q := range [4][2]int{{x + k, y - d}, {x + k, y + d}, {x - d, y + k}, {x + d, y + k}} {
				if q[0] >= 0 && q[1] >= 0 && q[0] < p.W && q[1] < p.H && p.At(q[0], q[1]) > v {
					return false
				}
			}
		}
	}
	return true
}
