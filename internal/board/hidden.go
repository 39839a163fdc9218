package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// HiddenJoin is a place where copper of the component side may go on under a
// part: from one piece that can be seen to another.
type HiddenJoin struct {
	Upper             [2]copper.NetID `json:"upper"`
	Between           [2][2]float64   `json:"between"` // component pixels where the two pieces go under
	ProbabilityJoined float64         `json:"probability_joined"`
}

// stub is a place where visible copper goes under a part.
type stub struct {
	net   copper.NetID
	front int32      // the part, as a component of the mask
	at    geom.Point // working pixels
	way   geom.Point // on under the part, length 1
	wide  float64    // working pixels
}

// Odds of how copper runs under a part. They were set by looking at how the
// router of internal/specimen and real boards bend: steps of 45 degrees, seldom
// two of them under one body; TestHiddenCopperIsCalibrated holds them.
const (
	bendSigma  = 0.55 // radians between the way in and the way to the other end
	widthSigma = 0.5  // natural logarithm of the ratio of two widths
	endsWeight = 0.12 // that copper ends under the part, against a straight way on
	leastStub  = 2    // working pixels across
	underShare = 0.9  // of the way between two ends that the part must hide
)

// upperPad is the place of a foil-side joint on the component photo, in
// working pixels.
type upperPad struct {
	at     geom.Point
	radius float64
}

// hiddenCopper looks for copper that goes on under parts. pads are all joints,
// of which those numbered in unseen are hidden. It gives what may join pieces
// of copper, and for each unseen joint the copper that may end there.
func hiddenCopper(l copper.Labels, front raster.Mask, pads []upperPad, unseen []int) ([]HiddenJoin, []map[copper.NetID]float64) {
	parts := raster.Components(front, true)
	stubs := slices.DeleteFunc(findStubs(l, parts), func(s stub) bool { return leadAt(pads, s.at) })
	byPart := map[int32][]int{}
	for i, s := range stubs {
		byPart[s.front] = append(byPart[s.front], i)
	}
	h := hider{l: l, front: front, pads: pads, stubs: stubs, score: map[[2]int]float64{}}
	under := make([][]int, len(unseen)) // stubs that lead to each joint
	ends := make([]map[copper.NetID]float64, len(unseen))
	total := make([]float64, len(stubs))
	for i, s := range stubs {
		total[i] = endsWeight
		for _, k := range byPart[s.front] {
			if k != i {
				h.score[[2]int{i, k}] = h.pair(s, stubs[k])
				total[i] += h.score[[2]int{i, k}]
			}
		}
	}
	for j, pad := range unseen {
		for i, s := range stubs {
			if p := h.toJoint(s, pad); p > 0 {
				h.score[[2]int{i, -1 - j}] = p
				total[i] += p
				under[j] = append(under[j], i)
			}
		}
	}
	for j := range unseen {
		ends[j] = h.ending(j, under[j], total)
	}
	return h.joins(total), ends
}

// leadAt tells whether a place where copper meets a part is a joint's: there
// the part's own lead comes out of the copper, and nothing goes under.
func leadAt(pads []upperPad, at geom.Point) bool {
	return slices.ContainsFunc(pads, func(p upperPad) bool { return p.at.Dist(at) <= 1.2*p.radius+nearPart })
}

// covered tells whether a part hides the pad: most of a ring around its middle.
func (p upperPad) covered(front raster.Mask) bool {
	hidden := 0
	for k := range 16 {
		s, c := math.Sincos(float64(k) * math.Pi / 8)
		q := p.at.Add(geom.Point{X: c, Y: s}.Scale(0.75 * p.radius))
		if x, y := int(math.Round(q.X)), int(math.Round(q.Y)); x >= 0 && y >= 0 && x < front.W && y < front.H && front.Yes(x, y) {
			hidden++
		}
	}
	return hidden >= 8
}

// hider weighs how stubs go on.
type hider struct {
	l     copper.Labels
	front raster.Mask
	pads  []upperPad
	stubs []stub
	score map[[2]int]float64 // stub, and other stub or -1 - joint
}

// working is a photo pixel in working pixels.
func working(l copper.Labels, p geom.Point) geom.Point {
	return p.Add(geom.Point{X: 0.5, Y: 0.5}).Scale(1 / float64(l.Scale)).Sub(geom.Point{X: 0.5, Y: 0.5})
}

// fromWorking is the inverse of working.
func fromWorking(l copper.Labels, p geom.Point) geom.Point {
	return p.Add(geom.Point{X: 0.5, Y: 0.5}).Scale(float64(l.Scale)).Sub(geom.Point{X: 0.5, Y: 0.5})
}

// pair weighs that two stubs are ends of one stretch.
func (h *hider) pair(a, b stub) float64 {
	v := b.at.Sub(a.at)
	d := v.Norm()
	if d < 1 {
		return 0
	}
	v = v.Scale(1 / d)
	ta, tb := angle(a.way, v), angle(b.way, v.Scale(-1))
	w := math.Log(a.wide / b.wide)
	s := math.Exp(-(ta*ta+tb*tb)/(2*bendSigma*bendSigma) - w*w/(2*widthSigma*widthSigma))
	if s < 0.01 || !h.hides(a.at, b.at, a.net, b.net) || h.blocked(a.at, b.at, -1) {
		return 0
	}
	return s
}

// toJoint weighs that a stub ends at a joint under its part.
func (h *hider) toJoint(s stub, pad int) float64 {
	at := h.pads[pad].at
	v := at.Sub(s.at)
	d := v.Norm()
	if d < 0.5 {
		return 1
	}
	t := angle(s.way, v.Scale(1/d))
	p := math.Exp(-t * t / (2 * bendSigma * bendSigma))
	if p < 0.01 || !h.hides(s.at, at, s.net, s.net) || h.blocked(s.at, at, pad) {
		return 0
	}
	return p
}

func angle(u, v geom.Point) float64 {
	return math.Acos(max(-1, min(1, u.X*v.X+u.Y*v.Y)))
}

// hides tells whether the straight way between two places is under parts or
// on the two nets' own copper, and meets no other copper.
func (h *hider) hides(a, b geom.Point, one, other copper.NetID) bool {
	n := int(math.Ceil(a.Dist(b)))
	hidden := 0
	for k := range n + 1 {
		p := a.Add(b.Sub(a).Scale(float64(k) / float64(max(1, n))))
		x, y := int(math.Round(p.X)), int(math.Round(p.Y))
		if x < 0 || y < 0 || x >= h.l.W || y >= h.l.H {
			return false
		}
		switch net := h.l.Of[y*h.l.W+x]; {
		case h.front.Yes(x, y):
			hidden++
		case net == one || net == other:
			hidden++
		case net != 0:
			return false
		}
	}
	return float64(hidden) >= underShare*float64(n+1)-2
}

// blocked tells whether the straight way from a to b runs over a joint other
// than the one it may lead to: that joint would be on it.
func (h *hider) blocked(a, b geom.Point, to int) bool {
	for i, p := range h.pads {
		if i != to && distanceTo(a, b, p.at) < p.radius {
			return true
		}
	}
	return false
}

// distanceTo is the distance of p from the segment from a to b.
func distanceTo(a, b, p geom.Point) float64 {
	v, w := b.Sub(a), p.Sub(a)
	n := v.X*v.X + v.Y*v.Y
	if n == 0 {
		return w.Norm()
	}
	t := max(0, min(1, (v.X*w.X+v.Y*w.Y)/n))
	return w.Sub(v.Scale(t)).Norm()
}

// ending is, for a joint that can't be seen, the probability of each copper
// that it ends there. Two coppers that both may end there share.
func (h *hider) ending(j int, stubs []int, total []float64) map[copper.NetID]float64 {
	out := map[copper.NetID]float64{}
	sum := 0.0
	for _, i := range stubs {
		net := h.stubs[i].net
		p := h.score[[2]int{i, -1 - j}] / total[i]
		sum += (1 - out[net]) * p
		out[net] += (1 - out[net]) * p
	}
	if sum > 1 {
		for net := range out {
			out[net] /= sum
		}
	}
	return out
}

// joins are the likely ways from stub to stub between different pieces.
func (h *hider) joins(total []float64) []HiddenJoin {
	best := map[[2]copper.NetID]HiddenJoin{}
	for i := range h.stubs {
		for k := range h.stubs[:i] {
			a, b := h.stubs[k], h.stubs[i]
			there, back := h.score[[2]int{k, i}], h.score[[2]int{i, k}]
			if a.net == b.net || there == 0 || back == 0 {
				continue
			}
			if a.net > b.net {
				a, b = b, a
			}
			p := math.Sqrt(there / total[k] * back / total[i])
			key := [2]copper.NetID{a.net, b.net}
			if o, ok := best[key]; p < 0.03 || ok && o.ProbabilityJoined >= p {
				continue
			}
			p0, p1 := fromWorking(h.l, a.at), fromWorking(h.l, b.at)
			best[key] = HiddenJoin{key, [2][2]float64{{p0.X, p0.Y}, {p1.X, p1.Y}}, p}
		}
	}
	out := make([]HiddenJoin, 0, len(best))
	for _, j := range best {
		out = append(out, j)
	}
	slices.SortFunc(out, func(a, b HiddenJoin) int {
		return cmp.Or(cmp.Compare(a.Upper[0], b.Upper[0]), cmp.Compare(a.Upper[1], b.Upper[1]))
	})
	return out
}
