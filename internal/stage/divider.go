package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// dividers takes two resistors between rails whose tap serves no single stage,
// or nothing that was traced.
func (f *finder) dividers() {
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
		chain, taps := f.ladderFrom(first, net)
		if chain == nil {
			continue
		}
		net = taps[len(taps)-1]
		if len(chain) < 3 || !f.severalUsers(taps, chain) || first.other(taps[0]) == net {
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

// ladderFrom is the shortest way over open resistors and plain taps from the
// first one to another rail, with the nets behind each resistor.
func (f *finder) ladderFrom(first *branch, net int) ([]*branch, []int) {
	type step struct {
		chain []*branch
		taps  []int
	}
	queue, seen := []step{{[]*branch{first}, []int{net}}}, map[int]bool{net: true, first.other(net): true}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		last := at.taps[len(at.taps)-1]
		for _, b := range f.openOnes(f.leads(resist, last)) {
			o := b.other(last)
			if seen[o] || !f.held(o) && !f.plainTap(o) {
				continue
			}
			seen[o] = true
			next := step{append(slices.Clone(at.chain), b), append(slices.Clone(at.taps), o)}
			if f.held(o) {
				return next.chain, next.taps
			}
			queue = append(queue, next)
		}
	}
	return nil, nil
}

// severalUsers tells whether the taps of a chain serve more than one stage, or,
// serving none, lead on at two places at least.
func (f *finder) severalUsers(taps []int, chain []*branch) bool {
	stages := len(f.stagesOn(taps))
	if stages >= 2 || f.tappedOut(taps) >= 2 {
		return true
	}
	led := 0
	for _, n := range f.nets(taps...) {
		if slices.ContainsFunc(f.on[n], func(b *branch) bool { return b.sort == resist && f.held(b.other(n)) && !slices.Contains(chain, b) }) {
			return false // an arm of something else
		}
		if slices.ContainsFunc(f.on[n], func(b *branch) bool { return b.sort&(resist|load|gas) != 0 && !slices.Contains(chain, b) }) {
			led++
		}
	}
	return stages == 0 && led >= 2
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

// chained tells a chain of resistors in series from some in parallel: not all of
// them lie on the same two nets.
func (f *finder) chained(b *branch) bool {
	ends := func(p int) [2]int {
		l := f.c.Parts[p].Leads
		x, y := f.index[l[0].Net], f.index[l[len(l)-1].Net]
		return [2]int{min(x, y), max(x, y)}
	}
	return slices.ContainsFunc(b.parts, func(p int) bool { return ends(p) != ends(b.parts[0]) })
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
