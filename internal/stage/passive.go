package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// meters takes meter movements with the resistors, controls and diodes that
// only serve them.
func (f *finder) meters() {
	for _, m := range f.branches {
		if m.sort != meter || !f.open(m) {
			continue
		}
		d := f.start(MeterCircuit, m.parts...)
		f.spread(d, []int{m.a, m.b}, resist|diode|zener|capac|contact, 4)
		d.inputs(f.nets(m.a, m.b)...)
		d.say = func() { f.sayMeter(d, m) }
	}
}

// spread takes the open branches of the sorts from nets outward, over nets that
// are no rails, have no leads of devices and belong to no stage.
func (f *finder) spread(d *draft, from []int, s sort, depth int) {
	seen := map[int]int{}
	queue := f.nets(from...)
	for _, n := range queue {
		seen[n] = 0
	}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		if f.usedByOther(n, d) {
			d.inputs(n)
			continue
		}
		d.own(n)
		for _, b := range f.openOnes(f.leads(s, n)) {
			f.takeBranch(d, Helper, b)
			o := b.other(n)
			if _, ok := seen[o]; !ok && !f.held(o) && seen[n] < depth {
				seen[o] = seen[n] + 1
				queue = append(queue, o)
			}
		}
	}
}

// usedByOther tells whether a net has a lead of a device, or belongs to
// another stage.
func (f *finder) usedByOther(net int, d *draft) bool {
	for _, p := range f.pins[net] {
		if k := f.c.Parts[p.part].Kind; k != circuit.Connector && k != circuit.Changeover {
			return true
		}
	}
	return f.alternating(net) || slices.ContainsFunc(f.drafts, func(o *draft) bool {
		return o != d && (slices.Contains(o.inside, net) || slices.Contains(o.out, net))
	})
}

// indicators takes gas tubes and LEDs that stand with a resistor between rails
// or across what alternates.
func (f *finder) indicators() {
	for _, b := range f.branches {
		if b.sort&(gas|led) == 0 || !f.open(b) {
			continue
		}
		kind := GasIndicator
		if b.sort == led {
			kind = LEDIndicator
		}
		series, ends := f.seriesOf(b)
		if len(series) == 0 || !f.steadyEnds(ends, b) {
			continue
		}
		d := f.start(kind, b.parts...)
		f.takeBranch(d, Helper, series...)
		d.inputs(f.nets(ends[0], ends[1])...)
		for _, n := range f.nets(b.a, b.b) {
			d.own(n)
			f.takeBranch(d, Helper, f.openOnes(f.leads(resist|diode, n))...)
		}
		d.say = func() { f.sayIndicator(d, b, series, ends) }
	}
}

// seriesOf lists the resistors, diodes and switches in series with a branch,
// and the two nets that the chain ends on.
func (f *finder) seriesOf(b *branch) ([]*branch, [2]int) {
	var chain []*branch
	ends := [2]int{b.a, b.b}
	for i := range ends {
		for range 3 {
			if f.held(ends[i]) || len(f.pins[ends[i]]) > 0 || f.alternating(ends[i]) {
				break
			}
			var next *branch
			for _, x := range f.leads(resist|junction|gas|contact, ends[i]) {
				if x != b && !slices.Contains(chain, x) && f.open(x) && (next == nil || x.sort == resist) {
					next = x
				}
			}
			if next == nil {
				break
			}
			chain = append(chain, next)
			ends[i] = next.other(ends[i])
		}
	}
	if !slices.ContainsFunc(chain, func(x *branch) bool { return x.sort == resist }) {
		return nil, ends
	}
	return chain, ends
}

// steadyEnds tells whether a chain stands between rails, or across something
// that alternates: what a device switches is that device's load.
func (f *finder) steadyEnds(ends [2]int, b *branch) bool {
	good := 0
	for _, n := range ends {
		if f.held(n) || f.alternating(n) || f.rectified(n) || f.fedDirectly(n) {
			good++
		}
	}
	return good == 2 && ends[0] != ends[1]
}

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

// dividers takes two resistors between rails whose tap serves no single stage,
// or nothing that was traced.
func (f *finder) dividers() {
	f.sharedChains()
	for net := range f.names {
		if f.held(net) || f.outNet(net) || f.servesOne(net) {
			continue
		}
		var up, down *branch
		for _, b := range f.openOnes(f.leads(resist, net)) {
			switch o := b.other(net); {
			case !f.held(o):
			case o == f.common || f.known[o] && f.volts[o] < 0:
				down = b
			default:
				up = b
			}
		}
		if up == nil || down == nil || up.parts[0] == down.parts[0] && f.degree(net) == 3 || f.bridgeArm(net, up, down) {
			continue
		}
		d := f.start(Divider, append(slices.Clone(up.parts), down.parts...)...)
		for _, c := range f.openOnes(f.leads(capac, net)) {
			if f.held(c.other(net)) {
				f.takeBranch(d, Bypass, c)
			}
		}
		d.inputs(up.other(net))
		d.outputs(net)
		d.say = func() { f.sayDivider(d, up, down, net) }
	}
	for _, b := range f.branches { // several in series, the taps not used by parts
		if b.sort == resist && len(b.parts) > 1 && f.open(b) && f.held(b.a) && f.held(b.b) && f.chained(b) {
			d := f.start(Divider, b.parts...)
			d.say = func() { f.sayChain(d, b) }
		}
	}
}

// bridgeArm tells whether a resistor joins the tap to that of another divider.
func (f *finder) bridgeArm(net int, up, down *branch) bool {
	for _, b := range f.leads(resist, net) {
		o := b.other(net)
		if b == up || b == down || f.held(o) {
			continue
		}
		n := 0
		for _, x := range f.leads(resist, o) {
			if f.held(x.other(o)) {
				n++
			}
		}
		if n >= 2 && len(f.pins[o]) == 0 && len(f.pins[net]) == 0 {
			return true
		}
	}
	return false
}

// sharedChains takes resistors in a row from rail to rail whose taps serve more
// than one stage.
func (f *finder) sharedChains() {
	for _, first := range f.branches {
		if first.sort != resist || !f.open(first) || f.held(first.a) == f.held(first.b) {
			continue
		}
		net := first.b
		if f.held(net) {
			net = first.a
		}
		chain, taps := []*branch{first}, []int{net}
		for !f.held(net) && len(chain) < 20 {
			var next *branch
			for _, b := range f.openOnes(f.leads(resist, net)) {
				if b != chain[len(chain)-1] && !slices.Contains(chain, b) && (f.held(b.other(net)) || f.plainTap(b.other(net))) {
					next = b
				}
			}
			if next == nil {
				break
			}
			chain = append(chain, next)
			net = next.other(net)
			taps = append(taps, net)
		}
		if !f.held(net) || len(chain) < 3 || len(f.stagesOn(taps)) < 2 && f.tappedOut(taps) < 2 || first.other(taps[0]) == net {
			continue
		}
		d := f.start(Divider, first.parts...)
		f.takeBranch(d, Core, chain...)
		d.inputs(first.other(taps[0]))
		d.outputs(f.nets(taps...)...)
		d.say = func() { f.sayTaps(d, chain, taps) }
	}
}

// tappedOut counts the taps that lead to a connector.
func (f *finder) tappedOut(taps []int) int {
	n := 0
	for _, net := range f.nets(taps...) {
		if slices.ContainsFunc(f.pins[net], func(p pin) bool { return f.isKind(p.part, circuit.Connector) }) {
			n++
		}
	}
	return n
}

// plainTap tells whether a net is only a tap: no device's output or reference.
func (f *finder) plainTap(net int) bool {
	return !slices.ContainsFunc(f.devices, func(d *device) bool { return d.o == net || d.k == net || d.k0 == net })
}

// stagesOn lists the stages that own one of the nets.
func (f *finder) stagesOn(nets []int) []*draft {
	var out []*draft
	for _, d := range f.drafts {
		if !d.nested && slices.ContainsFunc(nets, func(n int) bool { return !f.held(n) && slices.Contains(d.inside, n) }) {
			out = append(out, d)
		}
	}
	return out
}

// chained tells a chain of resistors in series from some in parallel: no two of
// the chain lie on the same two nets.
func (f *finder) chained(b *branch) bool {
	p := f.c.Parts[b.parts[0]]
	q := f.c.Parts[b.parts[1]]
	return !(f.index[p.Leads[0].Net] == f.index[q.Leads[0].Net] && f.index[p.Leads[1].Net] == f.index[q.Leads[1].Net] ||
		f.index[p.Leads[0].Net] == f.index[q.Leads[1].Net] && f.index[p.Leads[1].Net] == f.index[q.Leads[0].Net])
}

// tapNets are a tap and the nets that resistors without a stage lead to from it.
func (f *finder) tapNets(net int) []int {
	nets := []int{net}
	for _, b := range f.openOnes(f.leads(resist, net)) {
		if o := b.other(net); !f.held(o) && !f.outNet(o) {
			nets = append(nets, o)
		}
	}
	return nets
}

// servesOne tells whether a net belongs to exactly one stage.
func (f *finder) servesOne(net int) bool {
	nets := f.tapNets(net)
	n, bias := 0, false
	for _, d := range f.drafts {
		if !d.nested && slices.ContainsFunc(nets, func(x int) bool { return slices.Contains(d.inside, x) }) {
			n++
			// What feeds an operational amplifier's input resistor is its source.
			bias = bias || slices.Contains(d.inside, net) || len(d.devices) > 0
		}
	}
	return n == 1 && bias
}
