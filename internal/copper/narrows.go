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

// judgeNarrows decides about those of the open pixels with copper close by on
// two opposite sides: the soft edge between a track and its solder, which looks
// like neither, against a narrow gap, which blur fills with the colour of its
// banks. What tells them apart is how much of the bare board's local colour is
// mixed into the pixel.
func judgeNarrows(q raster.Plane, lab [3]raster.Plane, inside, open raster.Mask) raster.Plane {
	out := q.Clone()
	near := q.Threshold(bankProb).Dilated(bankReach)
	n := newNarrows(q, lab, inside)
	raster.Rows(q.H, func(y0, y1 int) {
		bare := newColourRow(q.W)
		for y := y0; y < y1; y++ {
			n.bare.row(y, bare)
			for x := range q.W {
				if i := y*q.W + x; near.Pix[i] != 0 && open.Pix[i] != 0 {
					out.Pix[i] = n.judge(x, y, mixed{bare[0][x], bare[1][x], bare[2][x]})
				}
			}
		}
	})
	return out
}

// mixed is a colour in L*a*b* with short floats.
type mixed [3]float32

type narrows struct {
	q          raster.Plane
	lab        [3]raster.Plane
	bare       bareField
	axis       mixed        // weight of a step along L*, a*, b*
	unlike     raster.Plane // squared distance from bare board's local colour; -1 off the copper
	gap, blend fadeTable
	decay      *decayTable
}

func newNarrows(q raster.Plane, lab [3]raster.Plane, inside raster.Mask) *narrows {
	n := &narrows{q: q, lab: lab, bare: newBareField(lab, q, inside), unlike: raster.NewPlane(q.W, q.H),
		gap: newFadeTable(halfBare), blend: newFadeTable(halfBlend), decay: newDecayTable()}
	n.axis = n.axisWeights(inside)
	raster.Rows(q.H, func(y0, y1 int) {
		bare := newColourRow(q.W)
		for y := y0; y < y1; y++ {
			n.bare.row(y, bare)
			row, own := n.unlike.Row(y), q.Row(y)
			l, a, b := lab[0].Row(y), lab[1].Row(y), lab[2].Row(y)
			for x := range row {
				row[x] = -1
				if own[x] >= bankProb {
					dl, da, db := l[x]-bare[0][x], a[x]-bare[1][x], b[x]-bare[2][x]
					row[x] = dl*dl + da*da + db*db
				}
			}
		}
	})
	return n
}

// axisEvery is the step in working pixels of the pixels that tell the weights
// of the colour axes.
const axisEvery = 2

// axisWeights tells how much a step along each colour axis says on this board:
// the inverse of how far copper and bare board stray along it by themselves,
// the largest being 1. Shine and shade move the lightness of tin a lot, hardly
// its hue.
func (n *narrows) axisWeights(inside raster.Mask) mixed {
	var count [2]float64
	var sum, sq [3][2]float64
	bare := newColourRow(n.q.W)
	for y := 0; y < n.q.H; y += axisEvery {
		n.bare.row(y, bare)
		for x := 0; x < n.q.W; x += axisEvery {
			i := y*n.q.W + x
			if inside.Pix[i] == 0 {
				continue
			}
			class := 0
			if n.q.Pix[i] > 0.5 {
				class = 1
			}
			count[class]++
			for k := range sum {
				v := float64(n.lab[k].Pix[i] - bare[k][x])
				sum[k][class] += v
				sq[k][class] += v * v
			}
		}
	}
	var w [3]float64
	for k := range w {
		variance := restless
		for c, m := range count {
			if m > 0 {
				variance += sq[k][c]/m - sum[k][c]*sum[k][c]/(m*m)
			}
		}
		w[k] = 1 / math.Sqrt(variance)
	}
	most := max(w[0], w[1], w[2])
	return mixed{float32(w[0] / most), float32(w[1] / most), float32(w[2] / most)}
}

// judge returns the pixel's probability after looking at its banks, given the
// colour of bare board there. A gap seen in any direction rules over a blend
// seen in another.
func (n *narrows) judge(x, y int, bare mixed) float32 {
	own := n.q.At(x, y)
	gap, blend := float32(1), float32(0)
	for _, d := range [4][2]int{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
		a, b := n.bank(x, y, -d[0], -d[1]), n.bank(x, y, d[0], d[1])
		if a < 0 || b < 0 {
			continue
		}
		share := n.bareShare(y*n.q.W+x, a, b, bare)
		banks := min(n.q.Pix[a], n.q.Pix[b])
		gap = min(gap, banks*n.gap.at(share))
		blend = max(blend, banks*n.blend.at(share))
	}
	return min(max(own, blend), gap)
}

// bank is the copper pixel within reach along (dx, dy) that looks least like
// bare board, -1 for none.
func (n *narrows) bank(x, y, dx, dy int) int {
	best, most := -1, float32(0)
	step := dy*n.q.W + dx
	i := y*n.q.W + x
	for range min(bankReach, n.room(x, dx, n.q.W), n.room(y, dy, n.q.H)) {
		i += step
		if d := n.unlike.Pix[i]; d > most {
			best, most = i, d
		}
	}
	return best
}

// room is how many steps along one axis stay inside.
func (n *narrows) room(at, step, size int) int {
	switch {
	case step < 0:
		return at
	case step > 0:
		return size - 1 - at
	}
	return bankReach
}

// bareShare is how much of bare board's colour is mixed into pixel p, against
// the nearest mixture of its banks a and b, less what noise explains.
func (n *narrows) bareShare(p, a, b int, bare mixed) float32 {
	var off, ab mixed // from bank a to the pixel, and to bank b
	dot, square := float32(0), float32(0)
	for k := range off {
		l := n.lab[k].Pix
		off[k], ab[k] = l[p]-l[a], l[b]-l[a]
		dot += off[k] * ab[k]
		square += ab[k] * ab[k]
	}
	t := float32(0)
	if square > 0 && dot > 0 {
		t = min(1, dot/square)
	}
	var toBare mixed
	along, whole := float32(0), float32(0)
	for k := range off {
		toBare[k] = (bare[k] - n.lab[k].Pix[a] - t*ab[k]) * n.axis[k]
		off[k] = (off[k] - t*ab[k]) * n.axis[k]
		along += off[k] * toBare[k]
		whole += toBare[k] * toBare[k]
	}
	if whole < colourNoise*colourNoise || along <= 0 {
		return 0
	}
	reach, apart := min(along/whole, 1), float32(0)
	for k := range off {
		d := off[k] - reach*toBare[k]
		apart += d * d
	}
	// A colour that no mixture of copper and bare board gives is something
	// else: beyond bare board's it is a reflection, aside of it a shadow.
	width := float32(strange)
	if along > whole {
		width = strangeBeyond
	}
	length := float32(math.Sqrt(float64(whole)))
	return max(0, along/length-colourNoise) / length * n.decay.at(apart/(2*width*width))
}

// fadeTable falls over shares of bare board from 1 at none to about a half at
// a given one.
type fadeTable [fadeSteps + 1]float32

// fadeSteps is how finely a fadeTable is read.
const fadeSteps = 512

func newFadeTable(half float64) (t fadeTable) {
	step := func(v float64) float64 { return 1 / (1 + math.Exp(-v/bareSlope)) }
	for i := range t {
		t[i] = float32(step(half-float64(i)/fadeSteps) / step(half))
	}
	return t
}

func (t *fadeTable) at(share float32) float32 {
	return t[min(int(share*fadeSteps+0.5), fadeSteps)]
}
