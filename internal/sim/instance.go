package sim

import (
	"math"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
)

// Instance is the equations of one state and one variant of a model. It
// solves any number of draws; only one goroutine may use it at a time.
type Instance struct {
	model    *Model
	state    circuit.State
	variant  Variant
	nodes    int32   // nodes but the reference, numbered from 1: nets first
	unknowns int32   // nodes and branch currents
	bound    float64 // volts that no node can pass
	netNode  []int32 // by index of net; 0 is the reference
	leadNode []int32 // by slot of lead
	leadBase []int32 // by part: slot of its first lead
	leads    int     // slots in use, slot 0 being nobody's
	elements []placed
	straight []straight
	bent     []bent
	hinges   []hinge
	scaled   []tuning // by part, of the variant alone
	tuned    []tuning // by part, with the draw at hand
	drawn    bool     // tuned holds a draw other than the nominal one

	floating []Floating
	shorted  []circuit.Problem
	island   []int32 // by node: the number of its conducting component
	ties     []int32 // one node of every component that floats

	moving  bool      // charge and flux are followed: see Transient
	storing []storing // what keeps them
	waves   []*wave
	helpers []int32 // nodes that steps are not judged by

	diagonal []int32 // places of the diagonal of every node
	symbolic *sparse.Symbolic
	links    []link
	lu       *sparse.LU
	current  bool // lu is of the straight elements as loaded
	sys      system
	base     []float64 // what the straight elements add to the matrix
	scratch  []float64
	probeCol []float64
}

// Instance builds the equations of a state with a variant's changes.
//
// Errors: *ProblemError for a contradiction of ideal sources; a plain error
// for a variant that does not fit the model.
func (m *Model) Instance(state circuit.State, v Variant) (*Instance, error) {
	return m.instance(state, v, nil)
}

// instance builds the equations with the parts as they are at rest, or by
// their builders of movers where there are any.
func (m *Model) instance(state circuit.State, v Variant, movers []func(*assembly)) (*Instance, error) {
	if err := m.check(v); err != nil {
		return nil, err
	}
	in := &Instance{model: m, state: state, variant: v, moving: movers != nil,
		leadBase: make([]int32, len(m.parts)), scaled: make([]tuning, len(m.parts)), tuned: make([]tuning, len(m.parts))}
	slots := 1
	for i := range m.parts {
		in.scaled[i] = tuning{value: 1, gain: 1}
		slots += len(m.parts[i].leadNet)
	}
	in.leadNode = make([]int32, slots)
	in.numberNets()
	(&assembly{inst: in, movers: movers}).build(state, v)
	in.branches()
	in.bound = in.reachable()
	if err := in.contradiction(); err != nil {
		return nil, err
	}
	in.structure()
	in.placeAll(m.sharedBy(state, v, movers))
	in.tune(nil)
	return in, nil
}

// numberNets gives every net but the reference a node.
func (in *Instance) numberNets() {
	in.netNode = make([]int32, len(in.model.nets))
	for i, n := range in.model.nets {
		if n != in.model.reference {
			in.nodes++
			in.netNode[i] = in.nodes
		}
	}
}

// branches numbers the currents that are unknowns, after the nodes.
func (in *Instance) branches() {
	in.unknowns = in.nodes
	next := func() int32 {
		in.unknowns++
		return in.unknowns
	}
	for _, e := range in.elements {
		if s, ok := e.element.(*source); ok && s.ideal() {
			s.branch = next()
		}
		if s, ok := e.element.(storing); ok {
			s.number(next)
			in.storing = append(in.storing, s)
		}
	}
}

// reachableMoving is a voltage that no circuit with coils passes.
const reachableMoving = 1e9

// reachable is a voltage far above any that a node can have: no part pumps,
// so none passes the sum of all sources. It keeps Newton's steps on earth.
// Coils do pump.
func (in *Instance) reachable() float64 {
	if in.moving {
		return reachableMoving
	}
	const margin, extra = 10, 100.0
	sum := extra
	for _, e := range in.elements {
		if s, ok := e.element.(*source); ok {
			sum += margin * math.Abs(s.volts)
		}
	}
	return sum
}

// sharedBy is the analysis that a variant shares with the good unit, nil for
// none.
func (m *Model) sharedBy(state circuit.State, v Variant, movers []func(*assembly)) *sparse.Symbolic {
	if len(v) == 0 || movers != nil {
		return nil
	}
	return m.good(state)
}

// perElement is about how many entries of the matrix an element adds to.
const perElement = 5

// placeAll finds the pattern, one shared with the good unit where that is not
// nil and serves, and makes the work space.
func (in *Instance) placeAll(good *sparse.Symbolic) {
	n := int(in.unknowns)
	if good != nil && good.Pattern().N == n {
		in.findLinks(good.Pattern())
	}
	room := int(in.nodes) + perElement*len(in.elements)
	p := &placing{builder: sparse.NewBuilder(n), wanted: make([]*int32, 0, room)}
	p.builder.Grow(room)
	in.diagonal = make([]int32, in.nodes)
	for i := range in.diagonal {
		p.entry(&in.diagonal[i], int32(i+1), int32(i+1))
	}
	for _, e := range in.elements {
		e.place(p)
	}
	in.symbolic = p.finish(good)
	pattern := in.symbolic.Pattern()
	in.sys = system{a: make([]float64, pattern.NNZ()+1), f: make([]float64, n+1), x: make([]float64, n+1), level: 1}
	in.base = make([]float64, pattern.NNZ()+1)
	in.scratch, in.probeCol = make([]float64, n), make([]float64, n+1)
}

// tune sets every element for a draw.
func (in *Instance) tune(d Draw) {
	copy(in.tuned, in.scaled)
	if d != nil {
		for k, s := range in.model.spreads {
			in.tuned[in.model.spreadOf[k]].turn(s, d[k])
		}
	}
	in.drawn = d != nil
	plain := tuning{value: 1, gain: 1}
	for _, e := range in.elements {
		t := plain
		if e.part != noPart {
			t = in.tuned[e.part]
		}
		e.tune(t)
	}
	in.loadStraight()
}

// loadStraight computes what the straight elements add to the matrix.
func (in *Instance) loadStraight() {
	s := system{a: in.base}
	in.current = false
	clear(s.a)
	for _, e := range in.straight {
		e.slopes(&s)
	}
	for _, node := range in.ties {
		s.a[in.diagonal[node-1]] += tieConductance
	}
}

// Floating lists the parts of the circuit that have no path to the reference.
func (in *Instance) Floating() []Floating { return in.floating }

// State is the state that the instance was built for.
func (in *Instance) State() circuit.State { return in.state }

// Model is what the instance was built from.
func (in *Instance) Model() *Model { return in.model }
