package sim

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
)

// Many variants of one circuit differ in a single part. Those that have the
// good unit's unknowns take its matrix pattern and order of elimination, in
// which a removed part is numbers that are zero. A short or bridge between
// nodes that have no entry there is a link: an update of rank one to the
// factors.

// patterns are the analyses of the good unit, by state, made when a variant
// first needs one. It is safe for concurrent use; what it holds depends on the
// model alone, so no answer depends on who asked first.
type patterns struct {
	mu   sync.Mutex
	made map[string]*sparse.Symbolic
}

// good returns the analysis of the good unit in a state, nil where its
// equations contradict themselves.
func (m *Model) good(state circuit.State) *sparse.Symbolic {
	var key strings.Builder
	for i := range m.parts {
		if set := state.Setting(m.parts[i].part); set != (circuit.Setting{}) {
			fmt.Fprintf(&key, "%d:%s%g%s ", i, set.Form, set.Position, set.Contact)
		}
	}
	m.patterns.mu.Lock()
	defer m.patterns.mu.Unlock()
	s, ok := m.patterns.made[key.String()]
	if !ok {
		if in, err := m.instance(state, nil, nil); err == nil {
			s = in.symbolic
		}
		m.patterns.made[key.String()] = s
	}
	return s
}

// link is a conductance between two nodes that stands beside the matrix.
type link struct {
	*conductor
	z []float64 // voltages of 1 A through it, without it and the links after it
}

// findLinks takes out of the pattern the conductances that a short or bridge
// puts where the good unit has no entries. They must not join what was apart:
// without them the matrix would be singular.
func (in *Instance) findLinks(p sparse.Pattern) {
	if !slices.ContainsFunc(in.elements, added) {
		return
	}
	u := newUnion(int(in.nodes) + 1)
	for _, e := range in.elements {
		if !added(e) {
			e.nodes(func(a, b int32) { u.join(a, b) })
		}
	}
	for _, e := range in.elements {
		if !added(e) {
			continue
		}
		c := e.element.(*conductor)
		if u.root(c.a.node) != u.root(c.b.node) {
			continue
		}
		if c.a.node != 0 && c.b.node != 0 && p.Find(int(c.a.node-1), int(c.b.node-1)) < 0 {
			c.linked = true
			in.links = append(in.links, link{c, make([]float64, in.unknowns+1)})
		}
	}
}

// added tells whether an element is what a change put into the good unit.
func added(e placed) bool {
	c, ok := e.element.(*conductor)
	return ok && c.added
}

// prepareLinks solves for what each link does to the circuit as factored.
func (in *Instance) prepareLinks() {
	for k := range in.links {
		l := &in.links[k]
		clear(l.z)
		l.z[l.a.node]++
		l.z[l.b.node]--
		in.backsolve(l.z, in.links[:k])
	}
}

// backsolve overwrites b, whose place 0 is the reference net's, with the
// solution of the equations as factored and with these links.
//
// Source: J. Sherman, W. J. Morrison, Ann. Math. Statist. 21 (1950) 124–127
// (from memory).
func (in *Instance) backsolve(b []float64, links []link) {
	in.lu.Solve(b[1:], in.scratch)
	b[0] = 0
	for _, l := range links {
		k := l.g * (b[l.a.node] - b[l.b.node]) / (1 + l.g*(l.z[l.a.node]-l.z[l.b.node]))
		for j, z := range l.z {
			b[j] -= z * k
		}
	}
}

// negative tells whether the determinant of the equations as factored and
// with the links is negative.
func (in *Instance) negative() bool {
	negative := in.lu.Negative()
	for _, l := range in.links {
		negative = negative != (1+l.g*(l.z[l.a.node]-l.z[l.b.node]) < 0)
	}
	return negative
}

// usePivots makes the factors stand on the pivots of another solution where
// they fit, and on none otherwise, so that the answer does not depend on what
// was solved before.
func (in *Instance) usePivots(p *sparse.Pivots) {
	in.current = false
	switch {
	case p == nil || p.Symbolic() != in.symbolic:
		in.lu = nil
	case in.lu == nil || in.lu.Pivots != p:
		in.lu = p.LU()
	}
}
