package copper

import (
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// What is thought of board that is out of sight, on the side where copper is
// carried on and on the other: enough to join or to part, not to be sure.
const (
	hiddenCopper = 0.9
	hiddenBare   = 0.1
)

// mostCrossings bounds the edges around one hidden piece that are paired, since
// pairing takes their number cubed; a piece with more is taken for bare.
const mostCrossings = 800

// beneath replaces the probability where something hides the board by what the
// edges of copper around it suggest. Every edge that goes out of sight comes
// out again somewhere, and edges don't cross: of all ways to pair them that keep
// to this, the smoothest is taken.
func beneath(q raster.Plane, over raster.Mask) raster.Plane {
	out := q.Clone()
	for _, h := range hiddenPieces(q, over) {
		if w := h.rim(); len(w) > 0 {
			h.fill(out, w)
		}
	}
	return out
}

// hidden is one piece of board that is out of sight.
type hidden struct {
	q      raster.Plane
	over   raster.Mask
	pieces raster.Labels // of over
	label  int32
	box    extent
	width  float64 // of its widest place
}

// extent holds the pixels from x0, y0 to x1, y1, both included.
type extent struct{ x0, y0, x1, y1 int }

// hiddenPieces are the pieces of a mask, pixels that touch by a corner apart.
func hiddenPieces(q raster.Plane, over raster.Mask) []hidden {
	pieces := raster.Components(over, false)
	out := make([]hidden, len(pieces.Areas))
	for l := range out {
		out[l] = hidden{q: q, over: over, pieces: pieces, label: int32(l), box: extent{over.W, over.H, -1, -1}}
	}
	depth := raster.Distance(over.Not())
	for i, l := range pieces.Of {
		if l == 0 {
			continue
		}
		h, x, y := &out[l], i%over.W, i/over.W
		h.box = extent{min(h.box.x0, x), min(h.box.y0, y), max(h.box.x1, x), max(h.box.y1, y)}
		h.width = math.Max(h.width, 2*float64(depth.Pix[i]))
	}
	return out[1:]
}

// fill paints the piece: the copper that its edges leave on one side, and bare
// board.
func (h *hidden) fill(out raster.Plane, rim []rimPlace) {
	c := h.crossings(rim)
	base := float32(hiddenBare)
	if len(c) == 0 && rim[0].copper {
		base = hiddenCopper
	}
	for y := h.box.y0; y <= h.box.y1; y++ {
		for x := h.box.x0; x <= h.box.x1; x++ {
			h.paint(out, x, y, base)
		}
	}
	if len(c) == 0 || len(c) > mostCrossings {
		return
	}
	for _, outline := range outlines(rim, c, pairUp(h.costs(rim, c))) {
		raster.EachInside(outline, func(x, y int) { h.paint(out, x, y, hiddenCopper) })
	}
}

func (h *hidden) paint(out raster.Plane, x, y int, v float32) {
	if x >= 0 && y >= 0 && x < out.W && y < out.H && h.pieces.Of[y*out.W+x] == h.label {
		out.Set(x, y, v)
	}
}

// outlines goes around each piece of copper beneath: along the rim where copper
// is seen, and straight to the other end of each edge that it meets.
func outlines(rim []rimPlace, c []crossing, pair []int) [][]geom.Point {
	var out [][]geom.Point
	done := make([]bool, len(c))
	for s := range c {
		if !rim[(c[s].rim+1)%len(rim)].copper {
			continue
		}
		var outline []geom.Point
		for k := s; !done[k]; {
			done[k] = true
			next := (k + 1) % len(c)
			outline = append(outline, c[k].at)
			for i := (c[k].rim + 1) % len(rim); i != (c[next].rim+1)%len(rim); i = (i + 1) % len(rim) {
				outline = append(outline, rim[i].at)
			}
			outline = append(outline, c[next].at)
			k = pair[next]
		}
		if len(outline) > 0 {
			out = append(out, outline)
		}
	}
	return out
}
