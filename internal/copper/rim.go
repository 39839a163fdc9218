package copper

import (
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// How the surroundings of a hidden piece are read, in working pixels. What lies
// nearest to a wire is spoilt by its edge and its shadow.
const (
	// rimLook is how far outside the rim copper is looked for.
	rimLook = 3
	// rimSmooth is half the length of rim over which that is averaged.
	rimSmooth = 2
	// rimLeast is the shortest stretch of copper or of bare board that counts.
	rimLeast = 3
	// normalReach is half the length of rim that tells which way is out.
	normalReach = 4
	// holeLeast is the least rim of a hole in a hidden piece that counts.
	holeLeast = 24
	// cutStep is how finely places are tried at which a hole's rim is joined to
	// the outer one.
	cutStep = 3
)

// rimPlace is one pixel's edge on the rim of a hidden piece.
type rimPlace struct {
	at     geom.Point // the middle of that edge
	out    geom.Point // unit vector away from the piece
	copper bool       // what is seen just outside
}

// rim goes once around the piece, keeping it on the right. Holes are joined to
// the outer rim by cuts between places that look alike, so that one closed walk
// holds them all; holes that can't be are left out.
func (h *hidden) rim() []rimPlace {
	var walks [][]rimPlace
	for _, o := range raster.Contours(h.crop(), 1) {
		if w := h.walk(o); o.Area() > 0 || len(w) >= holeLeast {
			h.look(w)
			walks = append(walks, w)
		}
	}
	outer := slices.IndexFunc(walks, func(w []rimPlace) bool { return len(w) > 0 })
	if outer < 0 {
		return nil
	}
	whole := walks[outer]
	holes := slices.Delete(walks, outer, outer+1)
	for len(holes) > 0 {
		c, found := shortestCut(whole, holes)
		if !found {
			break
		}
		hole := holes[c.hole]
		whole = slices.Concat(whole[:c.from+1], hole[c.to:], hole[:c.to+1], whole[c.from:])
		holes = slices.Delete(holes, c.hole, c.hole+1)
	}
	return whole
}

// crop is the piece alone within its box.
func (h *hidden) crop() raster.Labels {
	c := raster.Labels{W: h.box.x1 - h.box.x0 + 1, H: h.box.y1 - h.box.y0 + 1}
	c.Of = make([]int32, c.W*c.H)
	for y := range c.H {
		row := h.pieces.Of[(y+h.box.y0)*h.pieces.W+h.box.x0:]
		for x := range c.W {
			if row[x] == h.label {
				c.Of[y*c.W+x] = 1
			}
		}
	}
	return c
}

// walk takes an outline, which runs inside the piece's box, pixel by pixel.
func (h *hidden) walk(o raster.Outline) []rimPlace {
	corner := geom.Point{X: float64(h.box.x0), Y: float64(h.box.y0)}
	var w []rimPlace
	for i, a := range o {
		way := o[(i+1)%len(o)].Sub(a)
		n := way.Norm()
		way = way.Scale(1 / n)
		for k := range int(n + 0.5) {
			at := a.Add(way.Scale(float64(k) + 0.5)).Add(corner)
			w = append(w, rimPlace{at: at, out: geom.Point{X: way.Y, Y: -way.X}})
		}
	}
	return w
}

// look reads what is seen outside a closed walk, and smooths its normals.
func (h *hidden) look(w []rimPlace) {
	n := len(w)
	seen, normals := make([]float32, n), make([]geom.Point, n)
	for i := range w {
		seen[i], normals[i] = h.justOutside(w[i]), w[i].out
		sum := geom.Point{}
		for k := -normalReach; k <= normalReach; k++ {
			sum = sum.Add(w[wrap(i+k, n)].out)
		}
		if l := sum.Norm(); l > 0.5 {
			normals[i] = sum.Scale(1 / l)
		}
	}
	for i := range w {
		w[i].out = normals[i]
		sum := float32(0)
		for k := -rimSmooth; k <= rimSmooth; k++ {
			sum += seen[wrap(i+k, n)]
		}
		w[i].copper = sum > 0.5*(2*rimSmooth+1)
	}
	dropShort(w)
}

func wrap(i, n int) int { return ((i % n) + n) % n }

// justOutside is the mean probability of copper within rimLook of a place.
func (h *hidden) justOutside(p rimPlace) float32 {
	sum, n := float32(0), float32(0)
	for r := range rimLook {
		if v, ok := h.seen(p.at.Add(p.out.Scale(0.5 + float64(r)))); ok {
			sum, n = sum+v, n+1
		}
	}
	return sum / max(n, 1)
}

// seen is the probability at a place, false where that is hidden too. Nothing
// but bare board is thought to lie beyond the photo.
func (h *hidden) seen(p geom.Point) (float32, bool) {
	x, y := int(math.Round(p.X)), int(math.Round(p.Y))
	if x < 0 || y < 0 || x >= h.q.W || y >= h.q.H {
		return 0, true
	}
	return h.q.At(x, y), h.over.Pix[y*h.q.W+x] == 0
}

// dropShort gives stretches too short to be trusted the look of those around
// them, the shortest first.
func dropShort(w []rimPlace) {
	n := len(w)
	for least := 1; least < rimLeast; least++ {
		start := slices.IndexFunc(w, func(p rimPlace) bool { return p.copper != w[n-1].copper })
		if start < 0 {
			return
		}
		for i := 0; i < n; {
			j := i
			for j < n && w[wrap(start+j, n)].copper == w[wrap(start+i, n)].copper {
				j++
			}
			for k := i; k < j && j-i <= least; k++ {
				w[wrap(start+k, n)].copper = !w[wrap(start+k, n)].copper
			}
			i = j
		}
	}
}

// rimCut joins a hole's rim to the outer one.
type rimCut struct{ hole, from, to int }

// shortestCut is the shortest way between the outer rim and a hole's that has
// the same on both its ends.
func shortestCut(whole []rimPlace, holes [][]rimPlace) (rimCut, bool) {
	best, length := rimCut{}, math.Inf(1)
	for i, hole := range holes {
		for b := 0; b < len(hole); b += cutStep {
			for a := 0; a < len(whole); a += cutStep {
				if d := whole[a].at.Dist(hole[b].at); d < length && whole[a].copper == hole[b].copper {
					best, length = rimCut{i, a, b}, d
				}
			}
		}
	}
	return best, !math.IsInf(length, 1)
}
