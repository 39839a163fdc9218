package copper

import (
	"math"

	"foilside/internal/num/raster"
)

const (
	// regionCell is the side in working pixels of the cells on which the board
	// is looked for.
	regionCell = 4
	// backgroundWidth is how far in L*a*b* a background pixel may lie from the
	// colours that the photo's rim shows nearby.
	backgroundWidth = 9.0
	// leastBoard is the least share of the photo that a board covers.
	leastBoard = 0.12
	// leastFull is the least share that a board has of its own convex hull.
	// Boards are outlines with few and small notches; copper isn't.
	leastFull = 0.95
	// rimMargin is how many working pixels of the board's rim are left out:
	// there the board's colour mixes with the background's.
	rimMargin = 3
)

// boardRegion marks the working pixels that show the board. Where nothing
// around it can be told from it, that is the whole photo.
//
// Method: what is connected to the photo's rim through colours like the rim's
// is background; the largest rest, with its holes filled, is the board if it
// is as full as a board outline.
func boardRegion(lab [3]raster.Plane) raster.Mask {
	whole := raster.NewMask(lab[0].W, lab[0].H).Not()
	small := lab
	for k := range small {
		small[k] = raster.Shrink(lab[k], regionCell)
	}
	board := largestPiece(rimFlood(small).Not())
	board = largestPiece(board.Opened(2))
	area := float64(board.Count())
	all := float64(len(board.Pix))
	if area < leastBoard*all || area > 0.985*all || area < leastFull*hullArea(board) {
		return whole
	}
	return enlarge(board, lab[0].W, lab[0].H)
}

// rimFlood marks what hangs together with the rim by its colour. The colour a
// pixel is compared with drifts along with the flood, so that uneven light on
// the background doesn't stop it.
func rimFlood(lab [3]raster.Plane) raster.Mask {
	w, h := lab[0].W, lab[0].H
	seen := raster.NewMask(w, h)
	ref := [3]raster.Plane{lab[0].Clone(), lab[1].Clone(), lab[2].Clone()}
	var todo []int
	usual, known := rimColours(lab)
	push := func(i int) {
		seen.Pix[i] = 1
		todo = append(todo, i)
	}
	eachRim(w, h, func(i int) {
		if seen.Pix[i] == 0 && usual(i) {
			push(i)
		}
	})
	for len(todo) > 0 {
		i := todo[0]
		todo = todo[1:]
		for _, j := range neighbours4(i, w, h) {
			if j < 0 || seen.Pix[j] != 0 {
				continue
			}
			d := 0.0
			for k := range lab {
				v := float64(lab[k].Pix[j] - ref[k].Pix[i])
				d += v * v
			}
			if math.Sqrt(d) > backgroundWidth || !known(j) {
				continue
			}
			for k := range lab {
				ref[k].Pix[j] = ref[k].Pix[i] + (lab[k].Pix[j]-ref[k].Pix[i])*driftRate
			}
			push(j)
		}
	}
	return seen
}

// rimColours tells of a pixel whether its colour is one that a fair share of
// the rim has (a wire that leaves the photo isn't), and whether it is at all
// near to one: the flood may drift with the light, but not onto the board.
func rimColours(lab [3]raster.Plane) (usual, known func(i int) bool) {
	w, h := lab[0].W, lab[0].H
	rim := raster.NewMask(w, h)
	eachRim(w, h, func(i int) { rim.Pix[i] = 1 })
	modes := usualColours(binPlane(lab), rim, rimShare)
	near := func(i int, reach float64) bool {
		c := colour{float64(lab[0].Pix[i]), float64(lab[1].Pix[i]), float64(lab[2].Pix[i])}
		for _, m := range modes {
			if colourDistance(c, m) < reach {
				return true
			}
		}
		return false
	}
	return func(i int) bool { return near(i, modesApart) }, func(i int) bool { return near(i, driftMost) }
}

const (
	// rimShare is the least share of the rim that a background colour has.
	rimShare = 0.08
	// driftMost is how far the background may drift from the rim's usual
	// colours, in L*a*b* with a step in L* counting half.
	driftMost = 14.0
)

// eachRim visits the pixels of the rim.
func eachRim(w, h int, visit func(i int)) {
	for x := range w {
		visit(x)
		visit((h-1)*w + x)
	}
	for y := 1; y < h-1; y++ {
		visit(y * w)
		visit(y*w + w - 1)
	}
}

// driftRate is how fast the background's colour follows what the flood meets.
const driftRate = 0.05

func neighbours4(i, w, h int) [4]int {
	n := [4]int{-1, -1, -1, -1}
	x, y := i%w, i/w
	if x > 0 {
		n[0] = i - 1
	}
	if x+1 < w {
		n[1] = i + 1
	}
	if y > 0 {
		n[2] = i - w
	}
	if y+1 < h {
		n[3] = i + w
	}
	return n
}

// largestPiece keeps the largest connected piece and fills its holes.
func largestPiece(m raster.Mask) raster.Mask {
	l := raster.Components(m, false)
	best := 0
	for i := 1; i < len(l.Areas); i++ {
		if best == 0 || l.Areas[i] > l.Areas[best] {
			best = i
		}
	}
	out := raster.NewMask(m.W, m.H)
	if best == 0 {
		return out
	}
	for i, v := range l.Of {
		if int(v) != best {
			out.Pix[i] = 1
		}
	}
	// What is outside and touches the rim stays outside.
	rest := raster.Components(out, true)
	outside := map[int32]bool{}
	for x := range m.W {
		outside[rest.Of[x]], outside[rest.Of[(m.H-1)*m.W+x]] = true, true
	}
	for y := range m.H {
		outside[rest.Of[y*m.W]], outside[rest.Of[y*m.W+m.W-1]] = true, true
	}
	for i, v := range rest.Of {
		out.Pix[i] = 1
		if v != 0 && outside[v] {
			out.Pix[i] = 0
		}
	}
	return out
}

// hullArea is the area in pixels of the convex hull of the mask.
func hullArea(m raster.Mask) float64 {
	// Only the ends of rows can be corners of the hull.
	var left, right [][2]float64
	for y := range m.H {
		lo, hi := -1, -1
		for x := range m.W {
			if m.Pix[y*m.W+x] != 0 {
				if lo < 0 {
					lo = x
				}
				hi = x + 1
			}
		}
		if lo >= 0 {
			left = append(left, [2]float64{float64(lo), float64(y)}, [2]float64{float64(lo), float64(y + 1)})
			right = append(right, [2]float64{float64(hi), float64(y)}, [2]float64{float64(hi), float64(y + 1)})
		}
	}
	return chainArea(right, 1) - chainArea(left, -1)
}

// chainArea integrates x over y along the convex chain around points sorted
// by y; side 1 keeps the largest x, -1 the smallest.
func chainArea(pts [][2]float64, side float64) float64 {
	var hull [][2]float64
	for _, p := range pts {
		for len(hull) >= 2 {
			a, b := hull[len(hull)-2], hull[len(hull)-1]
			if side*((b[0]-a[0])*(p[1]-a[1])-(p[0]-a[0])*(b[1]-a[1])) > 0 {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	sum := 0.0
	for i := 1; i < len(hull); i++ {
		sum += (hull[i][0] + hull[i-1][0]) / 2 * (hull[i][1] - hull[i-1][1])
	}
	return sum
}

// enlarge brings a mask of cells back to w×h pixels, less the rim margin.
func enlarge(m raster.Mask, w, h int) raster.Mask {
	out := raster.NewMask(w, h)
	for y := range h {
		for x := range w {
			cx, cy := min(x/regionCell, m.W-1), min(y/regionCell, m.H-1)
			out.Pix[y*w+x] = m.Pix[cy*m.W+cx]
		}
	}
	return out.Eroded(rimMargin + regionCell/2)
}
