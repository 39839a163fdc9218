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

// colour is a place in L*a*b*.
type colour [3]float64

func (c colour) apart(d colour) float64 {
	return math.Sqrt(square(c[0]-d[0])/4 + square(c[1]-d[1]) + square(c[2]-d[2]))
}

// fromMargin gives each pixel's distance in colour from the nearest of the
// background's colours. Lightness counts half, since shadows and lamps change
// it along the background.
func fromMargin(lab photo.LabPlanes) raster.Plane {
	backs := marginColours(lab)
	out := raster.NewPlane(lab.L.W, lab.L.H)
	for i := range out.Pix {
		c := colour{float64(lab.L.Pix[i]), float64(lab.A.Pix[i]), float64(lab.B.Pix[i])}
		nearest := math.Inf(1)
		for _, b := range backs {
			nearest = math.Min(nearest, c.apart(b))
		}
		out.Pix[i] = float32(nearest)
	}
	return raster.Gaussian(out, 1)
}

// marginColours are up to eight colours of the outermost 2.5 % of the photo,
// those that each hold at least 5 % of it: what only touches the edge, such as
// a wire or tweezers, is no background.
//
// Method: k-means with farthest-point starts, which are not random.
func marginColours(lab photo.LabPlanes) []colour {
	samples := marginSamples(lab)
	centres := []colour{samples[len(samples)/2]}
	for len(centres) < 8 {
		far, most := samples[0], 0.0
		for _, s := range samples {
			if d := nearestColour(centres, s); d > most {
				far, most = s, d
			}
		}
		if most < 4 { // all of the margin is near a colour already
			break
		}
		centres = append(centres, far)
	}
	counts := make([]int, len(centres))
	for range 10 {
		sums := make([]colour, len(centres))
		clear(counts)
		for _, s := range samples {
			k := nearestIndex(centres, s)
			counts[k]++
			for c := range s {
				sums[k][c] += s[c]
			}
		}
		for k := range centres {
			for c := range centres[k] {
				if counts[k] > 0 {
					centres[k][c] = sums[k][c] / float64(counts[k])
				}
			}
		}
	}
	var kept []colour
	for k, c := range centres {
		if 20*counts[k] >= len(samples) {
			kept = append(kept, c)
		}
	}
	return kept
}

func marginSamples(lab photo.LabPlanes) []colour {
	w, h := lab.L.W, lab.L.H
	band := max(2, min(w, h)/40)
	var samples []colour
	for y := range h {
		for x := range w {
			if x < band || y < band || x >= w-band || y >= h-band {
				i := y*w + x
				samples = append(samples, colour{float64(lab.L.Pix[i]), float64(lab.A.Pix[i]), float64(lab.B.Pix[i])})
			}
		}
	}
	return samples
}

func nearestColour(centres []colour, s colour) float64 {
	return centres[nearestIndex(centres, s)].apart(s)
}

func nearestIndex(centres []colour, s colour) int {
	best, least := 0, math.Inf(1)
	for k, c := range centres {
		if d := c.apart(s); d < least {
			best, least = k, d
		}
	}
	return best
}

// A board that stands out covers this share of the photo.
const (
	leastBoard = 0.06
	mostBoard  = 0.93
)

// boardMask is the piece that differs from the background, its holes filled
// and what is thin cut off (wires, tweezers); false where none stands out.
func boardMask(apart raster.Plane) (raster.Mask, bool) {
	cut := otsu(apart)
	if cut < 6 { // two colours this near are one to the eye in poor light
		return raster.Mask{}, false
	}
	mask := biggest(apart.Threshold(cut))
	mask = filled(mask)
	r := max(1, min(mask.W, mask.H)/50)
	opened := raster.Open(maskPlane(mask), r).Threshold(0.5)
	mask = biggest(opened)
	share := float64(mask.Count()) / float64(len(mask.Pix))
	return mask, share >= leastBoard && share <= mostBoard
}

func maskPlane(m raster.Mask) raster.Plane {
	p := raster.NewPlane(m.W, m.H)
	for i, v := range m.Pix {
		if v != 0 {
			p.Pix[i] = 1
		}
	}
	return p
}

// biggest keeps the largest connected piece.
func biggest(m raster.Mask) raster.Mask {
	l := raster.Components(m, false)
	best := 0
	for k := 1; k < len(l.Areas); k++ {
		if best == 0 || l.Areas[k] > l.Areas[best] {
			best = k
		}
	}
	out := raster.NewMask(m.W, m.H)
	for i, k := range l.Of {
		if best != 0 && k == int32(best) {
			out.Pix[i] = 1
		}
	}
	return out
}

// filled closes the holes of a mask: what the outside can't reach.
func filled(m raster.Mask) raster.Mask {
	l := raster.Components(m.Not(), false)
	outside := make([]bool, len(l.Areas))
	for y := range m.H {
		for x := range m.W {
			if x == 0 || y == 0 || x == m.W-1 || y == m.H-1 {
				outside[l.Of[y*m.W+x]] = true
			}
		}
	}
	out := raster.NewMask(m.W, m.H)
	for i, k := range l.Of {
		if k == 0 || !outside[k] {
			out.Pix[i] = 1
		}
	}
	return out
}

// otsu is the threshold that separates the values into two groups best.
//
// Source: Otsu, IEEE Trans. Syst. Man Cybern. 9 (1979).
func otsu(p raster.Plane) float32 {
	const bins, top = 256, 100.0
	var counts [bins]float64
	for _, v := range p.Pix {
		counts[min(bins-1, int(float64(v)*bins/top))]++
	}
	total, sum := float64(len(p.Pix)), 0.0
	for i, c := range counts {
		sum += float64(i) * c
	}
	best, cut := -1.0, 0
	below, belowSum := 0.0, 0.0
	for i, c := range counts {
		below += c
		belowSum += float64(i) * c
		if below == 0 || below == total {
			continue
		}
		gap := belowSum/below - (sum-belowSum)/(total-below)
		if between := below * (total - below) * gap * gap; between > best {
			best, cut = between, i
		}
	}
	return float32(cut+1) * top / bins
}

// fullest is the least share of its quad that a board's mask fills.
const fullest = 0.8

// quadRound lays four straight lines along the sides of a mask: the smallest
// turned rectangle round it first, then a robust line along the border near
// each side. False where the result is no plausible board.
func quadRound(m raster.Mask) (quad [4]geom.Point, ok bool) {
	border := borderOf(m)
	hull := geom.Hull(border)
	if len(hull) < 4 {
		return quad, false
	}
	box := geom.SmallestBox(hull)
	for range 3 {
		next, ok := straighten(box, border)
		if !ok {
			return quad, false
		}
		box = next
	}
	area := math.Abs(geom.Area(box[:]))
	share := float64(m.Count()) / area
	return box, share > fullest && share < 1.1
}

// borderOf lists the outermost pixels of the mask.
func borderOf(m raster.Mask) []geom.Point {
	l := raster.Components(m, false)
	var longest raster.Outline
	for _, o := range raster.Contours(l, 1) {
		if math.Abs(o.Area()) > math.Abs(longest.Area()) {
			longest = o
		}
	}
	return densely(longest)
}

// densely adds points along an outline so that none are more than a pixel
// apart.
func densely(o []geom.Point) []geom.Point {
	var out []geom.Point
	for i, a := range o {
		b := o[(i+1)%len(o)]
		steps := max(1, int(math.Ceil(a.Dist(b))))
		for k := range steps {
			out = append(out, a.Add(b.Sub(a).Scale(float64(k)/float64(steps))))
		}
	}
	return out
}

// straighten fits a line to the border points along each side of the box and
// cuts the lines into new corners.
func straighten(box [4]geom.Point, border []geom.Point) (out [4]geom.Point, ok bool) {
	var lines [4]line
	for i := range box {
		a, b := box[i], box[(i+1)%4]
		if lines[i], ok = sideLine(a, b, border); !ok {
			return out, false
		}
	}
	for i := range out {
		if out[i], ok = lines[(i+3)%4].meets(lines[i]); !ok {
			return out, false
		}
	}
	return out, true
}

// line holds the points p with p·(x, y) = c, (x, y) of length 1.
type line struct{ x, y, c float64 }

func (l line) off(p geom.Point) float64 { return l.x*p.X + l.y*p.Y - l.c }

func (l line) meets(m line) (geom.Point, bool) {
	det := l.x*m.y - l.y*m.x
	if math.Abs(det) < 0.1 { // lines within 6° of parallel are no corner
		return geom.Point{}, false
	}
	return geom.Point{X: (l.c*m.y - m.c*l.y) / det, Y: (l.x*m.c - m.x*l.c) / det}, true
}

// Numbers of sideLine, lengths against the side's or in working pixels.
const (
	sideEnds  = 0.06 // left out at either end, where corners are cut or round
	sideBand  = 0.12 // border points this far off still belong to the side
	sideTries = 48   // border points of which every two give a line to try
	sideWidth = 1.5  // working pixels within which a point is on a line
)

// sideLine is the line along one side: of all lines through two of the border
// points near it, the one with most border points on it, so that a plug, a
// notch or a wire doesn't bend it.
func sideLine(a, b geom.Point, border []geom.Point) (line, bool) {
	length := a.Dist(b)
	if length < 8 {
		return line{}, false
	}
	along := b.Sub(a).Scale(1 / length)
	side := line{-along.Y, along.X, 0}
	side.c = side.x*a.X + side.y*a.Y
	var near []geom.Point
	for _, p := range border {
		t := p.Sub(a).X*along.X + p.Sub(a).Y*along.Y
		if t > sideEnds*length && t < (1-sideEnds)*length && math.Abs(side.off(p)) < sideBand*length {
			near = append(near, p)
		}
	}
	if float64(len(near)) < 0.25*length {
		return line{}, false
	}
	on := mostOn(near, 0.25*length)
	if float64(len(on)) < 0.25*length {
		return line{}, false
	}
	return lineThrough(on), true
}

// mostOn lists the points on the line, through two of them at least apart,
// that has most points on it.
func mostOn(points []geom.Point, apart float64) []geom.Point {
	step := max(1, len(points)/sideTries)
	var best line
	most := 0
	for i := 0; i < len(points); i += step {
		for k := 0; k < i; k += step {
			if points[i].Dist(points[k]) < apart {
				continue
			}
			l := lineThrough([]geom.Point{points[i], points[k]})
			count := 0
			for _, p := range points {
				if math.Abs(l.off(p)) < sideWidth {
					count++
				}
			}
			if count > most {
				best, most = l, count
			}
		}
	}
	var on []geom.Point
	for _, p := range points {
		if most > 0 && math.Abs(best.off(p)) < sideWidth {
			on = append(on, p)
		}
	}
	return on
}

// lineThrough is the total least-squares line.
func lineThrough(points []geom.Point) line {
	c := mean(points)
	var xx, xy, yy float64
	for _, p := range points {
		d := p.Sub(c)
		xx += d.X * d.X
		xy += d.X * d.Y
		yy += d.Y * d.Y
	}
	angle := math.Atan2(2*xy, xx-yy) / 2
	l := line{x: -math.Sin(angle), y: math.Cos(angle)}
	l.c = l.x*c.X + l.y*c.Y
	return l
}
