package copper

import "math"

// Weights of the signs that copper is whole at the place that decides it, in
// log odds. Fitted by logistic regression to boards of the study tuned, and held
// to others (docs/doubt.md).
const (
	// Where the network is heard: what the tree says, what the network says by
	// itself, how sure it is of the board, and the tree the more the surer.
	wholeTree     = 0.30
	wholeNetwork  = 0.14
	wholeSure     = 8.6
	wholeTreeSure = 4.5
	// Where it isn't, the tree stands on the colours alone.
	wholeColours = 0.5
	// leastSure bounds how unsure of the board the network may be for that to
	// count: of boards below it there are too few to fit anything.
	leastSure = 0.92
	// hiddenLess is taken off where something hides the place: edges that are
	// carried on beneath join more than there is. Of 367 such places of 40 boards
	// the fit gave 0.9 on boards of which the network is sure, 1.0 and 1.3 on
	// others.
	hiddenLess = 1.0
)

// weigh gives every merge of the tree the log odds that the copper is whole
// there. Where nothing hangs on a merge that is what its level says.
func (p *Plate) weigh(g *graph, t *tree) []float64 {
	odds := make([]float64, len(t.nodes))
	for i := t.leaves; i < len(odds); i++ {
		n := &t.nodes[i]
		odds[i] = oddsOf(n.level)
		if p.matters(&t.nodes[n.kids[0]], &t.nodes[n.kids[1]]) {
			odds[i] = p.wholeOdds(g, n)
		}
	}
	return odds
}

// wholeOdds weighs the signs at a merge. A person's word, a join as well as
// what was brushed or cut there, needs none.
func (p *Plate) wholeOdds(g *graph, n *node) float64 {
	tree := oddsOf(n.level)
	switch {
	case n.level == certain:
		return math.Inf(1)
	case g.levels[n.at] != p.graph.levels[n.at] || len(p.seen.metal.Pix) == 0:
		return tree
	}
	heard, sure := heardAt(p.sure), max(p.sure, leastSure)-clearSight
	network := p.seen.metalNear(n.at)
	odds := (1-heard)*wholeColours*tree + heard*(wholeTree*tree+wholeNetwork*network+sure*(wholeSure+wholeTreeSure*tree))
	if p.hidden.Pix[n.at] != 0 {
		odds -= hiddenLess
	}
	return odds
}

// heardAt is how much the word of a network counts that is so sure of a board.
func heardAt(sure float64) float64 {
	return min(max((sure-doubtfulSight)/(clearSight-doubtfulSight), 0), 1)
}

// metalNear is the network's log odds of metal around a pixel, as far as one
// pixel may claim.
func (s *Seen) metalNear(at int32) float64 {
	w, h := s.metal.W, s.metal.H
	x, y := int(at)%w, int(at)/w
	sum, n := 0.0, 0.0
	for py := max(y-1, 0); py <= min(y+1, h-1); py++ {
		for px := max(x-1, 0); px <= min(x+1, w-1); px++ {
			sum += float64(s.metal.At(px, py))
			n++
		}
	}
	return min(max(sum/n, -sightMost), sightMost)
}
