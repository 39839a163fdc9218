package copper

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/raster"
)

// Limits of the automatic start.
const (
	// rimInside is the ring along the board's rim, in working pixels, that is
	// taken for bare board: copper is kept off the rim.
	rimInside = 14
	// rimMode and boardMode are the least shares of the ring, or of the board,
	// that a usual colour has.
	rimMode   = 0.06
	boardMode = 0.03
	// modesApart is how far in L*a*b* two usual colours lie apart; a step in
	// L* counts half.
	modesApart = 9.0
)

// startLooks guesses how copper and bare board look where nobody pointed at
// them: bare is what the board's rim shows, copper is tin and whatever else is
// usual on the board and unlike the rim, as far as copper can look like it.
func startLooks(lab [3]raster.Plane, bins []int32, board raster.Mask) (copper, bare []look) {
	inner := rimRing(board)
	for _, c := range usualColours(bins, inner, rimMode) {
		bare = append(bare, modeLook(c))
	}
	copper = []look{plainTin()}
	for _, c := range usualColours(bins, board, boardMode) {
		if couldBeCopper(c, bare) {
			copper = append(copper, modeLook(c))
		}
	}
	return copper, bare
}

// modeLook is a look around a usual colour.
func modeLook(c colour) look {
	return lookFrom(c, [6]float64{widthL * widthL, 0, 0, widthAB * widthAB, 0, widthAB * widthAB})
}

// couldBeCopper tells whether a colour is unlike every bare one and of a kind
// that copper shows: grey as tin, redder and darker than the board as bare
// copper, or lighter than it with its hue as copper beneath a mask.
func couldBeCopper(c colour, bare []look) bool {
	grey := math.Hypot(c[1], c[2]) < 10 && c[0] > 30
	red := c[1] > 8 && c[2] > 8
	lighter := false
	for _, k := range bare {
		if colourDistance(c, k.mean) < 1.5*modesApart {
			return false
		}
		red = red && c[1] > k.mean[1]+4
		if c[0] > k.mean[0]+8 && c[1]*k.mean[1]+c[2]*k.mean[2] >= 0 {
			lighter = true
		}
	}
	return grey || red || lighter
}

func colourDistance(c, d colour) float64 {
	return math.Sqrt((c[0]-d[0])*(c[0]-d[0])/4 + (c[1]-d[1])*(c[1]-d[1]) + (c[2]-d[2])*(c[2]-d[2]))
}

// rimRing marks the board within rimInside of its rim, which may be the
// photo's.
func rimRing(board raster.Mask) raster.Mask {
	inner := board.Eroded(rimInside)
	out := raster.NewMask(board.W, board.H)
	for y := range board.H {
		for x := range board.W {
			i := y*board.W + x
			edge := min(x, y, board.W-1-x, board.H-1-y)
			if board.Pix[i] != 0 && (edge < rimInside || inner.Pix[i] == 0) {
				out.Pix[i] = 1
			}
		}
	}
	return out
}

// usualColours are the modes of the colours under a mask, the most usual
// first, that have at least the given share of it around them.
func usualColours(bins []int32, m raster.Mask, share float64) []colour {
	counts := make(histogram, nBins)
	total := float32(0)
	for i, b := range bins {
		if m.Pix[i] != 0 {
			counts[b]++
			total++
		}
	}
	smooth := slices.Clone(counts)
	smooth.spread(2)
	order := make([]int, 0, 1024)
	for b, n := range smooth {
		if n > 0.0005*total {
			order = append(order, b)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(smooth[b], smooth[a]) })
	var modes []colour
	weight := map[int]float32{}
	for _, b := range order {
		c := binColour(b)
		at := slices.IndexFunc(modes, func(d colour) bool { return colourDistance(c, d) < modesApart })
		if at < 0 {
			at = len(modes)
			modes = append(modes, c)
		}
		weight[at] += smooth[b]
	}
	var out []colour
	for i, c := range modes {
		if float64(weight[i]) >= share*float64(total) {
			out = append(out, c)
		}
	}
	return out
}
