package stage

import (
	"fmt"

	"foilside/internal/quantity"
)

// powerSources makes a stage of every battery and supply with the switch and
// the fuse behind it.
func (f *finder) powerSources() {
	for _, b := range f.branches {
		if b.sort != source || !f.steady(b) || !f.open(b) {
			continue
		}
		d := f.start(PowerSource, b.parts...)
		for _, net := range []int{b.a, b.b} {
			if net == f.common && f.degree(net) > 3 {
				continue
			}
			f.takeFeed(d, net)
		}
		f.takeTwins(d, b)
		d.say = func() { f.saySource(d, b) }
	}
}

// takeFeed follows the supply through its switch and takes the fuses on it.
func (f *finder) takeFeed(d *draft, net int) {
	d.outputs(net)
	f.take(d, Helper, f.merged[net]...)
	for _, b := range f.on[net] {
		o := b.other(net)
		if b.sort&(contact|diode|induct) != 0 && f.open(b) && f.rail[o] == supply && o != f.common {
			f.takeBranch(d, Helper, b)
			f.takeFeed(d, o)
		}
	}
}

// takeTwins takes sources in parallel and in series with the first: cells.
func (f *finder) takeTwins(d *draft, b *branch) {
	for _, x := range f.branches {
		if x == b || x.sort != source || !f.steady(x) || !f.open(x) {
			continue
		}
		inSeries := x.a == b.b && x.a != f.common && f.degree(x.a) == 2 || x.b == b.a && x.b != f.common && f.degree(x.b) == 2
		if x.joins(b.a, b.b) || inSeries {
			f.takeBranch(d, Core, x)
			if inSeries {
				f.takeFeed(d, x.a)
			}
		}
	}
}

func (f *finder) saySource(d *draft, b *branch) {
	volts, ok := f.c.Parts[b.parts[0]].Amount("voltage")
	how := "The whole unit draws its current from here"
	if ok {
		how = fmt.Sprintf("%s gives %s", f.refs(b.parts...), d.figure("voltage", volts, quantity.Volt, "as marked on "+f.refs(b.parts...)))
	}
	var via []int
	for _, p := range d.members {
		if d.role[p] == Helper {
			via = append(via, p)
		}
	}
	if len(via) > 0 {
		d.text = fmt.Sprintf("%s. It reaches the rest through %s.", how, f.refs(via...))
		return
	}
	d.text = fmt.Sprintf("%s. It is wired straight to what it feeds.", how)
}
