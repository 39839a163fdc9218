package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// regulating is a series regulator as it is pieced together.
type regulating struct {
	pass      *device
	in, out   int
	reference []*branch // zener and what is in series with it
	refNet    int
	feed      []*branch // feeds the zener
	errorAmp  []*device
	opamp     int // part, -1
	upper     []*branch
	lower     []*branch
	sense     int
	tracks    bool // it follows another supply's output instead of a zener
}

// seriesRegulators finds a pass transistor from a raw rail whose control is
// held by a zener, or by an amplifier that compares the output with one.
func (f *finder) seriesRegulators() {
	for _, x := range f.freeDevices() {
		r := regulating{pass: x, in: x.o, out: x.k, opamp: -1, sense: -1, refNet: -1}
		follower := f.rawRail(x.o) && !f.held(x.k)
		if !follower && f.rawRail(x.k) && !f.held(x.o) {
			r.in, r.out = x.k, x.o
		} else if !follower {
			continue
		}
		if follower && f.zenerPass(&r) || f.errorPass(&r) || f.opampPass(&r) {
			f.regulator(r)
		}
	}
}

func (f *finder) rawRail(net int) bool { return f.held(net) && net != f.common }

// zenerPass: the base stands on a zener that a resistor feeds from the raw side.
func (f *finder) zenerPass(r *regulating) bool {
	x := r.pass
	net := x.g
	if f.held(net) {
		return false
	}
	chain, foot := f.zenerChain(net)
	if chain == nil { // a zener behind a base resistor
		for _, b := range f.leads(resist, x.g) {
			if c, ft := f.zenerChain(b.other(x.g)); c != nil && len(f.pins[x.g]) <= 1 {
				chain, foot, net = c, ft, b.other(x.g)
			}
		}
	}
	if chain == nil {
		return false
	}
	r.feed = f.zenerFeed(net, foot)
	if len(r.feed) == 0 && len(f.feeders(net, x)) == 0 {
		return false
	}
	r.reference, r.refNet = chain, net
	return true
}

// feeders lists the devices whose output feeds a net: a current source.
func (f *finder) feeders(net int, but *device) []*device {
	var out []*device
	for _, d := range f.devices {
		if d != but && d.o == net && f.free(d) {
			out = append(out, d)
		}
	}
	return out
}

// errorPass: one transistor, or a pair, compares part of the output with a
// zener and drives the pass transistor's control.
func (f *finder) errorPass(r *regulating) bool {
	x := r.pass
	for _, q := range f.devices {
		if q == x || !f.free(q) || !f.drives(q.o, x) {
			continue
		}
		if f.samples(r, q.g) && f.referenced(r, q.k) || f.samples(r, q.k) && f.referenced(r, q.g) {
			r.errorAmp = append(r.errorAmp, q)
			return true
		}
		for _, q2 := range f.devices { // a differential pair as comparator
			if q2 == q || q2 == x || !f.free(q2) || q2.k != q.k || f.held(q.k) || q2.sign*q.sign < 0 {
				continue
			}
			if f.samples(r, q.g) && f.referenced(r, q2.g) || f.samples(r, q2.g) && f.referenced(r, q.g) {
				r.errorAmp = append(r.errorAmp, q, q2)
				return true
			}
		}
	}
	return false
}

// drives tells whether an output leads to the pass transistor's control,
// directly or through a resistor.
func (f *finder) drives(out int, x *device) bool {
	if out == x.g || out == x.g0 {
		return true
	}
	w := f.couple(out, x.g)
	return w.ok && !w.ac
}

// samples tells whether a net is the tap of a divider across the output, or
// the output itself.
func (f *finder) samples(r *regulating, net int) bool {
	if net < 0 || f.held(net) {
		return false
	}
	up := f.path(net, r.out, resist|zener, 3)
	if up == nil && net != r.out {
		return false
	}
	r.sense = net
	r.upper = up
	r.lower, r.reference = nil, nil
	for n := range f.names {
		if f.held(n) && n != r.in {
			if low := f.path(net, n, resist, 3); low != nil && (r.lower == nil || n == f.common) {
				r.lower = low
			}
		}
	}
	if z := f.between(zener, net, r.out); len(z) > 0 { // the zener itself brings the output down
		r.reference = z
	}
	return net == r.out || r.lower != nil || r.reference != nil
}

// referenced tells whether a net is held by a zener or is a rail.
func (f *finder) referenced(r *regulating, net int) bool {
	if f.held(net) { // the zener then stands between the output and its tap
		return r.reference != nil
	}
	if chain, _ := f.zenerChain(net); chain != nil {
		r.reference, r.refNet = chain, net
		for _, b := range f.leads(resist, net) {
			if f.open(b) && (f.held(b.other(net)) || b.other(net) == r.out) {
				r.feed = append(r.feed, b)
			}
		}
		return true
	}
	for _, b := range f.leads(resist, net) {
		if o := b.other(net); f.open(b) && !f.held(o) {
			if chain, _ := f.zenerChain(o); chain != nil {
				r.reference, r.refNet = chain, o
				r.feed = append(r.feed, b)
				return true
			}
		}
	}
	return false
}

// opampPass: an operational amplifier does the comparing.
func (f *finder) opampPass(r *regulating) bool {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.OpAmp || f.taken[i] >= 0 {
			continue
		}
		out, plus, minus := f.net(i, "out"), f.net(i, "+in"), f.net(i, "-in")
		reaches := f.drives(out, r.pass)
		for _, q := range f.devices { // a driver between
			if q != r.pass && f.free(q) && q.g == out && f.drives(q.o, r.pass) {
				reaches = true
				r.errorAmp = []*device{q}
			}
		}
		if !reaches {
			continue
		}
		if plus == f.common && f.samples(r, minus) && f.follows(r) {
			r.opamp, r.tracks = i, true
			return true
		}
		if f.samples(r, minus) && (f.referenced(r, plus) || f.rail[plus] == unsteady || f.dividedReference(plus)) ||
			f.samples(r, plus) && (f.referenced(r, minus) || f.rail[minus] == unsteady) {
			r.opamp = i
			return true
		}
		r.errorAmp = nil
	}
	return false
}

// follows tells whether the divider's other end is the output of a supply, so
// that this output is held in proportion to it.
func (f *finder) follows(r *regulating) bool {
	for n := range f.names {
		if f.rail[n] == unsteady && n != r.in {
			if low := f.path(r.sense, n, resist, 3); low != nil {
				r.lower = low
				return true
			}
		}
	}
	return false
}

// dividedReference: a control across a zener gives the reference.
func (f *finder) dividedReference(net int) bool {
	for _, b := range f.leads(resist, net) {
		o := b.other(net)
		if chain, _ := f.zenerChain(o); chain != nil || f.rail[o] == unsteady {
			return true
		}
	}
	return false
}

func (f *finder) regulator(r regulating) {
	d := f.startDevice(SeriesRegulator, append([]*device{r.pass}, r.errorAmp...)...)
	if r.opamp >= 0 {
		f.take(d, Core, r.opamp)
	}
	f.takeBranch(d, Bias, r.reference...)
	f.takeBranch(d, Bias, r.feed...)
	f.takeBranch(d, Feedback, r.upper...)
	f.takeBranch(d, Feedback, r.lower...)
	inner := f.nets(r.pass.g, r.pass.g0, r.pass.k0, r.refNet, r.sense)
	if r.opamp >= 0 {
		inner = append(inner, f.nets(f.net(r.opamp, "out"), f.net(r.opamp, "+in"), f.net(r.opamp, "-in"))...)
	}
	for _, q := range r.errorAmp {
		inner = append(inner, f.nets(q.o, q.k, q.g)...)
	}
	d.own(inner...)
	for _, n := range inner {
		if n == r.out {
			continue
		}
		for _, b := range f.openOnes(f.leads(resist|capac|zener|diode, n)) {
			f.takeBranch(d, Helper, b)
			// What stands behind the feed steadies it: a zener to the output.
			if o := b.other(n); b.sort == resist && !f.held(o) && o != r.out && len(f.pins[o]) == 0 && f.path(o, r.out, zener, 1) != nil {
				d.own(o)
				f.takeBranch(d, Helper, f.openOnes(f.leads(resist|capac|zener|diode, o))...)
			}
		}
	}
	f.takeLimiter(d, r)
	for _, b := range f.openOnes(f.leads(capac|diode, r.out)) {
		if f.held(b.other(r.out)) {
			f.takeBranch(d, Bypass, b)
		}
	}
	d.inputs(r.in)
	d.outputs(r.out)
	volts, known := f.seriesVolts(r)
	f.flood(r.out, unsteady, volts, known)
	for _, b := range f.openOnes(f.leads(resist, r.out)) {
		if b.other(r.out) == f.common && !b.half {
			f.takeBranch(d, Helper, b) // what loads the output
		}
	}
	d.say = func() { f.saySeries(d, r) }
}

// takeLimiter takes the transistor that steals the drive when the drop over
// the ballast resistor turns it on.
func (f *finder) takeLimiter(d *draft, r regulating) {
	for _, q := range f.freeDevices() {
		if q.o == r.pass.g || q.o == r.pass.g0 {
			if slices.Contains([]int{r.out, r.pass.k0, r.in}, q.k) || slices.Contains([]int{r.pass.k0}, q.g) {
				f.take(d, Helper, q.parts...)
				f.takeBranch(d, Helper, q.stopper...)
				d.devices = append(d.devices, q)
			}
		}
	}
}

// seriesVolts is the output voltage: the zener's less a junction for a plain
// emitter follower; (Vz + Vbe)·(1 + R1/R2) with one error transistor whose
// emitter stands on the zener; Vz·(1 + R1/R2) with an operational amplifier
// (Boylestad & Nashelsky, Electronic Devices and Circuit Theory, ex. 15.8 to
// 15.10).
func (f *finder) seriesVolts(r regulating) (float64, bool) {
	if r.tracks {
		return f.trackedVolts(r)
	}
	v, ok := f.zenerVolts(r.reference)
	if !ok || len(r.reference) == 0 {
		return 0, false
	}
	ratio := 1.0
	if up, low := ohms(r.upper), ohms(r.lower); up > 0 && low > 0 {
		ratio = 1 + up/low
	}
	base := r.pass.sign * f.baseVolts(r.pass)
	switch {
	case r.opamp >= 0:
		return v * ratio, true
	case len(r.errorAmp) == 1:
		return (v + f.baseVolts(r.errorAmp[0])) * ratio, true
	case len(r.errorAmp) == 2:
		return v * ratio, true
	}
	sign := 1.0
	if r.pass.sign < 0 {
		sign = -1
	}
	return sign*v - base, true
}

// trackedVolts is −V·R1/R2 of the supply that is followed.
func (f *finder) trackedVolts(r regulating) (float64, bool) {
	end := r.sense
	for _, b := range r.lower {
		end = b.other(end)
	}
	up, low := ohms(r.upper), ohms(r.lower)
	return -f.volts[end] * up / low, f.known[end] && up > 0 && low > 0
}

// ohms is the resistance of a chain, 0 where a value is missing.
func ohms(chain []*branch) float64 {
	sum := 0.0
	for _, b := range chain {
		if b.sort != resist {
			continue
		}
		if b.value <= 0 {
			return 0
		}
		sum += b.value
	}
	return sum
}

// baseVolts is what a device's control needs to conduct: 0.7 V a silicon
// junction, 0.3 V germanium (common practice), a MOSFET's threshold.
func (f *finder) baseVolts(d *device) float64 {
	sum := 0.0
	for _, p := range d.parts {
		part := f.c.Parts[p]
		switch {
		case d.mos:
			v, ok := f.amount(p, "threshold")
			if !ok {
				v = 2
			}
			sum += max(v, -v)
		case part.Words["material"] == "germanium" || f.germanium(part):
			sum += 0.3
		default:
			sum += 0.7
		}
		if d.pair == "complementary Darlington" {
			break
		}
	}
	return sum
}

func (f *finder) germanium(p circuit.Part) bool {
	if f.shelf == nil || p.Type == "" || p.Words["material"] != "" {
		return false
	}
	w, _, ok := f.shelf.Word(p.Kind, p.Type, "material")
	return ok && w == "germanium"
}
