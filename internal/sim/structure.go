package sim

import (
	"fmt"
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// tieConductance holds a floating island at 0 V. No current flows in a single
// tie, so it disturbs nothing; its size only matters for rounding.
const tieConductance = 1e-3

// Floating is a group of nets joined among themselves but to the reference by
// nothing that passes direct current. Voltages between its nets are true,
// their voltage to the reference is undefined and given as held at 0 V
// somewhere.
type Floating struct {
	Nets []circuit.NetID
	Text string
}

// union is a forest of joined nodes.
type union []int32

func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = int32(i)
	}
	return u
}

func (u union) root(a int32) int32 {
	for u[a] != a {
		u[a] = u[u[a]]
		a = u[a]
	}
	return a
}

// join makes the lower root the root of both; it says whether they were apart.
func (u union) join(a, b int32) bool {
	a, b = u.root(a), u.root(b)
	if a == b {
		return false
	}
	u[max(a, b)] = min(a, b)
	return true
}

// structure finds the islands, ties those that float and words them.
func (in *Instance) structure() {
	u := newUnion(int(in.nodes) + 1)
	for _, e := range in.elements {
		e.nodes(func(a, b int32) { u.join(a, b) })
	}
	in.island = make([]int32, in.nodes+1)
	netsOf := map[int32][]circuit.NetID{}
	for a := range in.island {
		in.island[a] = u.root(int32(a))
	}
	for i, n := range in.model.nets {
		if root := in.island[in.netNode[i]]; root != 0 {
			netsOf[root] = append(netsOf[root], n)
		}
	}
	for a := int32(1); a <= in.nodes; a++ {
		if in.island[a] != a {
			continue
		}
		in.ties = append(in.ties, a)
		if nets := netsOf[a]; nets != nil {
			in.floating = append(in.floating, Floating{Nets: nets, Text: in.wordFloating(nets)})
		}
	}
	in.warnShorted()
}

// wordFloating says which nets have no path, and what touches them.
func (in *Instance) wordFloating(nets []circuit.NetID) string {
	var names []string
	for _, n := range nets {
		names = append(names, string(n))
	}
	noun, verb := "net", "has"
	if len(names) > 1 {
		noun, verb = "nets", "have"
	}
	text := fmt.Sprintf("%s %s %s no path to %s for direct current", noun, listed(names), verb, in.model.reference)
	if touching := in.edgeParts(nets); len(touching) > 0 {
		text += ": " + listed(touching) + " only"
	}
	return text
}

// edgeParts are the parts that lead from the nets to others.
func (in *Instance) edgeParts(nets []circuit.NetID) []string {
	var out []string
	for i := range in.model.parts {
		p := in.model.parts[i].part
		inside, outside := 0, 0
		for _, l := range p.Leads {
			if slices.Contains(nets, l.Net) {
				inside++
			} else {
				outside++
			}
		}
		if inside > 0 && (outside > 0 || len(nets) == 1) {
			out = append(out, string(p.Ref))
		}
	}
	return out
}

// listed writes a list as in a sentence, cut after a few.
func listed(names []string) string {
	const most = 6
	if len(names) > most {
		names = append(slices.Clone(names[:most]), fmt.Sprintf("%d more", len(names)-most))
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// contradiction refuses loops of ideal sources, whose currents nothing sets.
func (in *Instance) contradiction() error {
	u := newUnion(int(in.nodes) + 1)
	var before []placed // ideal sources that make no loop
	for _, e := range in.elements {
		s, ok := e.element.(*source)
		if !ok || !s.ideal() {
			continue
		}
		ref := in.model.parts[e.part].part.Ref
		if s.plus.node == s.minus.node {
			return &ProblemError{[]circuit.Problem{problem(ref,
				"%s has both leads on one net and no inner resistance; its current has no limit. Give it its resistance, or separate the nets", ref)}}
		}
		if !u.join(s.plus.node, s.minus.node) {
			loop := append(sourcesBetween(before, s.plus.node, s.minus.node, nil), e)
			return &ProblemError{[]circuit.Problem{in.loopProblem(loop)}}
		}
		before = append(before, e)
	}
	return nil
}

func (in *Instance) loopProblem(loop []placed) circuit.Problem {
	slices.SortFunc(loop, func(a, b placed) int { return a.part - b.part })
	var names []circuit.PartRef
	for _, e := range loop {
		names = append(names, in.model.parts[e.part].part.Ref)
	}
	return problem(names[0], "%s make a loop with no resistance in it; their currents have no limit. Give one its inner resistance", listedParts(names))
}

// sourcesBetween is the way from one node to another through sources that
// make no loop, not back through the one it came by; nil where there is none.
func sourcesBetween(all []placed, from, to int32, came element) []placed {
	for _, e := range all {
		s := e.element.(*source)
		next := s.plus.node + s.minus.node - from
		if e.element == came || (s.plus.node != from && s.minus.node != from) {
			continue
		}
		if next == to {
			return []placed{e}
		}
		if rest := sourcesBetween(all, next, to, e.element); rest != nil {
			return append([]placed{e}, rest...)
		}
	}
	return nil
}

// warnShorted notes sources whose leads are on one net.
func (in *Instance) warnShorted() {
	for _, e := range in.elements {
		if s, ok := e.element.(*source); ok && s.plus.node == s.minus.node && s.volts != 0 {
			ref := in.model.parts[e.part].part.Ref
			in.shorted = append(in.shorted, circuit.Problem{Part: ref, Warning: true,
				Text: fmt.Sprintf("%s has both leads on one net: a short across it", ref)})
		}
	}
}
