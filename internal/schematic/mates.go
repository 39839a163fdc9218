package schematic

import (
	"slices"

	"foilside/internal/circuit"
)

// mirrorMap pairs the parts on both sides of two like transistors, as far as
// the circuit is its own mirror image about them.
type mirrorMap struct {
	c    *circuit.Circuit
	v    *netView
	nets map[int]int // net on one side → net on the other; a net in the middle maps to itself
	mate map[int]int // part → part
}

// findMates lists the further pairs that follow from one: collector loads,
// couplings, bias resistors of a multivibrator or a differential pair.
func findMates(c *circuit.Circuit, v *netView, p pair) []pair {
	if p.over {
		return nil
	}
	m := &mirrorMap{c: c, v: v, nets: map[int]int{}, mate: map[int]int{p.left: p.right, p.right: p.left}}
	if !m.link(c.Parts[p.left], c.Parts[p.right], false) {
		return nil
	}
	var out []pair
	for found := true; found; {
		found = false
		for i := range c.Parts {
			if _, ok := m.mate[i]; ok {
				continue
			}
			if j, ok := m.partner(i); ok {
				m.mate[i], m.mate[j] = j, i
				out = append(out, pair{left: min(i, j), right: max(i, j), mates: true})
				found = true
			}
		}
	}
	return out
}

// partner is the one part that mirrors part i, if there is exactly one.
func (m *mirrorMap) partner(i int) (int, bool) {
	p := m.c.Parts[i]
	if !slices.ContainsFunc(p.Leads, func(l circuit.Lead) bool {
		a := m.v.index[l.Net]
		b, ok := m.nets[a]
		return ok && a != b
	}) {
		return 0, false
	}
	best := -1
	for j, q := range m.c.Parts {
		if _, taken := m.mate[j]; taken || j == i || q.Kind != p.Kind || len(q.Leads) != len(p.Leads) {
			continue
		}
		if m.fits(p, q, false) || m.fits(p, q, true) {
			if best >= 0 {
				return 0, false
			}
			best = j
		}
	}
	if best < 0 {
		return 0, false
	}
	q := m.c.Parts[best]
	return best, m.link(p, q, !m.fits(p, q, false))
}

// fits tells whether q's leads, exchanged if swap, lie where the mirror shows p's.
func (m *mirrorMap) fits(p, q circuit.Part, swap bool) bool {
	if swap && (len(p.Leads) != 2 || p.Leads[0].Name != "1") {
		return false
	}
	known := false
	for k, l := range p.Leads {
		a, b := m.v.index[l.Net], m.v.index[q.Leads[across(k, len(p.Leads), swap)].Net]
		want, ok := m.nets[a]
		_, taken := m.nets[b]
		switch {
		case m.v.rail[a] != noRail || m.v.rail[b] != noRail:
			if a != b {
				return false
			}
		case ok && want != b || !ok && taken:
			return false
		case ok:
			known = true
		}
	}
	return known
}

// link notes that q's nets mirror p's; false where that contradicts.
func (m *mirrorMap) link(p, q circuit.Part, swap bool) bool {
	for k, l := range p.Leads {
		a, b := m.v.index[l.Net], m.v.index[q.Leads[across(k, len(p.Leads), swap)].Net]
		if m.v.rail[a] != noRail || m.v.rail[b] != noRail {
			continue
		}
		if x, ok := m.nets[a]; ok && x != b {
			return false
		}
		if x, ok := m.nets[b]; ok && x != a {
			return false
		}
		m.nets[a], m.nets[b] = b, a
	}
	return true
}

func across(k, n int, swap bool) int {
	if swap {
		return n - 1 - k
	}
	return k
}

// findRows pairs like amplifying parts of which one drives the other over a
// coupling capacitor: a book lines them up on one height.
func findRows(c *circuit.Circuit, v *netView) []pair {
	var out []pair
	for i, p := range c.Parts {
		for j, q := range c.Parts {
			if i != j && p.Kind == q.Kind && len(p.Leads) > 2 && v.coupled(c, p, q) && !v.coupled(c, q, p) {
				out = append(out, pair{left: i, right: j, mates: true, row: true})
			}
		}
	}
	return out
}

// coupled tells whether an output of p leads over a capacitor to an input of q.
func (v *netView) coupled(c *circuit.Circuit, p, q circuit.Part) bool {
	for _, x := range c.Parts {
		if x.Kind != circuit.Capacitor && x.Kind != circuit.Electrolytic {
			continue
		}
		a, b := x.Leads[0].Net, x.Leads[1].Net
		for _, d := range drives(p) {
			for _, e := range drives(q) {
				if p.Net(d.out) == a && q.Net(e.in) == b || p.Net(d.out) == b && q.Net(e.in) == a {
					return true
				}
			}
		}
	}
	return false
}

// mateCost is what it costs that two mates don't stand on one height, turned
// alike.
func (l *layout) mateCost(p pair) float64 {
	weight := 0.8
	if p.row {
		weight = 0.25
	}
	cost := weight * float64(min(abs(l.pos[p.left].y-l.pos[p.right].y), 12))
	if a, b := l.shape(p.left), l.shape(p.right); !p.row && len(a.pins) > 0 && a.pins[0].out.vertical() != b.pins[0].out.vertical() {
		cost += 3
	}
	return cost
}
