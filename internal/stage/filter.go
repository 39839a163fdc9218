package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// filters finds passive filters: coils with capacitors, and resistors with
// capacitors where no stage has them for its bias.
func (f *finder) filters() {
	f.coilFilters()
	for net := range f.names {
		if f.held(net) || f.serves(net) {
			continue
		}
		f.lowPass(net)
	}
	for net := range f.names {
		if !f.held(net) && !f.serves(net) {
			f.highPass(net)
		}
	}
}

// serves tells whether a net is inside a stage.
func (f *finder) serves(net int) bool {
	return slices.ContainsFunc(f.drafts, func(d *draft) bool { return slices.Contains(d.inside, net) })
}

// coilFilters takes coils with the capacitors at their ends, those apart that
// load a device.
func (f *finder) coilFilters() {
	for _, l := range f.branches {
		if l.sort != induct || !f.open(l) || f.loads(l) {
			continue
		}
		var caps []*branch
		for _, n := range f.nets(l.a, l.b) {
			if f.held(l.other(n)) && f.tee(n, l) {
				caps = append(caps, f.openOnes(f.leads(capac|load, n))...)
			}
			for _, c := range f.leads(capac, n) {
				if o := c.other(n); f.open(c) && (f.held(o) || c.joins(l.a, l.b) || f.degree(n) == 2) && !slices.Contains(caps, c) {
					caps = append(caps, c)
				}
			}
		}
		if len(caps) == 0 {
			continue
		}
		d := f.start(LCFilter, l.parts...)
		f.takeBranch(d, Core, caps...)
		f.moreCoils(d, l)
		f.orient(d, l.a, l.b)
		d.say = func() { f.sayCoilFilter(d, l, caps) }
	}
}

// tee tells whether capacitors alone lead to a coil to common, but for what it
// is loaded with: a high-pass section.
func (f *finder) tee(net int, l *branch) bool {
	if len(f.pins[net]) > 0 {
		return false
	}
	fed := false
	for _, b := range f.on[net] {
		o := b.other(net)
		switch {
		case b == l:
		case b.sort == capac && !f.held(o):
			fed = fed || f.driving(o)
		case b.sort&(load|resist) != 0 && f.held(o):
		default:
			return false
		}
	}
	return fed
}

// loads tells whether a coil hangs between a device's output and a rail.
func (f *finder) loads(l *branch) bool {
	for _, n := range []int{l.a, l.b} {
		if f.held(n) {
			continue
		}
		for _, d := range f.devices {
			if d.o == n && f.quiet(l.other(n)) {
				return true
			}
		}
	}
	return false
}

// moreCoils takes the next sections of a ladder.
func (f *finder) moreCoils(d *draft, l *branch) {
	for _, n := range f.nets(l.a, l.b) {
		for _, x := range f.leads(induct, n) {
			if !f.open(x) || f.loads(x) || len(f.pins[n]) > 0 {
				continue
			}
			f.takeBranch(d, Core, x)
			for _, m := range f.nets(x.a, x.b) {
				for _, c := range f.openOnes(f.leads(capac, m)) {
					if f.held(c.other(m)) {
						f.takeBranch(d, Core, c)
					}
				}
			}
			f.moreCoils(d, x)
		}
	}
}

// orient says which end of a filter is its input: the one that something
// drives.
func (f *finder) orient(d *draft, a, b int) {
	if f.drivenNet(b, nil) && !f.drivenNet(a, nil) {
		a, b = b, a
	}
	d.inputs(f.nets(a)...)
	d.outputs(f.nets(b)...)
}

// lowPass takes a resistor from a driven net with a capacitor to common.
func (f *finder) lowPass(net int) {
	if f.deviceNet(net) || len(f.ties(net, supply, unsteady)) > 0 || f.degree(net) < 3 {
		return // behind a resistor and a capacitor in series nothing is filtered
	}
	c := f.bypassAny(net)
	if c == nil || !f.open(c) {
		return
	}
	for _, r := range f.leads(resist, net) {
		o := r.other(net)
		if !f.open(r) || r.half || f.held(o) || !f.driving(o) || f.deviceNet(o) && !f.outNet(o) || f.leadsBack(o, net) {
			continue
		}
		d := f.start(RCFilter, r.parts...)
		f.takeBranch(d, Core, c)
		d.inputs(o)
		d.outputs(net)
		first := []*branch{r, c}
		for more := true; more; { // the sections behind
			more = false
			for _, x := range f.leads(resist, net) {
				y := x.other(net)
				if !f.open(x) || f.held(y) || f.deviceNet(y) || f.serves(y) {
					continue
				}
				if cc := f.bypassAny(y); cc != nil && f.open(cc) {
					f.takeBranch(d, Core, x, cc)
					d.own(net)
					net, more = y, true
					d.out = []int{y}
					break
				}
			}
		}
		d.say = func() { f.sayFilter(d, first[0], first[1], "low") }
		return
	}
}

// leadsBack tells whether resistors go on from a net to the control of the device
// whose output drives the first: bias with its bypass, not a filter.
func (f *finder) leadsBack(out, net int) bool {
	return slices.ContainsFunc(f.devices, func(d *device) bool { return d.o == out && len(f.between(resist, net, d.g)) > 0 })
}

func (f *finder) bypassAny(net int) *branch {
	for _, b := range f.leads(capac, net) {
		if f.held(b.other(net)) {
			return b
		}
	}
	return nil
}

// deviceNet tells whether a net has a lead of a device or block.
func (f *finder) deviceNet(net int) bool {
	return slices.ContainsFunc(f.pins[net], func(p pin) bool { return f.c.Parts[p.part].Kind != circuit.Connector })
}

// outNet tells whether a stage gives its output on a net.
func (f *finder) outNet(net int) bool {
	return slices.ContainsFunc(f.drafts, func(d *draft) bool { return slices.Contains(d.out, net) })
}

// driving tells whether a signal comes in on a net.
func (f *finder) driving(net int) bool {
	if f.fedDirectly(net) || f.outNet(net) || f.drivenNet(net, nil) {
		return true
	}
	return slices.ContainsFunc(f.leads(diode, net), func(b *branch) bool {
		o := b.other(net)
		return !f.held(o) && (f.outNet(o) || f.drivenNet(o, nil))
	})
}

// highPass takes a capacitor from a driven net with a resistor to common, where
// neither end is a stage's: there it couples.
func (f *finder) highPass(net int) {
	if f.deviceNet(net) || f.outNet(net) || len(f.leads(junction, net)) > 0 {
		return
	}
	for _, c := range f.leads(capac, net) {
		o := c.other(net)
		if !f.open(c) || f.held(o) || f.outNet(o) || f.serves(o) || !f.driving(o) {
			continue
		}
		for _, r := range f.openOnes(f.ties(net, common)) {
			if f.leadsToStage(net, c, r) {
				continue
			}
			d := f.start(RCFilter, c.parts...)
			f.takeBranch(d, Core, r)
			d.inputs(o)
			d.outputs(net)
			d.say = func() { f.sayFilter(d, r, c, "high") }
			return
		}
	}
}

// leadsToStage tells whether something else on the net goes to a stage's inside.
func (f *finder) leadsToStage(net int, but ...*branch) bool {
	return slices.ContainsFunc(f.on[net], func(b *branch) bool {
		return !slices.Contains(but, b) && (f.serves(b.other(net)) || f.deviceNet(b.other(net)))
	})
}
