package copper

import (
	"math"

	"foilside/internal/num/raster"
)

// Limits by which a wire that crosses over the foil side is told from all
// else. Lengths are in working pixels, L*a*b* distances as in foreign.
const (
	// foreignFrom is how far a colour lies from every sampled look to be none
	// of them.
	foreignFrom = 15.0
	// wireLength is the least length of a wire in its own widths.
	wireLength = 5.0
	// wireSpan is its least length against the photo's diagonal: no joint, and
	// no shine on one, is as long.
	wireSpan = 0.08
	// wireLeast and wireMost bound its width in working pixels.
	wireLeast = 4.0
	wireMost  = 90.0
	// wireEven is the least share of the wire that is nearly as wide as its
	// widest place.
	wireEven = 0.3
	// wireRim is how far its edge and its shadow reach beyond it.
	wireRim = 4
)

// wiresByColour marks where an insulated wire lies over the board, for photos
// on which the pixel network isn't trusted. Wires are known by being long and
// evenly wide, and by a colour that nobody pointed at or, on boards whose tracks
// don't look like solder, by looking like solder and being smooth.
func wiresByColour(q raster.Plane, lab [3]raster.Plane, looks []look, board raster.Mask) raster.Mask {
	over := dilateMask(wireRegions(foreign(lab, looks, board)), wireRim)
	pale := dilateMask(wireRegions(smoothSolder(q, lab)), wireRim+smoothEdge)
	return either(over, pale)
}

// either marks what one of two masks of one size marks.
func either(a, b raster.Mask) raster.Mask {
	out := raster.NewMask(a.W, a.H)
	for i, v := range a.Pix {
		out.Pix[i] = v | b.Pix[i]
	}
	return out
}

const (
	// smoothMost is the most that lightness may vary within a wire's middle.
	smoothMost = 5.0
	// smoothWindow is the standard deviation in working pixels over which that
	// is measured, and smoothEdge how much of a wire's edge it takes away.
	smoothWindow = 1.5
	smoothEdge   = 3
)

// smoothSolder marks copper that looks like solder, where that differs from
// tracks, and is smooth.
func smoothSolder(q raster.Plane, lab [3]raster.Plane) raster.Mask {
	metal := q.Threshold(0.5)
	m := solderMask(lab, metal)
	if m.Count() > metal.Count()*9/10 {
		return raster.NewMask(m.W, m.H) // tracks look the same
	}
	restless := restlessness(lab[0], smoothWindow)
	for i, v := range restless.Pix {
		if v > smoothMost {
			m.Pix[i] = 0
		}
	}
	return m
}

// foreign marks the colours that are far from every look; a step in L* counts
// half of one in a* or b*.
func foreign(lab [3]raster.Plane, looks []look, board raster.Mask) raster.Mask {
	m := raster.NewMask(lab[0].W, lab[0].H)
	raster.Rows(m.H, func(y0, y1 int) {
		for i := y0 * m.W; i < y1*m.W; i++ {
			if board.Pix[i] == 0 {
				continue
			}
			near := math.Inf(1)
			for _, k := range looks {
				l := (float64(lab[0].Pix[i]) - k.mean[0]) / 2
				a, b := float64(lab[1].Pix[i])-k.mean[1], float64(lab[2].Pix[i])-k.mean[2]
				near = math.Min(near, l*l+a*a+b*b)
			}
			if near > foreignFrom*foreignFrom {
				m.Pix[i] = 1
			}
		}
	})
	return m
}

// wireRegions keeps the pieces that are long and evenly wide.
func wireRegions(m raster.Mask) raster.Mask {
	m = m.Closed(2).Opened(1)
	pieces := raster.Components(m, true)
	depth := raster.Distance(m.Not())
	widest := make([]float32, len(pieces.Areas))
	for i, l := range pieces.Of {
		widest[l] = max(widest[l], depth.Pix[i])
	}
	// Along the middle line of an even wire the depth is its half width.
	ridgePixels, evenPixels := make([]float64, len(widest)), make([]float64, len(widest))
	for y := 1; y < m.H-1; y++ {
		for x := 1; x < m.W-1; x++ {
			i := y*m.W + x
			if l := pieces.Of[i]; l != 0 && ridge(depth, x, y, depth.Pix[i]) {
				ridgePixels[l]++
				if depth.Pix[i] > 0.6*widest[l] {
					evenPixels[l]++
				}
			}
		}
	}
	keep := make([]bool, len(widest))
	span := wireSpan * math.Hypot(float64(m.W), float64(m.H))
	for l := 1; l < len(keep); l++ {
		width := 2 * float64(widest[l])
		length := float64(pieces.Areas[l]) / width
		keep[l] = width >= wireLeast && width <= wireMost && length >= math.Max(span, wireLength*width) &&
			evenPixels[l] >= wireEven*ridgePixels[l]
	}
	out := raster.NewMask(m.W, m.H)
	for i, l := range pieces.Of {
		if keep[l] {
			out.Pix[i] = 1
		}
	}
	return out
}

func dilateMask(m raster.Mask, r int) raster.Mask { return m.Dilated(r) }
