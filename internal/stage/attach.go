package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// attach hands what is left to the stages that it serves. A part between a
// stage's own nets, or from one to a rail, is that stage's. A part between two
// stages belongs to the one that it drives, as the coupling capacitor does. A
// net that such a part leads to becomes the stage's too, so that stopper,
// coupling and leak follow one after the other.
func (f *finder) attach() {
	f.returnBeads()
	f.absorb()
	f.decouple()
	f.loadTransformers()
	f.close()
	in, out := map[int]*draft{}, f.givers()
	for _, d := range f.drafts {
		if !d.nested && d.kind != PowerSource {
			f.takeLoads(d, out)
		}
	}
	out = f.givers()
	f.given = out
	for _, d := range f.drafts {
		if d.nested || d.kind == PowerSource || len(d.members) == 0 {
			continue
		}
		for _, n := range append(slices.Clone(d.inside), d.in...) {
			// What another stage gives is that stage's, whoever is driven there.
			if _, ok := in[n]; !ok && !f.held(n) && out[n] == nil {
				in[n] = d
			}
		}
	}
	far := map[int]int{}
	for _, limit := range []int{nearby, len(f.branches)} {
		for f.complete() || f.attachBy(in, out, far, limit, false) || f.attachBy(out, in, far, limit, true) {
		}
	}
	f.attachRails()
}

// complete gives a stage the rest of what it has a part of: the resistor in
// series with a control, whose other half was taken.
func (f *finder) complete() bool {
	for _, b := range f.branches {
		owner, left := -1, false
		for _, p := range b.parts {
			if f.taken[p] < 0 {
				left = true
			} else {
				owner = f.taken[p]
			}
		}
		if left && owner >= 0 {
			d := f.drafts[owner]
			f.takeBranch(d, Helper, b)
			return true
		}
	}
	return false
}

// close makes a net a stage's own where all that is taken on it is that stage's
// and no lead of another device is there.
func (f *finder) close() {
	for net := range f.names {
		if f.held(net) || len(f.stagesOn([]int{net})) > 0 || f.outNet(net) {
			continue
		}
		owner, several := -1, false
		see := func(part int) {
			if at := f.taken[part]; at >= 0 && owner >= 0 && at != owner {
				several = true
			} else if at >= 0 {
				owner = at
			}
		}
		for _, b := range f.on[net] {
			see(b.parts[0])
		}
		for _, p := range f.pins[net] {
			see(p.part)
		}
		if owner >= 0 && !several {
			f.drafts[owner].own(net)
		}
	}
}

// loadTransformers gives a transformer to the stage whose device drives it; its
// other windings are that stage's outputs.
func (f *finder) loadTransformers() {
	for _, d := range f.drafts {
		for _, x := range d.devices {
			for _, b := range f.leads(winding, x.o) {
				if f.held(x.o) || !f.open(b) {
					continue
				}
				f.takeBranch(d, Load, b)
				for _, w := range f.windings(b.parts[0]) {
					for _, n := range f.nets(w.a, w.b) {
						switch {
						case w == b:
						case len(f.stagesOn([]int{n})) == 0:
							d.outputs(n)
						case !f.quiet(n):
							d.across = addNets(d.across, []int{n})
						}
					}
				}
			}
		}
	}
}

// feedsCurrent tells whether a stage gives a steady current, not a signal.
func (k Kind) feedsCurrent() bool { return k == CurrentMirror || k == CurrentSource }

// absorb gives a resistor and a capacitor that look like a decoupled supply to
// the multivibrator whose rate they bend, where a single resistor into its inside
// is all that they feed.
func (f *finder) absorb() {
	for _, d := range f.drafts {
		if d.kind != Decoupling || len(d.out) != 1 || len(f.pins[d.out[0]]) > 0 {
			continue
		}
		net := d.out[0]
		on := slices.DeleteFunc(slices.Clone(f.on[net]), func(b *branch) bool { return b.sort == capac || f.has(d, b) })
		if len(on) != 1 || on[0].sort != resist {
			continue
		}
		for _, e := range f.stagesOn([]int{on[0].other(net)}) {
			if e.kind != Astable && e.kind != Monostable {
				continue
			}
			for _, p := range d.members {
				f.taken[p] = -1
			}
			f.take(e, Timing, d.members...)
			f.takeBranch(e, Timing, on...)
			e.own(net)
			f.rail[net] = noRail
			d.members, d.out = nil, nil
			break
		}
	}
}

// returnBeads gives what was left out of the view to the stage of its transistor.
func (f *finder) returnBeads() {
	for _, b := range f.beads {
		for _, p := range append(slices.Clone(f.pins[b.a]), f.pins[b.b]...) {
			if isControl(p.lead) && f.taken[p.part] >= 0 {
				f.takeBranch(f.drafts[f.taken[p.part]], Bypass, b)
			}
		}
	}
}

// attachable are the sorts that may serve a stage.
const attachable = passive | junction | gas | load | contact | crystal | winding | meter

// nearby is how many parts in a row a stage reaches out for at first: coupling
// and stopper.
const nearby = 2

// givers tells which stage gives its output on each net.
func (f *finder) givers() map[int]*draft {
	out := map[int]*draft{}
	for _, d := range f.drafts {
		if d.nested || d.kind == PowerSource || len(d.members) == 0 {
			continue
		}
		for _, n := range f.nets(d.out...) {
			if o, ok := out[n]; !ok || o.kind.feedsCurrent() {
				out[n] = d // a mirror is the load of the stage whose output it shares
			}
		}
	}
	return out
}

// takeLoads takes what a stage's output drives over a capacitor.
func (f *finder) takeLoads(d *draft, givers map[int]*draft) {
	for _, n := range f.nets(slices.Concat(d.out, d.across)...) {
		if g := givers[n]; g == nil || g == d {
			f.takeOutput(d, n)
		}
	}
}

// attachBy gives one open part to the owner of one of its nets, and the net
// behind it with it. far counts how many parts away from the stage's own nets
// a net was reached; beyond the limit only parts to a rail follow, so that what
// lies between two stages is shared between them.
//
// onward: the first map holds outputs, so that what a part leads to is another
// place where the stage gives its output.
func (f *finder) attachBy(first, second map[int]*draft, far map[int]int, limit int, onward bool) bool {
	for _, b := range f.branches {
		if b.sort&attachable == 0 || !f.open(b) || f.aside(b.parts[0]) {
			continue
		}
		for _, end := range [2][2]int{{b.a, b.b}, {b.b, b.a}} {
			o := end[1]
			d := first[end[0]]
			if f.held(o) && f.given[end[0]] != nil && b.sort&(resist|induct|load|capac) != 0 {
				d = f.given[end[0]] // what loads an output is its stage's, whoever is driven there
			}
			if far[end[0]] >= limit && !f.held(o) {
				continue
			}
			if d == nil || first[o] != nil && first[o] != d && f.quiet(end[0]) && !f.quiet(o) {
				continue // what hangs on a still net serves who is at its other end
			}
			f.takeBranch(d, f.roleOf(d, b, end[0], o), b)
			if b.sort == winding {
				f.ownWindings(d, b, first)
			}
			if b.half {
				f.ownTrack(d, b, first, second, far)
			}
			if onward && !slices.Contains(d.inside, o) {
				d.outputs(f.nets(o)...)
			}
			if !f.held(o) && first[o] == nil && second[o] == nil {
				first[o] = d
				far[o] = far[end[0]] + 1
				if !onward {
					d.own(o)
				}
			}
			return true
		}
	}
	return false
}

// ownTrack makes the other end of a control's track the stage's as well.
func (f *finder) ownTrack(d *draft, b *branch, first, second map[int]*draft, far map[int]int) {
	for _, net := range f.nets(b.a, b.b) {
		for _, x := range f.leads(resist, net) {
			if !x.half || len(union(x.parts, b.parts)) == len(x.parts)+len(b.parts) {
				continue
			}
			if o := x.other(net); !f.held(o) && first[o] == nil && second[o] == nil {
				first[o] = d
				far[o] = far[net] + 1
				d.own(o)
			}
		}
	}
}

func (f *finder) ownWindings(d *draft, b *branch, owner map[int]*draft) {
	for _, w := range f.windings(b.parts[0]) {
		for _, n := range f.nets(w.a, w.b) {
			if owner[n] == nil {
				owner[n] = d
				d.own(n)
			}
		}
	}
}

// aside tells whether a part comes from outside the unit.
func (f *finder) aside(p int) bool {
	switch f.c.Parts[p].Kind {
	case circuit.Connector, circuit.TestPoint, circuit.Signal:
		return true
	}
	return false
}

// roleOf says what a part that is handed to a stage does there.
func (f *finder) roleOf(d *draft, b *branch, near, far int) Role {
	switch {
	case b.sort == load || b.sort == winding:
		return Load
	case b.sort == capac && f.held(far):
		return Bypass
	case b.sort == capac:
		return Coupling
	case f.held(far) && slices.Contains(d.out, near):
		return Load
	case f.held(far):
		return Bias
	case slices.Contains(d.out, near) && slices.Contains(d.inside, far), slices.Contains(d.out, far) && slices.Contains(d.inside, near):
		return Feedback
	}
	return Helper
}

// decouple makes a stage of the capacitors that lie between each rail and
// common and belong to nothing else.
func (f *finder) decouple() {
	at := map[int]*draft{}
	for _, b := range f.branches {
		if b.sort != capac || !f.open(b) || !f.held(b.a) || !f.held(b.b) || b.a != f.common && b.b != f.common && f.spanned(b.a, b.b) {
			continue
		}
		rail := b.a
		if rail == f.common {
			rail = b.b
		}
		if d := f.railStage(rail); d != nil {
			f.takeBranch(d, Bypass, b)
			continue
		}
		d := at[rail]
		if d == nil {
			d = f.start(Decoupling, b.parts...)
			d.inputs(rail)
			at[rail] = d
			d.say = func() { f.sayDecoupling(d, rail) }
			continue
		}
		f.takeBranch(d, Core, b)
	}
}

// railStage is the stage that makes a rail of a net.
func (f *finder) railStage(net int) *draft {
	if f.rail[net] != unsteady {
		return nil
	}
	for _, d := range f.drafts {
		if !d.nested && slices.Contains(d.out, net) {
			return d
		}
	}
	return nil
}

// attachSwitches gives the switches behind a stage's rail to it, and makes what
// they feed its output too.
func (f *finder) attachSwitches() {
	for again := true; again; {
		again = false
		for _, b := range f.branches {
			if b.sort != contact || !f.held(b.a) || !f.held(b.b) {
				continue
			}
			for _, n := range [2][2]int{{b.a, b.b}, {b.b, b.a}} {
				d := f.railStage(n[0])
				if d == nil || f.railStage(n[1]) != nil || n[1] == f.common || f.rail[n[1]] != unsteady {
					continue
				}
				f.takeBranch(d, Helper, f.openOnes([]*branch{b})...)
				d.outputs(n[1])
				again = true
				break
			}
		}
	}
}

// attachRails gives what is left between rails to the stage that makes the
// rail: bleeders and loads.
func (f *finder) attachRails() {
	f.attachSwitches()
	for _, b := range f.branches {
		if b.sort&(resist|load|diode) == 0 || !f.open(b) || !f.held(b.a) || !f.held(b.b) {
			continue
		}
		for _, n := range []int{b.a, b.b} {
			if d := f.railStage(n); d != nil && n != f.common {
				f.takeBranch(d, Load, b)
				break
			}
		}
	}
	for net, fuses := range f.merged { // fuses go with the supply that they protect
		for _, d := range f.drafts {
			if len(fuses) > 0 && !d.nested && (slices.Contains(d.out, net) || slices.Contains(d.in, net) || slices.Contains(d.inside, net)) {
				f.take(d, Helper, fuses...)
			}
		}
	}
}
