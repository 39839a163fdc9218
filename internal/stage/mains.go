package stage

import (
	"math"
	"slices"

	"foilside/internal/circuit"
)

// alternating tells whether a net is driven by a winding or a signal source.
func (f *finder) alternating(net int) bool {
	return net >= 0 && len(f.leads(winding, net)) > 0 || f.fromSignal(net)
}

func (f *finder) fromSignal(net int) bool {
	for _, b := range f.leads(source, net) {
		if !f.steady(b) {
			return true
		}
	}
	return false
}

// fed tells whether alternating current reaches a net: directly, through a
// switch, a surge resistor, a choke or a dropper capacitor, or from outside.
func (f *finder) fed(net int) bool { return len(f.feedPath(net)) > 0 || f.fedDirectly(net) }

func (f *finder) fedDirectly(net int) bool {
	if net < 0 || net == f.common || f.rail[net] == supply {
		return false
	}
	if f.alternating(net) {
		return true
	}
	for _, p := range f.pins[net] {
		if f.c.Parts[p.part].Kind == circuit.Connector {
			return true
		}
	}
	return false
}

// surgeOhms is the most that a resistor in the way of a rectifier may have.
const surgeOhms = 22e3

// feedPath is the way from a net to where the alternating current comes in.
func (f *finder) feedPath(net int) []*branch {
	if net < 0 || f.held(net) || f.fedDirectly(net) {
		return nil
	}
	type step struct {
		net  int
		path []*branch
	}
	queue, seen := []step{{net: net}}, map[int]bool{net: true}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, b := range f.on[at.net] {
			o := b.other(at.net)
			pass := b.sort&(contact|induct|capac|load) != 0 || b.sort == resist && b.value <= surgeOhms
			if !pass || seen[o] || f.held(o) {
				continue
			}
			seen[o] = true
			path := append(slices.Clone(at.path), b)
			if f.fedDirectly(o) {
				return path
			}
			if len(path) < 3 && f.degree(o) <= 3 && len(f.pins[o]) == 0 {
				queue = append(queue, step{o, path})
			}
		}
	}
	return nil
}

// takeMains takes the transformer before a rectifier where it is fed from
// outside, with the switch before it.
func (f *finder) takeMains(d *draft, net int) {
	for _, b := range f.leads(winding, net) {
		t := b.parts[0]
		if f.taken[t] >= 0 || !f.fedFromOutside(t) {
			continue
		}
		f.take(d, Core, t)
		for _, w := range f.windings(t) {
			for _, end := range []int{w.a, w.b} {
				f.take(d, Helper, f.merged[end]...)
				for _, s := range f.leads(contact, end) {
					if f.open(s) && f.fedDirectly(s.other(end)) {
						f.takeBranch(d, Helper, s)
						f.take(d, Helper, f.merged[s.other(end)]...)
					}
				}
			}
		}
	}
	f.take(d, Helper, f.merged[net]...)
}

// windings lists the branches of a transformer.
func (f *finder) windings(t int) []*branch {
	var out []*branch
	for _, b := range f.branches {
		if b.sort == winding && b.parts[0] == t {
			out = append(out, b)
		}
	}
	return out
}

// fedFromOutside tells whether a winding of the transformer is on a signal
// source or a connector, and none on a device.
func (f *finder) fedFromOutside(t int) bool {
	outside := false
	for _, w := range f.windings(t) {
		for _, end := range []int{w.a, w.b} {
			for _, p := range f.pins[end] {
				if k := f.c.Parts[p.part].Kind; k != circuit.Connector && k != circuit.Relay && k != circuit.Changeover {
					if !f.held(end) {
						return false
					}
				}
			}
			for _, b := range f.leads(contact, end) {
				if f.fromSignal(b.other(end)) || f.fedDirectly(b.other(end)) {
					outside = true
				}
			}
			if f.fromSignal(end) {
				outside = true
			}
			for _, p := range f.pins[end] {
				outside = outside || f.c.Parts[p.part].Kind == circuit.Connector
			}
		}
	}
	return outside
}

// peak is the greatest voltage that a rectifier can charge its reservoir to.
func (f *finder) peak(in []int, k Kind) (float64, bool) {
	back, drops := -1, 1.0
	if k == BridgeRectifier && len(in) == 2 {
		back, drops = in[1], 2
	}
	rms, ok := f.rmsBetween(in[0], back)
	if !ok {
		return 0, false
	}
	return math.Sqrt2*rms - 0.7*drops, true
}

// rmsBetween is the alternating voltage between two nets: that of both halves
// where they are the ends of a tapped winding.
func (f *finder) rmsBetween(from, back int) (float64, bool) {
	v, ok := f.rms(from)
	if back >= 0 && f.centre(from, back) >= 0 {
		w, known := f.rms(back)
		return v + w, ok && known
	}
	return v, ok
}

// rms is the alternating voltage on a net, where a source or a
// transformer's turns say it.
func (f *finder) rms(from int) (float64, bool) {
	if path := f.feedPath(from); len(path) > 0 {
		for _, b := range path {
			for _, n := range []int{b.a, b.b} {
				if f.fedDirectly(n) {
					from = n
				}
			}
		}
	}
	for _, b := range f.leads(source, from) {
		if v, ok := f.c.Parts[b.parts[0]].Amount("voltage"); ok && !f.steady(b) {
			return v, true
		}
	}
	for _, b := range f.leads(winding, from) {
		t := f.c.Parts[b.parts[0]]
		for _, w := range f.windings(b.parts[0]) {
			if w == b {
				continue
			}
			v, ok := f.primaryVolts(w)
			if turns := t.Windings[w.at].Turns; ok && turns > 0 && t.Windings[b.at].Turns > 0 {
				return v * t.Windings[b.at].Turns / turns, true
			}
		}
	}
	return 0, false
}

// primaryVolts is the voltage of the signal source on a winding.
func (f *finder) primaryVolts(w *branch) (float64, bool) {
	for _, end := range []int{w.a, w.b} {
		nets := []int{end}
		for _, s := range f.leads(contact, end) {
			nets = append(nets, s.other(end))
		}
		for _, n := range nets {
			for _, b := range f.leads(source, n) {
				if v, ok := f.c.Parts[b.parts[0]].Amount("voltage"); ok && !f.steady(b) {
					return v, true
				}
			}
		}
	}
	return 0, false
}
