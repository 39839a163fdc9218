package copper

import (
	"math"

	"foilside/internal/num/raster"
)

// Those without another reason were tuned on two photographs and looked at on
// rendered boards: TestRealPhotographs and TestSpecimens judge them.
const (
	// bankReach is how far in working pixels a pixel looks to either side for
	// copper: the width of a soft edge, or of the narrowest gap.
	bankReach = 5
	// bankProb is the probability from which a side counts as copper.
	bankProb = 0.7
	// bareNear is the standard deviation in working pixels over which the look
	// of bare board is averaged.
	bareNear = 12.0
	// halfBare is the share of bare board's colour in a pixel between two
	// banks from which it is rather a gap, and halfBlend the share up to which
	// it is rather copper. Blur leaves some half of the board's colour in a gap
	// that is as wide as itself.
	halfBare  = 0.20
	halfBlend = 0.15
	bareSlope = 0.08
	// colourNoise is the error of a colour in L*a*b*.
	colourNoise = 2.0
	// strange and strangeBeyond are how far a colour may lie aside of every
	// mixture, or beyond bare board's, and still be taken for one.
	strange       = 8.0
	strangeBeyond = 5.0
	// restless is added to the variance of each axis, so that an axis on which
	// nothing varies doesn't rule.
	restless = 25.0
)

// judgeNarrows decides about pixels with copper close by on two opposite
// sides: the soft edge between a track and its solder, which looks like
// neither, against a narrow gap, which blur fills with the colour of its
// banks. What tells them apart is how much of the bare board's local colour is
// mixed into the pixel.
func judgeNarrows(q raster.Plane, lab [3]raster.Plane, bare [3]raster.Plane, inside raster.Mask) raster.Plane {
	out := q.Clone()
	near := raster.Dilate(q, bankReach)
	n := narrows{q, lab, bare, axisWeights(q, lab, bare, inside)}
	raster.Rows(q.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range q.W {
				if i := y*q.W + x; near.Pix[i] >= bankProb {
					out.Pix[i] = n.judge(x, y)
				}
			}
		}
	})
	return out
}

type narrows struct {
	q    raster.Plane
	lab  [3]raster.Plane
	bare [3]raster.Plane
	axis [3]float64 // weight of a step along L*, a*, b*
}

// axisWeights tells how much a step along each colour axis says on this board:
// the inverse of how far copper and bare board stray along it by themselves,
// the largest being 1. Shine and shade move the lightness of tin a lot, hardly
// its hue.
func axisWeights(q raster.Plane, lab, bare [3]raster.Plane, inside raster.Mask) [3]float64 {
	var w [3]float64
	for k := range w {
		var n, sum, sq [2]float64
		for i, in := range inside.Pix {
			if in == 0 {
				continue
			}
			class := 0
			if q.Pix[i] > 0.5 {
				class = 1
			}
			v := float64(lab[k].Pix[i] - bare[k].Pix[i])
			n[class]++
			sum[class] += v
			sq[class] += v * v
		}
		variance := restless
		for c := range n {
			if n[c] > 0 {
				variance += sq[c]/n[c] - sum[c]*sum[c]/(n[c]*n[c])
			}
		}
		w[k] = 1 / math.Sqrt(variance)
	}
	most := math.Max(w[0], math.Max(w[1], w[2]))
	for k := range w {
		w[k] /= most
	}
	return w
}

// judge returns the pixel's probability after looking at its banks. A gap
// seen in any direction rules over a blend seen in another.
func (n narrows) judge(x, y int) float32 {
	own := n.q.At(x, y)
	gap, blend := float32(1), float32(0)
	for _, d := range [4][2]int{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
		share, banks, ok := n.across(x, y, d[0], d[1])
		if ok {
			gap = min(gap, banks*fade(share, halfBare))
			blend = max(blend, banks*fade(share, halfBlend))
		}
	}
	return min(max(own, blend), gap)
}

// fade falls from 1 at no share of bare board to about a half at the given
// share.
func fade(share, half float64) float32 {
	step := func(v float64) float64 { return 1 / (1 + math.Exp(-v/bareSlope)) }
	return float32(step(half-share) / step(half))
}

// across finds the banks along one direction: the share of bare board between
// them and the probability that both are copper.
func (n narrows) across(x, y, dx, dy int) (float64, float32, bool) {
	a, qa := n.bank(x, y, -dx, -dy)
	b, qb := n.bank(x, y, dx, dy)
	if a < 0 || b < 0 {
		return 0, 0, false
	}
	return n.bareShare(y*n.q.W+x, a, b), min(qa, qb), true
}

// bank is the copper pixel within reach along (dx, dy) that looks least like
// the bare board at (x, y).
func (n narrows) bank(x, y, dx, dy int) (int, float32) {
	w := n.q.W
	i := y*w + x
	l, a, b := n.bare[0].Pix[i], n.bare[1].Pix[i], n.bare[2].Pix[i]
	best, bestD := -1, float32(0)
	for r := 1; r <= bankReach; r++ {
		px, py := x+r*dx, y+r*dy
		if px < 0 || py < 0 || px >= w || py >= n.q.H {
			break
		}
		j := py*w + px
		if n.q.Pix[j] < bankProb {
			continue
		}
		dl, da, db := n.lab[0].Pix[j]-l, n.lab[1].Pix[j]-a, n.lab[2].Pix[j]-b
		if d := dl*dl + da*da + db*db; d > bestD {
			best, bestD = j, d
		}
	}
	if best < 0 {
		return -1, 0
	}
	return best, n.q.Pix[best]
}

// bareShare is how much of bare board's colour is mixed into pixel p, against
// the nearest mixture of its banks a and b, less what noise explains.
func (n narrows) bareShare(p, a, b int) float64 {
	var c, ca, ab [3]float64
	dot, len2 := 0.0, 0.0
	for i, l := range n.lab {
		c[i], ca[i] = float64(l.Pix[p]), float64(l.Pix[a])
		ab[i] = float64(l.Pix[b]) - ca[i]
		dot += ab[i] * (c[i] - ca[i])
		len2 += ab[i] * ab[i]
	}
	t := 0.0
	if len2 > 0 {
		t = math.Min(1, math.Max(0, dot/len2))
	}
	along, whole, apart := 0.0, 0.0, 0.0
	var off, toBare [3]float64
	for i := range c {
		mixed := ca[i] + t*ab[i]
		off[i] = (c[i] - mixed) * n.axis[i]
		toBare[i] = (float64(n.bare[i].Pix[p]) - mixed) * n.axis[i]
		along += off[i] * toBare[i]
		whole += toBare[i] * toBare[i]
	}
	whole = math.Sqrt(whole)
	if whole < colourNoise || along <= 0 {
		return 0
	}
	along /= whole
	reach := math.Min(along/whole, 1)
	for i := range off {
		d := off[i] - reach*toBare[i]
		apart += d * d
	}
	// A colour that no mixture of copper and bare board gives is something
	// else: beyond bare board's it is a reflection, aside of it a shadow.
	width := strange
	if along > whole {
		width = strangeBeyond
	}
	return math.Max(0, along-colourNoise) / whole * math.Exp(-apart/(2*width*width))
}

// bareField is the local colour of bare board: the mean of the interior bare
// pixels around, weighted by distance.
func bareField(lab [3]raster.Plane, q raster.Plane, inside raster.Mask, near float64) [3]raster.Plane {
	weight := raster.NewPlane(q.W, q.H)
	total := 1e-6
	var mean [3]float64
	for i := range weight.Pix {
		if inside.Pix[i] == 0 || q.Pix[i] > 0.3 {
			continue
		}
		weight.Pix[i] = 1
		total++
		for k := range mean {
			mean[k] += float64(lab[k].Pix[i])
		}
	}
	const faint = 1e-4 // weight of the whole photo's mean where no bare board is near
	sum := raster.Smooth(weight, near)
	var field [3]raster.Plane
	for k := range field {
		m := float32(mean[k] / total)
		p := raster.NewPlane(q.W, q.H)
		for i := range p.Pix {
			p.Pix[i] = weight.Pix[i] * (lab[k].Pix[i] - m)
		}
		p = raster.Smooth(p, near)
		for i := range p.Pix {
			p.Pix[i] = m + p.Pix[i]/(max(sum.Pix[i], 0)+faint)
		}
		field[k] = p
	}
	return field
}
