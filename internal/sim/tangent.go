package sim

import (
	"math"
	"slices"
)

// Tangent is an instance frozen at an operating point with every element
// replaced by its tangent there. It tells what a probe between two places
// does at the price of one back substitution, and how far the elements would
// in truth leave their tangents, so that a caller knows when Measure is
// needed. It holds until the instance is used otherwise.
type Tangent struct {
	in    *Instance
	x     []float64
	bends []bend
	z     []float64 // nodes' voltages for 1 A into red and out of black
	step  []float64
	last  struct{ i, bow float64 } // of the last Bow at this Port
}

// bend is a bent element with its currents and slopes at the operating point.
type bend struct {
	two    func(v float64) (i, g float64) // of an element with two terminals
	three  *bipolar
	many   *multi
	a, b   int32
	v, i   float64
	g      float64
	at     flow
	be, bc float64

	volts, current, slope []float64 // of many, at the operating point
}

// Tangent freezes the instance at a solution of its own, whose draw it still
// has. ok is false where the equations are singular there.
func (in *Instance) Tangent(at *Solution) (t *Tangent, ok bool) {
	if len(at.x) != len(in.sys.x) {
		return nil, false
	}
	copy(in.sys.x, at.x)
	in.restoreModes(at.modes)
	for _, e := range in.bent {
		e.begin(in.sys.x, false)
	}
	in.assemble(trial{})
	if in.factor() != nil {
		return nil, false
	}
	t = &Tangent{in: in, x: at.x, z: make([]float64, len(at.x)), step: make([]float64, len(at.x))}
	for _, e := range in.bent {
		b, known := bendOf(e, at.x)
		if !known {
			return nil, false
		}
		t.bends = append(t.bends, b)
	}
	return t, true
}

// bendOf notes an element's tangent. known is false for a kind of element
// whose bending is not worked out here.
func bendOf(e bent, x []float64) (b bend, known bool) {
	switch e := e.(type) {
	case *junction:
		b = bend{two: e.current, a: e.a.node, b: e.k.node}
	case *filament:
		b = bend{two: e.current, a: e.a.node, b: e.b.node}
	case *bipolar:
		b = bend{three: e, be: e.sign * (x[e.b.node] - x[e.e.node]), bc: e.sign * (x[e.b.node] - x[e.c.node])}
		b.at = e.flow(b.be, b.bc)
		return b, true
	case *multi:
		b = bend{many: e, volts: make([]float64, len(e.ends))}
		e.gather(x, b.volts)
		e.evaluate(b.volts)
		b.current, b.slope = slices.Clone(e.current), slices.Clone(e.slope)
		return b, true
	default:
		return b, false
	}
	b.v = x[b.a] - x[b.b]
	b.i, b.g = b.two(b.v)
	return b, true
}

// Within smallStep volts a junction leaves its tangent by less than
// curvature·g·v²: half of g over a thermal voltage, taken a little low. Most
// junctions are far from the probe, so this saves most of the exponentials.
const (
	smallStep = 2e-3
	curvature = 25.0 // 1/V
)

// bow is the current by which the element leaves its tangent when the
// voltages move by d.
func (b *bend) bow(d []float64) float64 {
	if b.many != nil {
		return b.bowMany(d)
	}
	if b.three == nil {
		dv := d[b.a] - d[b.b]
		if math.Abs(dv) < smallStep {
			return curvature * b.g * dv * dv
		}
		i, _ := b.two(b.v + dv)
		return math.Abs(i - b.i - b.g*dv)
	}
	e := b.three
	be := e.sign * (d[e.b.node] - d[e.e.node])
	bc := e.sign * (d[e.b.node] - d[e.c.node])
	if math.Abs(be) < smallStep && math.Abs(bc) < smallStep {
		return curvature * ((math.Abs(b.at.icBE)+b.at.ibBE)*be*be + (math.Abs(b.at.icBC)+b.at.ibBC)*bc*bc)
	}
	f := e.flow(b.be+be, b.bc+bc)
	return math.Abs(f.ic-b.at.ic-b.at.icBE*be-b.at.icBC*bc) + math.Abs(f.ib-b.at.ib-b.at.ibBE*be-b.at.ibBC*bc)
}

// bowMany is bow for a device with any number of ends; infinite where the step
// would turn its mode.
func (b *bend) bowMany(d []float64) float64 {
	e := b.many
	n := len(e.ends)
	moved := false
	for k, end := range e.ends {
		moved = moved || math.Abs(d[end.node]-d[e.ends[0].node]) > smallStep/10
		e.now[k] = b.volts[k] + d[end.node]
	}
	if !moved {
		return 0
	}
	if h, ok := e.does.(hinged); ok {
		mode := h.mode()
		turned := h.turn(e.now)
		h.restore(mode)
		if turned {
			return math.Inf(1)
		}
	}
	e.evaluate(e.now)
	var sum float64
	for r := range n {
		foretold := b.current[r]
		for c, end := range e.ends {
			foretold += b.slope[n*r+c] * d[end.node]
		}
		sum += math.Abs(e.current[r] - foretold)
	}
	return sum / 2 // what comes out of one end goes in at another
}

// Port is what two places show to a small probe.
type Port struct {
	Volts float64 // first over second place without the probe
	Ohms  float64 // by which a current into the probe lowers it
	Apart bool    // nothing but a probe joins the two places
}

// Port looks at two places. Bow then speaks of these two.
//
// Errors: an unknown place.
func (t *Tangent) Port(red, black Place) (Port, error) {
	a, err := t.in.placeNode(red)
	if err != nil {
		return Port{}, err
	}
	b, err := t.in.placeNode(black)
	if err != nil {
		return Port{}, err
	}
	if t.in.island[a] != t.in.island[b] {
		return Port{Apart: true}, nil
	}
	clear(t.z)
	t.z[a]++
	t.z[b]--
	t.in.backsolve(t.z, t.in.links)
	t.last.i, t.last.bow = 0, 0
	return Port{Volts: t.x[a] - t.x[b], Ohms: t.z[a] - t.z[b]}, nil
}

// sameCurrent is how nearly alike two currents are that bend the elements
// alike: the ranges of an ohms function all end at one voltage, but for
// rounding.
const sameCurrent = 1e-12

// Bow is the sum of the currents by which the elements would leave their
// tangents with a current i into a probe at the last Port.
func (t *Tangent) Bow(i float64) float64 {
	// Written so that a current that is infinite or no number is never taken for the last.
	if !(math.Abs(i-t.last.i) <= sameCurrent*min(math.Abs(i), math.Abs(t.last.i))) {
		t.last.i, t.last.bow = i, t.bow(i)
	}
	return t.last.bow
}

func (t *Tangent) bow(i float64) float64 {
	for k, z := range t.z {
		t.step[k] = -i * z
	}
	var sum float64
	for k := range t.bends {
		sum += t.bends[k].bow(t.step)
	}
	return sum
}
