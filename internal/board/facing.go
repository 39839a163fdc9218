package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// Facing is where another net comes nearest to a net, seen from that net with
// no third one between.
type Facing struct {
	Net      copper.NetID
	Width    float64    // foil pixels, from edge to edge; good to a working pixel
	From, To geom.Point // on the edge of the net itself, and of the other
}

// Track is how wide a net's tracks are, in foil pixels, pads left out.
type Track struct {
	Usual  float64 // the median along its tracks
	Least  float64
	Narrow geom.Point // the middle of the narrowest place
}

// Around lists the nets that a net faces within reach foil pixels, the nearest
// first. Unlike Gaps it measures straight, in every direction alike.
func Around(l copper.Labels, net copper.NetID, reach float64) []Facing {
	v, ok := viewOf(l, net, int(reach)/l.Scale+2)
	if !ok {
		return nil
	}
	dist, nearest := raster.NearestSet(v.mask)
	best := map[copper.NetID]int{}
	for i, d := range dist.Pix {
		id := v.label(i)
		if id == 0 || id == net {
			continue
		}
		if at, known := best[id]; !known || d < dist.Pix[at] {
			best[id] = i
		}
	}
	var out []Facing
	for id, i := range best {
		f := Facing{Net: id, Width: (float64(dist.Pix[i]) - 1) * float64(l.Scale), From: v.place(int(nearest[i])), To: v.place(i)}
		if f.Width <= reach && !v.between(int(nearest[i]), i) {
			out = append(out, f)
		}
	}
	slices.SortFunc(out, func(a, b Facing) int { return cmp.Or(cmp.Compare(a.Width, b.Width), cmp.Compare(a.Net, b.Net)) })
	return out
}

// Tracks measures a net's tracks along their middle lines. pads are the joints
// on it, in foil pixels. ok is false where it has no track: a pad, a plane.
//
// Method: on the middle line of a track the nearest edges lie opposite each
// other.
func Tracks(l copper.Labels, net copper.NetID, pads []geom.Point) (track Track, ok bool) {
	v, ok := viewOf(l, net, 2)
	if !ok {
		return Track{}, false
	}
	deep, edge := raster.NearestSet(v.mask.Not())
	var spots []spot
	for y := 1; y < v.mask.H-1; y++ {
		for x := 1; x < v.mask.W-1; x++ {
			if width := across(deep, edge, x, y); width > 0 {
				spots = append(spots, spot{width, y*v.mask.W + x})
			}
		}
	}
	if len(spots) == 0 {
		return Track{}, false
	}
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.width, b.width) })
	clear := 2.5 * spots[len(spots)/2].width * float64(l.Scale)
	spots = slices.DeleteFunc(spots, func(s spot) bool {
		return slices.ContainsFunc(pads, func(p geom.Point) bool { return p.Dist(v.place(s.at)) < clear })
	})
	if len(spots) < 3 {
		return Track{}, false
	}
	k, least := float64(l.Scale), narrowest(spots, v.mask.W)
	return Track{Usual: spots[len(spots)/2].width * k, Least: least.width * k, Narrow: v.place(least.at)}, true
}

// spot is a pixel on the middle line of a track, and the width there.
type spot struct {
	width float64
	at    int
}

// narrowest is the first of the spots, narrowest first, that has others of its
// width beside it: one or two alone are the tip of a corner.
func narrowest(spots []spot, w int) spot {
	for _, s := range spots {
		company := 0
		for _, o := range spots {
			near := math.Hypot(float64(s.at%w-o.at%w), float64(s.at/w-o.at/w)) <= 3
			if near && math.Abs(s.width-o.width) <= 1.5 {
				company++
			}
		}
		if company > 4 { // itself among them
			return s
		}
	}
	return spots[len(spots)/2]
}

// across is the width of the copper at (x, y) in working pixels if that lies on
// the middle line of a track, else 0: edge says for each pixel which one beyond
// the edge is nearest, and the neighbours on the two sides of a middle line
// must be nearest to opposite edges.
func across(deep raster.Plane, edge []int32, x, y int) float64 {
	d := float64(deep.At(x, y))
	if d < 1 || math.IsInf(d, 1) || !crest(deep, x, y) {
		return 0
	}
	best := 0.0
	to := func(px, py int) geom.Point {
		i := int(edge[py*deep.W+px])
		return geom.Point{X: float64(i%deep.W - x), Y: float64(i/deep.W - y)}
	}
	for _, step := range [4][2]int{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
		a, b := to(x-step[0], y-step[1]), to(x+step[0], y+step[1])
		if a.X*b.X+a.Y*b.Y <= opposite*a.Norm()*b.Norm() {
			best = math.Max(best, a.Dist(b)-1)
		}
	}
	return best
}

// crest reports whether no pixel beside (x, y) is clearly farther from the edge.
func crest(deep raster.Plane, x, y int) bool {
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if deep.At(x+dx, y+dy) > deep.At(x, y)+0.75 {
				return false
			}
		}
	}
	return true
}

// opposite is the cosine of the angle from which on two edges count as opposite
// each other: between the two sides of a track, 180°, and of a corner, 90°.
const opposite = -0.7

// view is the part of the labels around one net.
type view struct {
	l      copper.Labels
	x0, y0 int
	mask   raster.Mask // of the net
}

// viewOf is the net with a margin around it; ok is false where it is nowhere.
func viewOf(l copper.Labels, net copper.NetID, margin int) (v view, ok bool) {
	x0, y0, x1, y1 := l.W, l.H, -1, -1
	for i, id := range l.Of {
		if id == net {
			x, y := i%l.W, i/l.W
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
	}
	if x1 < 0 {
		return v, false
	}
	v = view{l: l, x0: max(x0-margin, 0), y0: max(y0-margin, 0)}
	v.mask = raster.NewMask(min(x1+margin+1, l.W)-v.x0, min(y1+margin+1, l.H)-v.y0)
	for i := range v.mask.Pix {
		if v.label(i) == net {
			v.mask.Pix[i] = 1
		}
	}
	return v, true
}

func (v view) at(i int) (x, y int) { return v.x0 + i%v.mask.W, v.y0 + i/v.mask.W }

func (v view) label(i int) copper.NetID {
	x, y := v.at(i)
	return v.l.Of[y*v.l.W+x]
}

func (v view) place(i int) geom.Point {
	x, y := v.at(i)
	return middle(v.l, int32(y*v.l.W+x))
}

// between reports whether the straight way from one pixel of the view to
// another crosses a net that neither is on.
func (v view) between(from, to int) bool {
	ax, ay := v.at(from)
	bx, by := v.at(to)
	a, b := v.label(from), v.label(to)
	n := max(abs(bx-ax), abs(by-ay))
	for k := 1; k < n; k++ {
		t := float64(k) / float64(n)
		x, y := ax+int(math.Round(t*float64(bx-ax))), ay+int(math.Round(t*float64(by-ay)))
		if id := v.l.Of[y*v.l.W+x]; id != 0 && id != a && id != b {
			return true
		}
	}
	return false
}

func abs(x int) int { return max(x, -x) }
