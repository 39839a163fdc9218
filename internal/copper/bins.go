package copper

import "foilside/internal/num/raster"

// Colour bins: L* 0..100 in steps of 2.5, a* and b* -70..86 in steps of 2.
// The steps are about a camera's noise after smoothing, below any difference
// that matters.
const (
	binsL  = 41
	binsAB = 79
	stepL  = 2.5
	stepAB = 2.0
	minAB  = -70.0
	nBins  = binsL * binsAB * binsAB
)

// binOf is the bin of a colour; colours beyond the range go to its border.
func binOf(l, a, b float32) int32 {
	i := clampInt(int(l/stepL+0.5), binsL)
	j := clampInt(int((a-minAB)/stepAB+0.5), binsAB)
	k := clampInt(int((b-minAB)/stepAB+0.5), binsAB)
	return int32((i*binsAB+j)*binsAB + k)
}

// binColour is the colour in the middle of a bin.
func binColour(bin int) colour {
	return colour{
		float64(bin/(binsAB*binsAB)) * stepL,
		float64(bin/binsAB%binsAB)*stepAB + minAB,
		float64(bin%binsAB)*stepAB + minAB,
	}
}

func clampInt(v, n int) int { return min(max(v, 0), n-1) }

// binPlane gives the bin of every pixel.
func binPlane(lab [3]raster.Plane) []int32 {
	bins := make([]int32, len(lab[0].Pix))
	raster.Rows(lab[0].H, func(y0, y1 int) {
		for i := y0 * lab[0].W; i < y1*lab[0].W; i++ {
			bins[i] = binOf(lab[0].Pix[i], lab[1].Pix[i], lab[2].Pix[i])
		}
	})
	return bins
}

// histogram is a weight for every bin.
type histogram []float32

// spread smooths the histogram over neighbouring bins with the weights
// 1 4 6 4 1 (a Gaussian of one bin) along each axis, passes times.
func (h histogram) spread(passes int) {
	for range passes {
		h.smoothAxis(binsAB*binsAB, binsL)
		h.smoothAxis(binsAB, binsAB)
		h.smoothAxis(1, binsAB)
	}
}

// smoothAxis smooths along the axis whose neighbours are step apart and which
// is n long; weight that would leave the range stays at its border.
func (h histogram) smoothAxis(step, n int) {
	line := make([]float32, n+4)
	for start := range h {
		if start/step%n != 0 {
			continue
		}
		any := false
		for i := range n {
			v := h[start+i*step]
			line[i+2] = v
			any = any || v != 0
		}
		if !any {
			continue
		}
		line[0], line[1], line[n+2], line[n+3] = line[3], line[2], line[n+1], line[n]
		for i := range n {
			h[start+i*step] = (line[i] + line[i+4] + 4*(line[i+1]+line[i+3]) + 6*line[i+2]) / 16
		}
	}
}
