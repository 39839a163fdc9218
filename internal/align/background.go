package align

import (
	"math"

	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

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

// boardMask is the piece that differs from the background by more than cut,
// its holes filled and what is thin cut off (wires, tweezers); false where it
// covers too little or too much to be the board.
func boardMask(apart raster.Plane, cut float32) (raster.Mask, bool) {
	mask := filled(biggest(apart.Threshold(cut)))
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
