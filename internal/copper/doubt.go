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
func (p *Plate) doubts(t *tree, odds []float64, nets parts, name map[int32]NetID, marks []int32) []Doubt {
	spans := t.spans()
	type ranked struct {
		Doubt
		worth float64
	}
	var list []ranked
	for i := t.leaves; i < len(t.nodes); i++ {
		n := &t.nodes[i]
		prob := chance(odds[i])
		if prob < doubtLow || prob > doubtHigh || !p.matters(&t.nodes[n.kids[0]], &t.nodes[n.kids[1]]) {
			continue
		}
		at := place(n.at, p.graph.w, p.Scale)
		var d Doubt
		for k := range d.Between {
			leaf := n.sides[k]
			d.Between[k], leaf = p.probeAt(t, probing{spans, n.kids[k], leaf, at}, nets, marks)
			d.Nets[k] = name[nets.of[leaf]]
			if beside := name[nets.of[n.sides[k]]]; beside != 0 {
				d.Nets[k] = beside
			}
		}
		if d.Nets[0] == 0 || d.Nets[1] == 0 {
			continue
		}
		d.Nets = [2]NetID{min(d.Nets[0], d.Nets[1]), max(d.Nets[0], d.Nets[1])}
		d.X, d.Y, d.ProbabilityJoined = at.X, at.Y, prob
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

// probing is one side of a merge, where a probe is wanted.
type probing struct {
	spans []span
	below int32      // the node of that side
	side  int32      // the leaf beside the place
	near  geom.Point // the place
}

// probeAt is where a probe can touch the piece on one side of a place, and the
// leaf there: of its joints the nearest to the place that is on the net beside
// it, or else the nearest; its most certain pixel where it has none.
func (p *Plate) probeAt(t *tree, q probing, nets parts, marks []int32) (geom.Point, int32) {
	summit := t.summit(q.below)
	best, leaf, bestD, bestBeside := place(t.nodes[summit].at, p.graph.w, p.Scale), summit, math.Inf(1), false
	for i, m := range marks {
		if m < 0 || !q.spans[q.below].holds(q.spans[m]) {
			continue
		}
		at := photo.PixelAt(p.joints[i], p.Scale)
		d, beside := at.Dist(q.near), nets.of[m] == nets.of[q.side]
		if beside == bestBeside && d < bestD || beside && !bestBeside {
			best, leaf, bestD, bestBeside = at, m, d, beside
		}
	}
	return best, leaf
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
