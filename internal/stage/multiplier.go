package stage

import "slices"

// multipliers finds chains of diodes pumped by capacitors: each net behind a
// diode is held by a capacitor to the net two before it, to the alternating
// input or to the return. Two diodes double, n diodes multiply by n
// (H. Greinacher, Z. Phys. 4 (1921) 195; from memory). The doubler of two
// half-waves on two capacitors in series (J. Delon) is found as well.
func (f *finder) multipliers() {
	all := f.rectifying()
	used := map[*branch]bool{}
	for _, first := range all {
		if used[first] || f.before(all, first) != nil {
			continue
		}
		chain := []*branch{first}
		for next := f.after(all, first); next != nil && !slices.Contains(chain, next); next = f.after(all, next) {
			chain = append(chain, next)
		}
		if len(chain) < 2 {
			continue
		}
		for _, b := range chain {
			used[b] = true
		}
		f.multiplier(chain)
	}
}

// after is the only diode that leads on from x over a net held by capacitors.
func (f *finder) after(all []*branch, x *branch) *branch {
	if !f.pumped(x.b) {
		return nil
	}
	var next *branch
	for _, y := range all {
		if y.a == x.b {
			if next != nil {
				return nil
			}
			next = y
		}
		if y != x && y.b == x.b {
			return nil
		}
	}
	return next
}

func (f *finder) before(all []*branch, x *branch) *branch {
	for _, y := range all {
		if y.b == x.a && f.after(all, y) == x {
			return y
		}
	}
	return nil
}

// pumped tells whether a net can be a joint of the chain: capacitors hold it,
// no device and no steady rail. A winding only where two capacitors in series
// stand over the chain.
func (f *finder) pumped(net int) bool {
	return !f.held(net) && len(f.pins[net]) == 0 && (len(f.leads(capac, net)) > 0 || f.alternating(net))
}

func (f *finder) multiplier(chain []*branch) {
	nets := []int{chain[0].a}
	for _, b := range chain {
		nets = append(nets, b.b)
	}
	if len(chain) == 2 && f.fedDirectly(nets[1]) {
		f.delon(chain, nets)
		return
	}
	if f.alternating(nets[1]) {
		return
	}
	caps, input := f.pumps(nets)
	if input < 0 || len(caps) < len(chain) {
		return
	}
	kind := Multiplier
	if len(chain) == 2 {
		kind = Doubler
	}
	f.finishMultiplier(kind, chain, caps, nets, input)
}

// pumps lists the capacitors of a chain, and the alternating net behind them.
func (f *finder) pumps(nets []int) ([]*branch, int) {
	input := -1
	var caps []*branch
	for i := 1; i < len(nets); i++ {
		found := false
		for _, c := range f.leads(capac, nets[i]) {
			o := c.other(nets[i])
			switch {
			case i >= 2 && o == nets[i-2], slices.Contains(nets, o), f.held(o):
			case f.fed(o) || f.alternating(o) || f.drivenNet(o, nil) && len(f.leads(meter, nets[len(nets)-1])) == 0:
				input = o
			default:
				continue
			}
			found = true
			if !slices.Contains(caps, c) {
				caps = append(caps, c)
			}
		}
		if !found {
			return nil, -1
		}
	}
	if input < 0 && f.fed(nets[0]) {
		input = nets[0]
	}
	return caps, input
}

func (f *finder) finishMultiplier(kind Kind, chain, caps []*branch, nets []int, input int) {
	var core []int
	for _, b := range chain {
		core = append(core, b.parts...)
	}
	d := f.start(kind, core...)
	f.takeBranch(d, Core, caps...)
	f.takeMains(d, input)
	f.takeBranch(d, Helper, f.feedPath(input)...)
	out, back := nets[len(nets)-1], nets[0]
	if f.held(out) { // a chain towards minus
		out, back = back, out
	}
	d.inputs(f.nets(input)...)
	d.outputs(out)
	d.own(f.nets(nets[1 : len(nets)-1]...)...)
	for _, n := range nets {
		for _, b := range f.leads(resist, n) {
			if f.open(b) && (f.held(b.other(n)) || slices.Contains(nets, b.other(n))) && (n != out || b.other(n) == back) {
				f.takeBranch(d, Helper, b)
			}
		}
	}
	rms, known := f.rms(input)
	f.makeRail(out, back, float64(len(chain))*(1.41421*rms-0.7), known)
	d.say = func() { f.sayMultiplier(d, len(chain), input) }
}

// delon takes two diodes on one alternating net whose two reservoirs in series
// return to the other. Where the point between the reservoirs is common and
// both ends feed something they are two half-wave supplies instead.
func (f *finder) delon(chain []*branch, nets []int) {
	minus, input, plus := nets[0], nets[1], nets[2]
	if len(f.leads(diode, plus)) > 1 || len(f.leads(diode, minus)) > 1 {
		return // arms of a bridge
	}
	for _, upper := range f.leads(capac, plus) {
		mid := upper.other(plus)
		lower := f.between(capac, mid, minus)
		if len(lower) == 0 || mid == input || mid == minus || mid == f.common && minus != f.common && plus != f.common && !f.spanned(plus, minus) {
			continue
		}
		if !f.alternating(mid) && !f.fed(mid) && mid != f.common {
			continue
		}
		f.finishMultiplier(Doubler, chain, []*branch{upper, lower[0]}, []int{minus, mid, plus}, input)
		return
	}
}

// spanned tells whether something hangs between two nets.
func (f *finder) spanned(x, y int) bool { return len(f.between(resist|load|meter, x, y)) > 0 }
