package align

import (
	"context"
	"image"
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// outline is where a board lies in its photo.
type outline struct {
	quad [4]geom.Point // corners in photo pixels, clockwise as seen
	seen bool          // false: the board fills the photo, quad is the photo's edge
}

// longer is the length of the quad's longer side, photo pixels.
func (o outline) longer() float64 {
	a := (o.quad[0].Dist(o.quad[1]) + o.quad[2].Dist(o.quad[3])) / 2
	b := (o.quad[1].Dist(o.quad[2]) + o.quad[3].Dist(o.quad[0])) / 2
	return math.Max(a, b)
}

// box is the upright part of the photo round the quad.
func (o outline) box(all image.Rectangle) image.Rectangle {
	lo, hi := o.quad[0], o.quad[0]
	for _, p := range o.quad {
		lo = geom.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = geom.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	r := image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X))+1, int(math.Ceil(hi.Y))+1)
	return r.Intersect(all)
}

// outlinePixels is the size, in pixels, of the copy that the outline is looked
// for on.
const outlinePixels = 160_000

// Cuts in colour distance that are tried, each a half more than the last: from
// what is just seen as another colour to black against white.
const (
	firstCut = 4.0
	lastCut  = 45.0
	nextCut  = 1.5
)

// straightest is the least share of a border on four lines that makes it a
// board's: a cable or a plug may hide a third of it.
const straightest = 0.5

// findOutline looks for the board against its background: the photo's margin
// gives the colours of the background, what differs from all of them by more
// than some cut is the board, and four straight sides are laid along it. Where no
// cut gives straight sides, the board fills the photo.
func findOutline(ctx context.Context, img *image.RGBA) (outline, error) {
	best := outline{quad: [4]geom.Point(Size{img.Rect.Dx(), img.Rect.Dy()}.corners())}
	small, n, err := photo.Working(ctx, img, outlinePixels)
	if err != nil {
		return best, err
	}
	lab, err := photo.Lab(ctx, small)
	if err != nil {
		return best, err
	}
	if quad, ok := straightestQuad(ctx, fromMargin(lab)); ok {
		for i := range quad {
			quad[i] = photo.PixelAt(quad[i], n)
		}
		best = outline{quad: quad, seen: true}
	}
	return best, ctx.Err()
}

// asStraight is the share of the straightest border's straightness at which
// another is as good.
const asStraight = 0.9

// straightestQuad tries the cuts. Of those about as straight as the best it
// takes the highest: a board's shadow has straight sides as well, but differs
// less from the background than the board does.
func straightestQuad(ctx context.Context, apart raster.Plane) (quad [4]geom.Point, ok bool) {
	type trial struct {
		quad     [4]geom.Point
		straight float64
	}
	var trials []trial
	most := 0.0
	for cut := firstCut; cut < lastCut && ctx.Err() == nil; cut *= nextCut {
		if mask, ok := boardMask(apart, float32(cut)); ok {
			q, straight := quadRound(mask)
			trials = append(trials, trial{q, straight})
			most = max(most, straight)
		}
	}
	for _, t := range trials {
		if t.straight >= max(straightest, asStraight*most) {
			quad, ok = t.quad, true
		}
	}
	return quad, ok
}
