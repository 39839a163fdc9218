package board

import (
	"fmt"
	"math"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// GapChecks lists a check for every gap between two nets that face each other,
// narrowest first: what the plan leaves out because the photograph is sure of
// it. Solder, dirt or a whisker that no photograph shows is found by these.
func (w *Weighed) GapChecks() []Check {
	n := &namer{Weighed: w, used: map[int]int{}, asked: map[[2]int]int{}}
	out := []Check{}
	for _, g := range w.gaps() {
		red, okRed := n.jointOn(g.Nets[0], g.At)
		black, okBlack := n.jointOn(g.Nets[1], g.At)
		if !okRed || !okBlack {
			continue
		}
		a, b := w.web.pieceAt(red), w.web.pieceAt(black)
		if a < 0 || b < 0 || len(w.belief.m.paths(a, most)[b]) > 0 {
			continue // the plan sees to it
		}
		c := Check{Red: n.word(red), Black: n.word(black), RedAt: red, BlackAt: black, Expect: Separate, Right: w.Sure.Right, Doubts: []geom.Point{g.At},
			Why: fmt.Sprintf("they run %.0f pixels apart at %.0f, %.0f: solder or dirt may join them where the photograph shows nothing", g.Width, g.At.X, g.At.Y)}
		if x := w.detours.between(w.belief, w.likely, a, b); x != nil {
			c.Caution, c.Through = beepsThrough(x.what, x.ohms), x.what
		}
		out = append(out, c)
	}
	return out
}

// gaps are the gaps between neighbours that a bridge may span. Half a hand's
// breadth on the largest photos; wider gaps have no bridges.
func (w *Weighed) gaps() []Gap {
	l := w.web.c.Labels
	return Gaps(l, 0.06*math.Hypot(float64(l.W), float64(l.H))*float64(l.Scale))
}

// jointOn is the joint of a net that lies nearest to a place.
func (n *namer) jointOn(net copper.NetID, to geom.Point) (geom.Point, bool) {
	best, d := geom.Point{}, math.Inf(1)
	for i, j := range n.web.c.Joints {
		if at := n.web.joint(i); j.Net != nil && *j.Net == net && at.Dist(to) < d {
			best, d = at, at.Dist(to)
		}
	}
	return best, !math.IsInf(d, 1)
}
