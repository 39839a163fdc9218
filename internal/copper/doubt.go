package copper

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

// Range of probabilities within which a merge counts as doubtful.
const (
	doubtLow  = 0.03
	doubtHigh = 0.97
)

// doubts lists the merges of the tree that are neither sure nor ruled out and
// that matter: both sides carry a joint, or one does and the other is large. First come
// those where a check tells most: uncertainty times the joint pairs that hang
// on it.
func (p *Plate) doubts(g *graph, t *tree, name map[int32]NetID, marks []int32) []Doubt {
	of, spans := t.cutAll(cutLevel), t.spans()
	type ranked struct {
		Doubt
		worth float64
	}
	var list []ranked
	for i := t.leaves; i < len(t.nodes); i++ {
		n := &t.nodes[i]
		prob := float64(n.level) / 255
		if prob < doubtLow || prob > doubtHigh || !p.matters(&t.nodes[n.kids[0]], &t.nodes[n.kids[1]]) {
			continue
		}
		a, b := sideName(name, of, n, 0), sideName(name, of, n, 1)
		if a == 0 || b == 0 {
			continue
		}
		d := Doubt{Nets: [2]NetID{min(a, b), max(a, b)}, ProbabilityJoined: prob}
		at := place(n.at, g.w, p.Scale)
		d.X, d.Y = at.X, at.Y
		d.Between = [2]geom.Point{p.probeAt(t, spans, marks, n.kids[0], at), p.probeAt(t, spans, marks, n.kids[1], at)}
		d.Pairs = int(t.nodes[n.kids[0]].marks * t.nodes[n.kids[1]].marks)
		list = append(list, ranked{d, entropy(prob) * math.Log2(2+float64(d.Pairs))})
	}
	slices.SortStableFunc(list, func(a, b ranked) int { return cmp.Compare(b.worth, a.worth) })
	out := make([]Doubt, len(list))
	for i, r := range list {
		out[i] = r.Doubt
	}
	return out
}

// sideName is the net on one side of a merge: that of the piece below or, where
// that is itself a merge in doubt, that of the basin beside the place.
func sideName(name map[int32]NetID, of []int32, n *node, side int) NetID {
	if id := name[of[n.kids[side]]]; id != 0 {
		return id
	}
	return name[of[n.sides[side]]]
}

// probeAt is where a probe can touch the piece below a node: its joint nearest
// to the place, or its most certain pixel where it has none.
func (p *Plate) probeAt(t *tree, spans []span, marks []int32, below int32, near geom.Point) geom.Point {
	best, bestD := place(t.summit(below), p.graph.w, p.Scale), math.Inf(1)
	for i, m := range marks {
		if m < 0 || !spans[below].holds(spans[m]) {
			continue
		}
		at := photo.PixelAt(p.joints[i], p.Scale)
		if d := at.Dist(near); d < bestD {
			best, bestD = at, d
		}
	}
	return best
}

// largePiece is how many specks a piece without a joint must be worth to be
// asked about.
const largePiece = 10

// matters reports whether it is worth asking about the merge of two pieces.
func (p *Plate) matters(a, b *node) bool {
	if a.marks == 0 {
		a, b = b, a
	}
	return a.marks > 0 && (b.marks > 0 || b.solid >= largePiece*p.speck())
}

// entropy of a yes-or-no with probability p, in bits.
func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}
