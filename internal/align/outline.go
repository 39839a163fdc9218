package align

import (
	"context"
	"image"
	"math"

	"foilside/internal/num/geom"
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

// findOutline looks for the board against its background: the photo's margin
// gives the colours of the background, what differs from all of them is the
// board, and four straight sides are laid along it. Where no such piece stands
// out, the board fills the photo.
func findOutline(ctx context.Context, img *image.RGBA) (outline, error) {
	whole := outline{quad: [4]geom.Point(Size{img.Rect.Dx(), img.Rect.Dy()}.corners())}
	small, n, err := photo.Working(ctx, img, outlinePixels)
	if err != nil {
		return whole, err
	}
	lab, err := photo.Lab(ctx, small)
	if err != nil {
		return whole, err
	}
	apart := fromMargin(lab)
	mask, ok := boardMask(apart)
	if !ok {
		return whole, ctx.Err()
	}
	quad, ok := quadRound(mask)
	if !ok {
		return whole, ctx.Err()
	}
	for i := range quad {
		quad[i] = photo.PixelAt(quad[i], n)
	}
	return outline{quad: quad, seen: true}, ctx.Err()
}
