package schematic

import (
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// Geometry is what a reader of the printed drawing sees of the circuit: where
// leads end, where wires run, where dots are, and the names at the marks. It
// holds no net of any lead or wire.
type Geometry struct {
	Leads []SeenLead
	Wires [][]Point
	Dots  []Point
	Marks []SeenMark
}

// SeenLead is the end of a lead.
type SeenLead struct {
	Lead circuit.LeadRef
	At   Point
}

// SeenMark is a place where a net goes on elsewhere under its name.
type SeenMark struct {
	Name string
	At   Point
}

// Geometry strips the scene of all that tells nets.
func (d *Drawing) Geometry() Geometry {
	var g Geometry
	for _, p := range d.Parts {
		for _, l := range p.Leads {
			g.Leads = append(g.Leads, SeenLead{circuit.LeadRef{Part: p.Ref, Lead: l.Lead}, l.At})
		}
	}
	for _, w := range d.Wires {
		g.Wires = append(g.Wires, w.Points)
	}
	for _, t := range d.Dots {
		g.Dots = append(g.Dots, t.At)
	}
	for _, m := range d.Marks {
		g.Marks = append(g.Marks, SeenMark{string(m.Net), m.At})
	}
	return g
}

// ReadBack reads the nets from the drawing's geometry alone: things that end
// at one point are joined; at a dot everything that passes is; marks of one
// name are one net; nothing else is joined. Each net's leads, and the nets, come
// in natural order.
func (g Geometry) ReadBack() [][]circuit.LeadRef {
	r := newReader(g)
	for _, at := range g.Dots {
		for i, w := range g.Wires {
			if onWire(w, at) {
				r.join(r.point(at), r.wire(i))
			}
		}
	}
	for i, w := range g.Wires {
		r.join(r.wire(i), r.point(w[0]))
		r.join(r.wire(i), r.point(w[len(w)-1]))
	}
	for _, m := range g.Marks {
		r.join(r.point(m.At), r.name(m.Name))
	}
	groups := map[int][]circuit.LeadRef{}
	for _, l := range g.Leads {
		root := r.find(r.point(l.At))
		groups[root] = append(groups[root], l.Lead)
	}
	var out [][]circuit.LeadRef
	for _, leads := range groups {
		out = append(out, leads)
	}
	return sortNets(out)
}

// Partition is the circuit's nets as ReadBack returns them.
func Partition(c *circuit.Circuit) [][]circuit.LeadRef {
	var out [][]circuit.LeadRef
	for _, n := range c.Nets() {
		out = append(out, slices.Clone(n.Leads))
	}
	return sortNets(out)
}

func sortNets(nets [][]circuit.LeadRef) [][]circuit.LeadRef {
	byLead := func(a, b circuit.LeadRef) int {
		if d := circuit.NaturalCompare(string(a.Part), string(b.Part)); d != 0 {
			return d
		}
		return strings.Compare(string(a.Lead), string(b.Lead))
	}
	for _, n := range nets {
		slices.SortFunc(n, byLead)
	}
	slices.SortFunc(nets, func(a, b []circuit.LeadRef) int { return byLead(a[0], b[0]) })
	return nets
}

// reader joins points, wires and names in a forest.
type reader struct {
	parent []int
	points map[Point]int
	wires  int // the first wire's index
	names  map[string]int
}

func newReader(g Geometry) *reader {
	r := &reader{points: map[Point]int{}, names: map[string]int{}}
	for range g.Wires {
		r.add()
	}
	return r
}

func (r *reader) add() int {
	r.parent = append(r.parent, len(r.parent))
	return len(r.parent) - 1
}

func (r *reader) wire(i int) int { return r.wires + i }

func (r *reader) point(p Point) int {
	if i, ok := r.points[p]; ok {
		return i
	}
	r.points[p] = r.add()
	return r.points[p]
}

func (r *reader) name(s string) int {
	if i, ok := r.names[s]; ok {
		return i
	}
	r.names[s] = r.add()
	return r.names[s]
}

func (r *reader) find(i int) int {
	for r.parent[i] != i {
		i = r.parent[i]
	}
	return i
}

func (r *reader) join(i, j int) { r.parent[r.find(i)] = r.find(j) }

// onWire tells whether a point lies on a wire, ends included.
func onWire(w []Point, at Point) bool {
	for i := 1; i < len(w); i++ {
		if boxOf(w[i-1], w[i]).holds(at) {
			return true
		}
	}
	return false
}
