package schematic

import "foilside/internal/circuit"

// pair is two like transistors that a draughtsman shows as mirror images:
// side by side facing each other, or one over the other.
type pair struct {
	left, right int  // or upper, lower
	over        bool // the complementary pair of an output stage
	crossed     bool // a multivibrator: collectors coupled to the other's base
	mates       bool // parts on both sides of a pair
	row         bool // like stages one after the other
}

// findPairs looks for differential pairs, multivibrators and complementary
// outputs.
func findPairs(c *circuit.Circuit, v *netView) []pair {
	var out []pair
	for i, p := range c.Parts {
		for j := i + 1; j < len(c.Parts); j++ {
			q := c.Parts[j]
			switch {
			case !bipolarKind(p.Kind) || !bipolarKind(q.Kind):
			case p.Kind == q.Kind && coupling(c, p, q) != "" && coupling(c, p, q) == coupling(c, q, p):
				out = append(out, pair{left: i, right: j, crossed: true})
			case p.Kind == q.Kind && p.Net("e") == q.Net("e") && v.rail[v.index[p.Net("e")]] == noRail && p.Net("b") != q.Net("b"):
				out = append(out, pair{left: i, right: j})
			case p.Kind == circuit.NPN && q.Kind == circuit.PNP && meet(c, p, q):
				out = append(out, pair{left: i, right: j, over: true})
			case p.Kind == circuit.PNP && q.Kind == circuit.NPN && meet(c, q, p):
				out = append(out, pair{left: j, right: i, over: true})
			}
		}
	}
	return out
}

func bipolarKind(k circuit.Kind) bool { return k == circuit.NPN || k == circuit.PNP }

// coupling is what kind of part leads from p's collector to q's base: both the
// same way in a multivibrator that is a mirror image of itself.
func coupling(c *circuit.Circuit, p, q circuit.Part) circuit.Kind {
	a, b := p.Net("c"), q.Net("b")
	for _, x := range c.Parts {
		if len(x.Leads) == 2 && (x.Leads[0].Net == a && x.Leads[1].Net == b || x.Leads[1].Net == a && x.Leads[0].Net == b) {
			return x.Kind
		}
	}
	return ""
}

// meet tells whether an npn above and a pnp below share their emitters, direct
// or over resistors to a common output.
func meet(c *circuit.Circuit, up, down circuit.Part) bool {
	a, b := up.Net("e"), down.Net("e")
	if a == b {
		return true
	}
	for _, n := range neighbours(c, a) {
		for _, m := range neighbours(c, b) {
			if n == m || n == b {
				return true
			}
		}
	}
	return false
}

// neighbours are the nets that a resistor leads to.
func neighbours(c *circuit.Circuit, a circuit.NetID) []circuit.NetID {
	var out []circuit.NetID
	for _, p := range c.Parts {
		if p.Kind != circuit.Resistor {
			continue
		}
		switch a {
		case p.Leads[0].Net:
			out = append(out, p.Leads[1].Net)
		case p.Leads[1].Net:
			out = append(out, p.Leads[0].Net)
		}
	}
	return out
}

// pairCost is what it costs that a pair doesn't stand as it should.
func (l *layout) pairCost(p pair) float64 {
	if p.mates {
		return l.mateCost(p)
	}
	a, b := p.left, p.right
	if p.over {
		cost := 0.6 * float64(min(abs(l.pos[a].x-l.pos[b].x), 12))
		if l.pos[a].y >= l.pos[b].y {
			cost += 6
		}
		if l.shape(a).orient.Mirror != l.shape(b).orient.Mirror {
			cost += 3
		}
		return cost
	}
	cost := 1.8 * float64(min(abs(l.pos[a].y-l.pos[b].y), 12))
	if l.pos[a].x > l.pos[b].x {
		a, b = b, a
		cost++ // the books number from the left
	}
	facing := l.shape(a).orient.Mirror != l.shape(b).orient.Mirror
	if p.crossed {
		// The outer sides hold the collectors' loads, the bases look inward.
		if !l.shape(a).orient.Mirror || l.shape(b).orient.Mirror {
			cost += 4
		}
	} else if !facing || l.shape(a).orient.Mirror {
		cost += 4
	}
	return cost
}
