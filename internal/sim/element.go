package sim

import "math"

// terminal is where an element touches: a node of the equations (0 is the
// reference net) and the lead of its part whose current it adds to (0: none).
type terminal struct {
	node int32
	lead int32
}

// element is one primitive of the equations: conductor, source, junction,
// transistor, lamp. A part may be several. It is straight or bent.
type element interface {
	// nodes calls join for every pair of nodes that direct current may flow
	// between.
	nodes(join func(a, b int32))
	// place asks for the matrix entries that the element will add to.
	place(p *placing)
	// tune takes the knobs of its part.
	tune(t tuning)
	// currents adds the current into each of its leads.
	currents(x, into []float64)
}

// straight is an element whose current is a straight line over its voltage.
type straight interface {
	element
	// slopes adds to the matrix, once for every tuning.
	slopes(s *system)
	// flow adds the currents at s.x.
	flow(s *system)
}

// bent is an element whose current is no straight line.
type bent interface {
	element
	// begin forgets the last solve and starts from the voltages x, or from
	// nothing where cold.
	begin(x []float64, cold bool)
	// load adds slopes and currents. Where it shortens the step to the
	// voltages s.x it adds the currents that its straight line foretells
	// there.
	load(s *system)
}

// system is the linear equations of one iteration, A·d = −f for the step d.
//
// Steps, not voltages, are solved for: the currents f of a node that hangs on
// a few picosiemens are then small numbers added up exactly, and are not lost
// among the amperes of its neighbours.
//
// Shapes: x and f have a place 0 for the reference net, which stays 0 and is
// thrown away; a has one place more than the pattern for entries in the
// reference's row or column.
type system struct {
	a     []float64
	f     []float64 // current out of every node; volts missing in a branch
	x     []float64 // voltages and branch currents
	level float64   // of all sources: 1 but in source stepping
	most  float64   // largest current of any element
	rough bool      // some junction's step was shortened
}

// conductor is a resistance between two nodes.
type conductor struct {
	a, b  terminal
	ohms  float64
	fixed bool // not turned by the part's value knob
	// added: by a change to the good unit; linked: beside the matrix.
	added, linked bool
	g             float64
	at            [4]int32
}

// leastOhms stands for a plain piece of wire.
const leastOhms = 1e-3

func (e *conductor) nodes(join func(a, b int32)) { join(e.a.node, e.b.node) }

func (e *conductor) place(p *placing) {
	if !e.linked {
		p.square(&e.at, e.a.node, e.b.node)
	}
}

func (e *conductor) tune(t tuning) {
	ohms := e.ohms
	if !e.fixed {
		ohms *= t.value
	}
	e.g = 1 / max(ohms, leastOhms)
}

func (e *conductor) slopes(s *system) {
	if !e.linked {
		s.conductance(&e.at, e.g)
	}
}

func (e *conductor) flow(s *system) {
	s.pass(e.a.node, e.b.node, e.g*(s.x[e.a.node]-s.x[e.b.node]))
}

func (e *conductor) currents(x, into []float64) {
	i := e.g * (x[e.a.node] - x[e.b.node])
	into[e.a.lead] += i
	into[e.b.lead] -= i
}

// conductance adds g between the nodes that at was placed for.
func (s *system) conductance(at *[4]int32, g float64) {
	s.a[at[0]] += g
	s.a[at[1]] += g
	s.a[at[2]] -= g
	s.a[at[3]] -= g
}

// pass adds a current i that goes from node a through the element to node b.
func (s *system) pass(a, b int32, i float64) {
	s.f[a] += i
	s.f[b] -= i
	s.most = max(s.most, math.Abs(i))
}

// stiffSource is the inner resistance below which a source has its current as
// an unknown of its own.
const stiffSource = 1e-3

// source is a voltage behind a resistance. Its current is an unknown (branch)
// where the resistance is too small to divide by.
type source struct {
	plus, minus terminal
	volts, ohms float64
	branch      int32 // unknown of its current, 0 where it has none
	v, g        float64
	factor      float64 // of the part's value knob
	at          [4]int32
	row         [5]int32
}

func (e *source) ideal() bool { return e.ohms < stiffSource }

func (e *source) nodes(join func(a, b int32)) { join(e.plus.node, e.minus.node) }

func (e *source) place(p *placing) {
	if !e.ideal() {
		p.square(&e.at, e.plus.node, e.minus.node)
		return
	}
	p.entry(&e.row[0], e.branch, e.plus.node)
	p.entry(&e.row[1], e.branch, e.minus.node)
	p.entry(&e.row[2], e.plus.node, e.branch)
	p.entry(&e.row[3], e.minus.node, e.branch)
	p.entry(&e.row[4], e.branch, e.branch)
}

func (e *source) tune(t tuning) {
	e.factor = t.value
	e.v = e.volts * t.value
	if !e.ideal() {
		e.g = 1 / e.ohms
	}
}

func (e *source) slopes(s *system) {
	if !e.ideal() {
		s.conductance(&e.at, e.g)
		return
	}
	s.a[e.row[0]]++
	s.a[e.row[1]]--
	s.a[e.row[2]]--
	s.a[e.row[3]]++
	s.a[e.row[4]] += e.ohms
}

// flow adds, for an ideal source, v(plus) − v(minus) + ohms·i − level·v in the
// row of its branch, i going from minus to plus within.
func (e *source) flow(s *system) {
	across := s.x[e.plus.node] - s.x[e.minus.node]
	if !e.ideal() {
		s.pass(e.plus.node, e.minus.node, e.g*(across-e.v*s.level))
		return
	}
	i := s.x[e.branch]
	s.pass(e.minus.node, e.plus.node, i)
	s.f[e.branch] += across + e.ohms*i - e.v*s.level
}

// out is the current that the source delivers at plus.
func (e *source) out(x []float64) float64 {
	if e.ideal() {
		return x[e.branch]
	}
	return e.g * (e.v - x[e.plus.node] + x[e.minus.node])
}

func (e *source) currents(x, into []float64) {
	i := e.out(x)
	into[e.plus.lead] -= i
	into[e.minus.lead] += i
}
