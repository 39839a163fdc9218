package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Decided lists what the copper has to be told so that its nets are those that
// photograph and answers together make likeliest: only where the answers
// changed something.
func (w *Weighed) Decided() []copper.Continuity {
	net := w.belief.netOf(w.likely)
	var out []copper.Continuity
	for i, b := range w.web.bonds {
		is, was := net[b.a] == net[b.b], w.web.pieces[b.a].net == w.web.pieces[b.b].net
		if is == was || !w.settles(i, is) {
			continue
		}
		at := w.ends(b)
		out = append(out, copper.Continuity{A: at[0], B: at[1], Joined: is})
	}
	return out
}

// settles reports whether a bond is where the nets differ from the
// photograph's. Of several bonds in a row that are not all whole, the
// unlikeliest is taken for the broken one; of what no probe can touch,
// nothing is known.
func (w *Weighed) settles(bond int, joined bool) bool {
	for _, e := range w.belief.m.edges {
		if !slices.Contains(e.members, bond) {
			continue
		}
		weakest := slices.MinFunc(e.members, func(i, j int) int { return cmp.Compare(w.web.bonds[i].p, w.web.bonds[j].p) })
		return joined || weakest == bond
	}
	return false
}

// ends are the two places to put probes to for a bond.
func (w *Weighed) ends(b bond) [2]geom.Point {
	if b.doubt >= 0 {
		return w.web.c.Doubtful[b.doubt].Between
	}
	for _, t := range w.taken {
		if min(t.a, t.b) == min(b.a, b.b) && max(t.a, t.b) == max(b.a, b.b) {
			return [2]geom.Point{t.A, t.B}
		}
	}
	return [2]geom.Point{w.web.pieces[b.a].at, w.web.pieces[b.b].at}
}

// Doubtful lists the places that are in doubt still, as the answers leave them,
// the one most worth checking first. The nets are named as the given copper
// has them. A place whose both sides are one piece decides nothing, and is left
// out.
func (w *Weighed) Doubtful(now *copper.Copper) []copper.Doubt {
	out := []copper.Doubt{}
	for i, b := range w.web.bonds {
		d := copper.Doubt{Between: w.ends(b), Pairs: 1}
		mid := d.Between[0].Add(d.Between[1]).Scale(0.5)
		d.X, d.Y = mid.X, mid.Y
		if b.doubt >= 0 {
			d = w.web.c.Doubtful[b.doubt]
		}
		d.ProbabilityJoined = w.bond(i)
		if keepDoubt(&d, now) {
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b copper.Doubt) int { return cmp.Compare(doubtWorth(b), doubtWorth(a)) })
	return out
}

// doubtWorth is what a check there tells, more where more joints hang on it.
func doubtWorth(d copper.Doubt) float64 {
	return entropy(d.ProbabilityJoined) * math.Log2(2+float64(d.Pairs))
}

// keepDoubt names the nets of a place that is in doubt; false where it is not.
func keepDoubt(d *copper.Doubt, now *copper.Copper) bool {
	if d.ProbabilityJoined < doubtLow || d.ProbabilityJoined > doubtHigh {
		return false
	}
	a, b := now.At(d.Between[0]).Net, now.At(d.Between[1]).Net
	if a == nil || b == nil {
		return false
	}
	d.Nets = [2]copper.NetID{min(*a, *b), max(*a, *b)}
	return true
}

// bond is the probability that a bond is whole, the answers included. Of
// several in a row, that they are not all whole leaves each of them its share.
func (w *Weighed) bond(i int) float64 {
	own := w.web.bonds[i].p
	for k, e := range w.belief.m.edges {
		if slices.Contains(e.members, i) {
			all := w.belief.edge(k)
			if len(e.members) == 1 {
				return all
			}
			return all + (1-all)*(own-e.p)/(1-e.p)
		}
	}
	return own
}
