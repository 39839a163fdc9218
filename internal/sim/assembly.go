package sim

import (
	"math"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
)

// assembly builds the equations of an Instance, part by part.
type assembly struct {
	inst    *Instance
	index   int               // of the part at hand
	setting circuit.Setting   // of the part at hand
	ends    []terminal        // of the part at hand, by lead
	movers  []func(*assembly) // by part: builds it where it moves; nil: as at rest
}

// lead returns the terminal of a named lead of the part at hand.
func (b *assembly) lead(name circuit.LeadName) terminal {
	if i := b.inst.model.parts[b.index].lead(name); i >= 0 {
		return b.ends[i]
	}
	return terminal{}
}

// node makes a node that is no net.
func (b *assembly) node() int32 {
	b.inst.nodes++
	return b.inst.nodes
}

func (b *assembly) add(e element) {
	in := b.inst
	if m, ok := e.(*multi); ok {
		if h, ok := m.does.(hinged); ok {
			in.hinges = append(in.hinges, hinge{h, m, b.index})
		}
	}
	switch e := e.(type) {
	case bent:
		in.bent = append(in.bent, e)
	case straight:
		in.straight = append(in.straight, e)
	}
	in.elements = append(in.elements, placed{e, b.index})
}

// conductor joins two leads by ohms that the part's value knob turns.
func (b *assembly) conductor(x, y terminal, ohms float64) {
	b.add(&conductor{a: x, b: y, ohms: ohms})
}

// contact joins two leads by ohms that no knob turns.
func (b *assembly) contact(x, y terminal, ohms float64) {
	b.add(&conductor{a: x, b: y, ohms: ohms, fixed: true})
}

// placed is an element and the part it belongs to, −1 for none.
type placed struct {
	element
	part int
}

// noPart marks elements that belong to no part.
const noPart = -1

// changes sorts the changes of a variant by part.
type changes struct {
	byPart map[int][]Change
	other  []Change
}

func (m *Model) sortChanges(v Variant) changes {
	if len(v) == 0 {
		return changes{}
	}
	c := changes{byPart: map[int][]Change{}}
	for _, one := range v {
		if one.Op == OpBridge {
			c.other = append(c.other, one)
			continue
		}
		at := m.partIndex[one.Part]
		c.byPart[at] = append(c.byPart[at], one)
	}
	return c
}

// build makes the elements of every part and of the variant's changes.
func (b *assembly) build(state circuit.State, v Variant) {
	in, m := b.inst, b.inst.model
	sorted := m.sortChanges(v)
	slot := int32(1)
	for i := range m.parts {
		p := &m.parts[i]
		b.index, b.setting = i, state.Setting(p.part)
		b.ends = b.ends[:0]
		in.leadBase[i] = slot
		for _, n := range p.leadNet {
			b.ends = append(b.ends, terminal{in.netNode[n], slot})
			slot++
		}
		b.part(p, sorted.byPart[i])
	}
	b.index = noPart
	for _, c := range sorted.other {
		x, y := in.netNode[m.netIndex[c.Nets[0]]], in.netNode[m.netIndex[c.Nets[1]]]
		b.resistance(terminal{node: x}, terminal{node: y}, c.Ohms)
	}
	in.leads = int(slot)
}

// part builds one part with the changes that touch it.
func (b *assembly) part(p *partModel, cs []Change) {
	in := b.inst
	removed := false
	for _, c := range cs {
		switch c.Op {
		case OpLift:
			b.lift(p.lead(c.Leads[0]), c.Ohms)
		case OpRemove:
			removed = true
		case OpSet:
			b.setting = c.Setting
		case OpScale:
			in.scaled[b.index].scale(c)
		}
	}
	copy(in.leadNode[in.leadBase[b.index]:], nodesOf(b.ends))
	switch {
	case removed:
	case b.movers != nil && b.movers[b.index] != nil:
		b.movers[b.index](b)
	default:
		p.build(b)
	}
	for _, c := range cs {
		if c.Op == OpShort {
			b.resistance(b.lead(c.Leads[0]), b.lead(c.Leads[1]), c.Ohms)
		}
	}
}

func nodesOf(ends []terminal) []int32 {
	out := make([]int32, len(ends))
	for i, t := range ends {
		out[i] = t.node
	}
	return out
}

// lift gives a lead a node of its own, joined to its net by ohms.
func (b *assembly) lift(lead int, ohms float64) {
	net := b.ends[lead].node
	b.ends[lead].node = b.node()
	index := b.index
	b.index = noPart
	b.resistance(terminal{node: net}, terminal{node: b.ends[lead].node}, ohms)
	b.index = index
}

// resistance is a contact that may be open.
func (b *assembly) resistance(x, y terminal, ohms float64) {
	if !math.IsInf(ohms, 1) && x.node != y.node {
		b.add(&conductor{a: x, b: y, ohms: ohms, fixed: true, added: true})
	}
}

func (t *tuning) scale(c Change) {
	switch c.Knob {
	case KnobValue:
		t.value *= c.Factor
	case KnobGain:
		t.gain *= c.Factor
	case KnobDrop:
		t.drop += c.Factor
	}
}

// placing collects the matrix entries of the elements and afterwards tells
// each where its entry is.
type placing struct {
	builder *sparse.Builder
	wanted  []*int32 // one for every addition to the builder
	outside []*int32 // entries in the row or column of the reference
}

// entry asks for row i, column j.
func (p *placing) entry(at *int32, i, j int32) {
	if i == 0 || j == 0 {
		p.outside = append(p.outside, at)
		return
	}
	p.builder.Add(int(i-1), int(j-1))
	p.wanted = append(p.wanted, at)
}

// square asks for the four entries of a conductance.
func (p *placing) square(at *[4]int32, a, b int32) {
	p.entry(&at[0], a, a)
	p.entry(&at[1], b, b)
	p.entry(&at[2], a, b)
	p.entry(&at[3], b, a)
}

// finish hands out the places: those of an analysis that has them all, or of
// one made anew.
func (p *placing) finish(known *sparse.Symbolic) *sparse.Symbolic {
	var places []int32
	fits := false
	if known != nil {
		places, fits = p.builder.Within(known.Pattern())
	}
	if !fits {
		var pattern sparse.Pattern
		pattern, places = p.builder.Build()
		known = sparse.Analyze(pattern)
	}
	for k, at := range p.wanted {
		*at = places[k]
	}
	for _, at := range p.outside {
		*at = int32(known.Pattern().NNZ())
	}
	return known
}
