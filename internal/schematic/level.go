package schematic

import (
	"math"

	"foilside/internal/circuit"
)

// path is how strongly two leads of a part are tied for direct current, as a
// conductance of no unit.
type path struct {
	a, b circuit.LeadName
	g    float64
}

const (
	firmTie  = 3    // a wire but for its name: switch, fuse, winding
	plainTie = 1    // a resistor, a junction, the main path of a transistor
	weakTie  = 0.2  // a control
	acTie    = 0.02 // no direct current: capacitor, winding to winding
)

// paths lists the part's ties.
func paths(p circuit.Part) []path {
	switch p.Kind {
	case circuit.Capacitor, circuit.Crystal:
		return []path{{"1", "2", acTie}}
	case circuit.Electrolytic, circuit.Signal:
		return []path{{"+", "-", acTie}}
	case circuit.Battery, circuit.Supply, circuit.Connector, circuit.TestPoint:
		return nil
	case circuit.Potentiometer:
		return []path{{"1", "w", 2 * plainTie}, {"w", "2", 2 * plainTie}}
	case circuit.Diode, circuit.LED, circuit.Zener:
		return []path{{"a", "k", plainTie}}
	case circuit.Bridge:
		return []path{{"+", "ac1", plainTie}, {"+", "ac2", plainTie}, {"ac1", "-", plainTie}, {"ac2", "-", plainTie}}
	case circuit.NPN, circuit.PNP:
		return []path{{"c", "e", plainTie}, {"b", "e", plainTie}, {"b", "c", weakTie}}
	case circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP:
		return []path{{"d", "s", plainTie}, {"g", "s", acTie}}
	case circuit.UJT:
		return []path{{"b2", "b1", plainTie}, {"e", "b1", weakTie}, {"e", "b2", weakTie}}
	case circuit.SCR, circuit.FlashTube:
		return []path{{"a", "k", plainTie}, {"g", "k", weakTie}, {"t", "k", acTie}}
	case circuit.Triac:
		return []path{{"mt2", "mt1", plainTie}, {"g", "mt1", weakTie}}
	case circuit.Triode, circuit.Pentode:
		return []path{{"a", "k", plainTie}, {"g2", "k", weakTie}, {"g", "k", acTie}, {"g1", "k", acTie}, {"g3", "k", acTie}}
	case circuit.OpAmp:
		return []path{{"out", "v+", weakTie}, {"out", "v-", weakTie}, {"+in", "-in", acTie}}
	case circuit.Timer555:
		return []path{{"3", "8", weakTie}, {"3", "1", weakTie}, {"7", "1", acTie}, {"4", "8", acTie}}
	case circuit.Regulator:
		return []path{{"in", "out", firmTie}, {"out", "com", weakTie}}
	case circuit.Optocoupler:
		return []path{{"a", "k", plainTie}, {"c", "e", plainTie}}
	}
	return structuralPaths(p)
}

// structuralPaths are those of parts that have windings or several poles, and
// of the plain two-lead parts.
func structuralPaths(p circuit.Part) []path {
	var out []path
	switch p.Kind {
	case circuit.Transformer:
		for _, w := range p.Windings {
			out = append(out, path{w.First(), w.Second(), firmTie})
		}
	case circuit.Switch:
		for i := range p.Poles() {
			out = append(out, path{circuit.PoleLead("1", i), circuit.PoleLead("2", i), firmTie})
		}
	case circuit.Changeover, circuit.Relay:
		out = append(out, path{"coil1", "coil2", plainTie})
		for i := range p.Poles() {
			out = append(out, path{circuit.PoleLead("c", i), circuit.PoleLead("no", i), plainTie},
				path{circuit.PoleLead("c", i), circuit.PoleLead("nc", i), plainTie})
		}
	default:
		g := float64(plainTie)
		if p.Kind == circuit.Fuse || p.Kind == circuit.Inductor {
			g = firmTie
		}
		if r, ok := p.Amount("value"); ok && p.Kind == circuit.Resistor {
			g = resistorTie(r)
		}
		out = append(out, path{"1", "2", g})
	}
	return out
}

// resistorTie weakens a tie with the root of the resistance, 10 kΩ being plain:
// enough to tell a decoupling resistor from a bias resistor, while structure
// still decides.
func resistorTie(r float64) float64 {
	return plainTie * min(max(math.Sqrt(1e4/math.Max(r, 1)), 0.1), 10)
}

// setLevels estimates from the structure where between supply (1) and
// common (0) every net stands: the potentials of a network of the parts' ties
// between the rails. Negative supplies stand at -1.
func (v *netView) setLevels(c *circuit.Circuit) {
	n := len(v.nets)
	m := newSystem(n)
	for _, p := range c.Parts {
		for _, t := range paths(p) {
			a, b := p.Net(t.a), p.Net(t.b)
			if a != "" && b != "" {
				m.tie(v.index[a], v.index[b], t.g)
			}
		}
	}
	for _, p := range c.Parts {
		// A source lifts its plus over its minus wherever it floats.
		switch p.Kind {
		case circuit.Battery, circuit.Supply, circuit.Bridge:
			m.offset(v.index[p.Net("-")], v.index[p.Net("+")], 0.8, 0.5)
		}
	}
	for i := range n {
		m.pull(i, 0.5, 1e-3)
		switch {
		case v.rail[i] == commonRail:
			m.pull(i, 0, 1e4)
		case v.rail[i] == negativeRail || v.known[i] && v.volts[i] < 0:
			m.pull(i, -1, 1e4)
		case v.rail[i] == supplyRail || (v.known[i] && v.volts[i] > 0):
			m.pull(i, 1, 1e4)
		}
	}
	v.level = m.solve()
}

// system is a small symmetric network: rows of conductances and what drives
// them.
type system struct {
	a   [][]float64
	rhs []float64
}

func newSystem(n int) *system {
	s := &system{a: make([][]float64, n), rhs: make([]float64, n)}
	for i := range s.a {
		s.a[i] = make([]float64, n)
	}
	return s
}

// tie joins i and j so that x_i - x_j is drawn to 0.
func (s *system) tie(i, j int, g float64) { s.offset(i, j, 0, g) }

// offset draws x_j - x_i to d.
func (s *system) offset(i, j int, d, g float64) {
	if i == j {
		return
	}
	s.a[i][i] += g
	s.a[j][j] += g
	s.a[i][j] -= g
	s.a[j][i] -= g
	s.rhs[i] -= g * d
	s.rhs[j] += g * d
}

// pull draws x_i to value.
func (s *system) pull(i int, value, g float64) {
	s.a[i][i] += g
	s.rhs[i] += g * value
}

// solve eliminates without pivoting: the matrix is diagonally dominant and
// positive definite, since every row is pulled.
func (s *system) solve() []float64 {
	n := len(s.rhs)
	for k := range n {
		for i := k + 1; i < n; i++ {
			f := s.a[i][k] / s.a[k][k]
			if math.Abs(f) < 1e-300 {
				continue
			}
			for j := k; j < n; j++ {
				s.a[i][j] -= f * s.a[k][j]
			}
			s.rhs[i] -= f * s.rhs[k]
		}
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		sum := s.rhs[i]
		for j := i + 1; j < n; j++ {
			sum -= s.a[i][j] * x[j]
		}
		x[i] = sum / s.a[i][i]
	}
	return x
}
