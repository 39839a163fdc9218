package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// family is how a device works.
type family uint8

const (
	bipolar family = iota
	fet
	valve
)

// device is a transistor, FET or valve, or several that act as one.
type device struct {
	part    int   // the one that the stage is named for
	parts   []int // with those that act with it
	family  family
	sign    float64 // 1: npn, n-channel, valve; -1: pnp, p-channel
	o, g, k int     // output (collector), control (base), reference (emitter)
	g0, k0  int     // before stoppers were passed over
	stopper []*branch
	ballast []*branch // small resistance between the reference and k
	screen  int       // a pentode's second grid, -1
	mos     bool
	inner   []int  // nets between those that act as one
	pair    string // "Darlington", "complementary Darlington": how several act as one
}

func (f *finder) findDevices() {
	for i, p := range f.c.Parts {
		d := f.deviceOf(i, p)
		if d == nil || d.o < 0 || d.k < 0 || d.g < 0 {
			continue
		}
		d.g0, d.k0 = d.g, d.k
		f.passStopper(d)
		f.passBallast(d)
		f.passOutput(d)
		f.devices = append(f.devices, d)
	}
}

func (f *finder) deviceOf(i int, p circuit.Part) *device {
	d := &device{part: i, parts: []int{i}, sign: 1, screen: -1}
	lead := func(o, g, k circuit.LeadName) { d.o, d.g, d.k = f.net(i, o), f.net(i, g), f.net(i, k) }
	switch p.Kind {
	case circuit.NPN, circuit.PNP:
		lead("c", "b", "e")
	case circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP:
		d.family = fet
		d.mos = p.Kind == circuit.MOSFETN || p.Kind == circuit.MOSFETP
		lead("d", "g", "s")
	case circuit.Triode:
		d.family = valve
		lead("a", "g", "k")
	case circuit.Pentode:
		d.family = valve
		lead("a", "g1", "k")
		d.screen = f.net(i, "g2")
	default:
		return nil
	}
	if p.Kind == circuit.PNP || p.Kind == circuit.JFETP || p.Kind == circuit.MOSFETP {
		d.sign = -1
	}
	return d
}

// passStopper takes a resistor that alone leads to the control for a part of
// the lead: a grid stopper, a base resistor.
func (f *finder) passStopper(d *device) {
	for range 2 {
		if f.held(d.g) || f.degree(d.g) != 2 || len(f.on[d.g]) != 1 {
			return
		}
		b := f.on[d.g][0]
		if b.sort != resist || b.half || f.held(b.other(d.g)) {
			return
		}
		d.stopper = append(d.stopper, b)
		d.g = b.other(d.g)
		if len(f.pins[d.g]) > 0 {
			return
		}
	}
}

// ballastOhms is the most that a resistor in the reference lead may have to
// count as part of the lead; emitter ballasts of output stages have up to 10 Ω,
// small-signal degeneration up to 100 Ω (common practice).
const ballastOhms = 100

// passBallast takes a small resistor that alone leads away from the reference
// for a part of the lead, unless it ends on a rail: there it is degeneration.
func (f *finder) passBallast(d *device) {
	if f.held(d.k) {
		return
	}
	var down []*branch
	watching := slices.Clone(f.pins[d.k]) // a limiter's base may watch the drop
	for _, b := range f.on[d.k] {
		if o := b.other(d.k); b.sort == resist && f.onlyControl(o) {
			watching = append(watching, f.pins[o]...)
		} else {
			down = append(down, b)
		}
	}
	if len(down) != 1 {
		return
	}
	b := down[0]
	for _, p := range watching {
		if p.part != d.part && (p.lead != "b" || f.net(p.part, "e") != b.other(d.k) || f.net(p.part, "c") == d.o) {
			return
		}
	}
	if far := b.other(d.k); f.degree(far) == 2 && len(f.pins[far]) == 1 && isControl(f.pins[far][0].lead) {
		return // the next one's stopper
	}
	if b.sort == resist && b.value <= ballastOhms && !f.held(b.other(d.k)) {
		d.ballast = append(d.ballast, b)
		d.k = b.other(d.k)
	}
}

// passOutput takes a small resistor that alone leads away from the output for a
// part of the lead: it keeps a stage from oscillating, or limits its current.
func (f *finder) passOutput(d *device) {
	if f.held(d.o) || d.o == d.g0 || f.degree(d.o) != 2 || len(f.on[d.o]) != 1 {
		return
	}
	b := f.on[d.o][0]
	far := b.other(d.o)
	if b.sort != resist || b.half || b.value <= 0 || b.value > ballastOhms || far == d.g || f.onlyControl(far) {
		return
	}
	d.stopper = append(d.stopper, b)
	d.inner = append(d.inner, d.o)
	d.o = far
}

// isControl tells whether a lead steers its part.
func isControl(l circuit.LeadName) bool { return l == "b" || l == "g" || l == "g1" }

// free tells whether no stage has the device yet.
func (f *finder) free(d *device) bool {
	return !slices.ContainsFunc(d.parts, func(p int) bool { return f.taken[p] >= 0 })
}

// freeDevices lists those without a stage.
func (f *finder) freeDevices() []*device {
	var out []*device
	for _, d := range f.devices {
		if f.free(d) {
			out = append(out, d)
		}
	}
	return out
}

// controls tells whether a device other than but has its control on the net.
func (f *finder) controlled(net int, but *device) *device {
	for _, d := range f.devices {
		if d != but && (d.g == net || d.g0 == net) {
			return d
		}
	}
	return nil
}

// composites joins two transistors that act as one: the first's emitter
// drives the second's base and their collectors are one net (S. Darlington, US
// patent 2,663,806, 1953), or the first's collector drives the base of one of
// the other polarity (G. Sziklai, US patent 2,762,870, 1956; from memory).
func (f *finder) composites() {
	for again := true; again; {
		again = false
		for _, d1 := range f.devices {
			for _, d2 := range f.devices {
				if d1 != d2 && f.compose(d1, d2) {
					again = true
					break
				}
			}
			if again {
				break
			}
		}
	}
}

func (f *finder) compose(d1, d2 *device) bool {
	if d1.family == valve || d2.family == valve || d1.family != d2.family && d1.family != fet || f.held(d2.g) || !f.free(d1) || !f.free(d2) {
		return false
	}
	whole := *d2
	switch {
	case d1.sign > 0 == (d2.sign > 0) && d1.k == d2.g && d1.o == d2.o && f.onlyBleeds(d2.g, d1, d2):
		whole.pair = "Darlington"
	case d1.sign > 0 == (d2.sign > 0) && d1.k == d2.g && f.collectorTied(d1, d2) && f.onlyBleeds(d2.g, d1, d2):
		whole.pair = "Darlington"
	case d1.sign > 0 != (d2.sign > 0) && d1.o == d2.g && d1.k == d2.o && f.onlyBleeds(d2.g, d1, d2):
		whole.pair = "complementary Darlington"
		whole.o, whole.k, whole.k0, whole.sign = d2.k, d2.o, d2.o, d1.sign
		whole.ballast = d1.ballast
	default:
		return false
	}
	whole.g, whole.g0, whole.stopper = d1.g, d1.g0, append(slices.Clone(d1.stopper), d2.stopper...)
	whole.inner = append(slices.Concat(d1.inner, d2.inner), d2.g, d2.g0)
	whole.parts = append(slices.Clone(d1.parts), d2.parts...)
	f.nest(Darlington, whole.parts, whole.pair)
	at := slices.Index(f.devices, d2)
	f.devices[at] = &whole
	f.devices = slices.DeleteFunc(f.devices, func(d *device) bool { return d == d1 })
	return true
}

// collectorTied: the first's collector goes to the second's through nothing but
// a small resistor, or both lie on rails of the same sign.
func (f *finder) collectorTied(d1, d2 *device) bool {
	if f.held(d1.o) && f.held(d2.o) && d1.o != f.common {
		return true
	}
	for _, b := range f.on[d1.o] {
		if b.sort == resist && b.other(d1.o) == d2.o && b.value < 1000 && f.degree(d1.o) == 2 {
			return true
		}
	}
	return false
}

// onlyBleeds: between the two there is nothing but a resistor that bleeds the
// second's base to its emitter or to a rail.
func (f *finder) onlyBleeds(net int, d1, d2 *device) bool {
	for _, p := range f.pins[net] {
		if !slices.Contains(d1.parts, p.part) && !slices.Contains(d2.parts, p.part) {
			return false
		}
	}
	for _, b := range f.on[net] {
		switch b.sort {
		case resist:
			o := b.other(net)
			if o != d2.k && o != d2.k0 && !f.held(o) && !slices.Contains(d2.stopper, b) && !slices.Contains(d1.ballast, b) && o != d1.o {
				return false
			}
		case capac:
			if b.value > 1e-8 {
				return false
			}
		default:
			return false
		}
	}
	return true
}
