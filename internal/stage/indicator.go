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

// tapped tells whether a net is the tap of a divider.
func (f *finder) tapped(net int) bool {
	return slices.ContainsFunc(f.drafts, func(d *draft) bool { return d.kind == Divider && slices.Contains(d.out, net) })
}

// steadyEnds tells whether a chain stands between rails, or across something
// that alternates: what a device switches is that device's load.
func (f *finder) steadyEnds(ends [2]int, b *branch) bool {
	good := 0
	for _, n := range ends {
		if f.held(n) || f.alternating(n) || f.rectified(n) || f.fedDirectly(n) || f.tapped(n) {
			good++
		}
	}
	return good == 2 && ends[0] != ends[1]
}
