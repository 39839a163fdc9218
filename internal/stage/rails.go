package stage

import (
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// railSort is what holds a net still.
type railSort uint8

const (
	noRail   railSort = iota
	common            // the reference
	supply            // a source, directly or through switch and fuse
	unsteady          // rectified, or split off a supply
)

// findRails marks the common net and what sources hold.
func (f *finder) findRails() {
	if f.common >= 0 {
		f.rail[f.common] = common
		f.known[f.common] = true
	}
	for changed := true; changed; { // sources in series, one after the other
		changed = false
		for _, b := range f.branches {
			if b.sort == source && f.steady(b) && f.hold(b) {
				changed = true
			}
		}
	}
	f.passDiodes()
	if !f.rectifies() {
		f.nameSupplies()
	}
}

// passDiodes follows a supply over a diode in series, which guards against
// reversal: what lies behind has a reservoir of its own.
func (f *finder) passDiodes() {
	for _, b := range f.branches {
		if b.sort != diode || len(f.between(winding|load|induct, b.a, b.b)) > 0 {
			continue
		}
		for _, end := range [2]struct {
			from, to int
			drop     float64
		}{{b.a, b.b, -0.7}, {b.b, b.a, 0.7}} {
			if f.rail[end.from] != supply || f.held(end.to) || !f.worthRail(end.to) || f.volts[end.from]*end.drop > 0 {
				continue
			}
			if f.bypass(end.to) != nil && f.degree(end.to) > 2 && !f.alternating(end.to) {
				f.flood(end.to, supply, f.volts[end.from]+end.drop, f.known[end.from])
			}
		}
	}
}

// rectifies tells whether a diode stands on something that alternates: power
// then comes from there.
func (f *finder) rectifies() bool {
	for _, b := range f.branches {
		if b.sort == diode && (f.mains(b.a) || f.mains(b.b)) {
			return true
		}
	}
	return false
}

// mains tells whether a net is driven by a winding or a signal source, also over
// a switch, a dropper or a surge resistor.
func (f *finder) mains(net int) bool {
	return f.alternating(net) || slices.ContainsFunc(f.feedPath(net), func(b *branch) bool { return f.alternating(b.a) || f.alternating(b.b) })
}

// steady tells a battery or supply from a signal.
func (f *finder) steady(b *branch) bool {
	k := f.c.Parts[b.parts[0]].Kind
	return k == circuit.Battery || k == circuit.Supply
}

// hold marks the source's ends, and what hangs on them through switches. A
// source that floats holds its own ends against each other all the same.
func (f *finder) hold(b *branch) bool {
	volts, given := f.c.Parts[b.parts[0]].Amount("voltage")
	changed := false
	for _, end := range [2]struct {
		here, there int
		sign        float64
	}{{b.a, b.b, 1}, {b.b, b.a, -1}} {
		known := given && f.known[end.there]
		if f.rail[end.here] != noRail && (f.known[end.here] || !known) {
			continue
		}
		f.flood(end.here, supply, f.volts[end.there]+end.sign*volts, known)
		changed = true
	}
	return changed
}

// flood makes rails of a net and of what lies behind switches on it.
func (f *finder) flood(net int, sort railSort, volts float64, known bool) {
	f.rail[net], f.volts[net], f.known[net] = sort, volts, known
	for _, b := range f.on[net] {
		if b.sort == contact || b.sort == induct && f.onlyWay(net, b) && f.feedsSeveral(b.other(net), b) {
			if o := b.other(net); f.rail[o] == noRail && f.worthRail(o) {
				f.flood(o, sort, volts, known)
			}
		}
	}
}

// onlyWay tells whether a choke is the only way that the current of a source can
// take from a net: what lies behind it is the supply.
func (f *finder) onlyWay(net int, choke *branch) bool {
	if len(f.pins[net]) > 0 || !slices.ContainsFunc(f.on[net], func(b *branch) bool { return b.sort == source }) {
		return false
	}
	return !slices.ContainsFunc(f.on[net], func(b *branch) bool { return b != choke && b.sort&(source|capac) == 0 })
}

// feedsSeveral tells whether a net behind a choke is a supply and not the output
// of one device whose load the choke is.
func (f *finder) feedsSeveral(net int, choke *branch) bool {
	if f.suppliesBlock(net) {
		return true
	}
	n, direct := 0, len(f.pins[net])
	for _, b := range f.on[net] {
		switch {
		case b == choke:
		case b.sort == resist && f.degree(b.other(net)) == 2 && len(f.pins[b.other(net)]) == 1:
			direct++ // a lead behind a small resistor
		case b.sort&(resist|induct|winding|load|led|zener|contact) != 0:
			n++
		}
	}
	if direct == 0 {
		return n >= 1 // nothing is driven there
	}
	return n+direct >= 2
}

// worthRail tells whether what lies behind a switch is fed by it, not
// triggered: a control lead there means that the switch is an input.
func (f *finder) worthRail(net int) bool {
	if f.suppliesBlock(net) {
		return true // whatever else is tied to it there
	}
	for _, p := range f.pins[net] {
		switch f.c.Parts[p.part].Kind {
		case circuit.NPN, circuit.PNP:
			if p.lead == "b" {
				return false
			}
		case circuit.Timer555:
			if p.lead == "2" || p.lead == "4" || p.lead == "6" {
				return false
			}
		case circuit.OpAmp:
			if p.lead == "+in" || p.lead == "-in" {
				return false
			}
		case circuit.SCR, circuit.Triac, circuit.MOSFETN, circuit.MOSFETP, circuit.JFETN, circuit.JFETP:
			if p.lead == "g" {
				return false
			}
		}
	}
	return true
}

// findCommon is the net that the person named, or the one that speaks most
// for itself: a source's minus, an earthy name, many leads.
func (f *finder) findCommon() int {
	if i, ok := f.index[f.c.Common]; ok {
		return i
	}
	best, bestScore := -1, 2
	for i := range f.names {
		score := f.degree(i)
		if score < 2 {
			continue
		}
		switch strings.ToLower(string(f.names[i])) {
		case "0", "0v", "gnd", "ground", "common", "chassis", "earth", "frame", "minus":
			score += 20
		}
		for _, b := range f.on[i] {
			switch {
			case b.sort == source && f.steady(b) && b.b == i:
				score += 10
			case f.isKind(b.parts[0], circuit.Electrolytic) && b.b == i:
				score += 2
			case f.isKind(b.parts[0], circuit.Electrolytic):
				score--
			}
		}
		if score > bestScore {
			best, bestScore = i, score
		}
	}
	return best
}

// nameSupplies goes by names where no source was placed, as when power comes
// in by a connector.
func (f *finder) nameSupplies() {
	for _, r := range f.rail {
		if r == supply || r == unsteady {
			return
		}
	}
	if !f.active() {
		return
	}
	named := false
	for i := range f.names {
		s := strings.ToLower(string(f.names[i]))
		for _, word := range []string{"supply", "vcc", "vdd", "vee", "vss", "b+", "ht", "plus", "+"} {
			if f.rail[i] == noRail && strings.HasPrefix(s, word) && f.degree(i) > 2 {
				f.rail[i], named = supply, true
			}
		}
	}
	if !named {
		f.guessSupplies()
	}
}

// guessSupplies goes by what hangs on a net where neither a source nor a name
// tells: supply leads of blocks, or else the net that most loads lead to.
func (f *finder) guessSupplies() {
	found := false
	for i := range f.names {
		if f.rail[i] == noRail && f.suppliesBlock(i) {
			f.rail[i], found = supply, true
		}
	}
	if found {
		return
	}
	best, most := -1, leastLoads-1
	for i := range f.names {
		if n := f.loadsOn(i); f.rail[i] == noRail && n > most {
			best, most = i, n
		}
	}
	if best >= 0 {
		f.rail[f.entry(best)] = supply
	}
}

// entry is the connector's net behind the one resistor or choke that leads to a
// guessed supply, where there is one: the guess is then a decoupled part of it.
func (f *finder) entry(net int) int {
	at := net
	for _, b := range f.leads(resist|induct, net) {
		o := b.other(net)
		if o == f.common || f.degree(o) != 2 || len(f.pins[o]) != 1 || !f.isKind(f.pins[o][0].part, circuit.Connector) {
			continue
		}
		if at != net {
			return net
		}
		at = o
	}
	return at
}

// suppliesBlock tells whether a supply lead of a block is on the net.
func (f *finder) suppliesBlock(net int) bool {
	return slices.ContainsFunc(f.pins[net], func(p pin) bool {
		switch f.c.Parts[p.part].Kind {
		case circuit.OpAmp:
			return p.lead == "v+" || p.lead == "v-"
		case circuit.Timer555:
			return p.lead == "8"
		}
		return false
	})
}

// leastLoads is how many loads, a connector and a reservoir counting for more,
// make a supply of a net that nothing else tells of.
const leastLoads = 4

func (f *finder) loadsOn(net int) int {
	n, fed, driven := 0, 0, 0
	for _, b := range f.on[net] {
		o := b.other(net)
		switch {
		case b.sort&(resist|induct|winding|load|led|zener) != 0 && o != f.common:
			n++
		case b.sort == capac && o == f.common && f.isKind(b.parts[0], circuit.Electrolytic):
			n++
		}
	}
	for _, p := range f.pins[net] {
		switch {
		case f.c.Parts[p.part].Kind == circuit.Connector:
			fed = 3
		case isControl(p.lead) || p.lead == "+in" || p.lead == "-in":
			return 0
		default:
			driven++
		}
	}
	if fed > 0 { // a device straight on the net is fed by it
		n += fed + driven
	}
	return n
}

// active tells whether anything in the circuit needs a supply.
func (f *finder) active() bool {
	return slices.ContainsFunc(f.c.Parts, func(p circuit.Part) bool {
		switch p.Kind {
		case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.UJT, circuit.Triode,
			circuit.Pentode, circuit.Zener, circuit.OpAmp, circuit.Timer555, circuit.Regulator, circuit.Optocoupler, circuit.Relay:
			return true
		}
		return false
	})
}

// held tells whether a net is a rail of any sort.
func (f *finder) held(net int) bool { return net >= 0 && f.rail[net] != noRail }

// leastBypass is the least capacitance that makes a net quiet where the
// frequency isn't known: 4.7 nF has 34 Ω at 1 MHz, so that an oscillator's
// bypass counts, while tank and compensation capacitors don't (common practice).
const leastBypass = 4.7e-9

// quiet tells whether a net is still for alternating current: a rail, or
// bypassed to one. What drives it as an output is never quiet.
func (f *finder) quiet(net int) bool {
	if net < 0 {
		return false
	}
	return f.held(net) || f.bypass(net) != nil
}

// bypass is the capacitor that holds a net still, nil for none.
func (f *finder) bypass(net int) *branch {
	for _, b := range f.on[net] {
		if b.sort == capac && f.held(b.other(net)) && (b.value >= leastBypass || b.value == 0) {
			return b
		}
	}
	return nil
}

// tie is a resistance to a rail.
func (f *finder) ties(net int, rails ...railSort) []*branch {
	var out []*branch
	for _, b := range f.on[net] {
		if b.sort != resist {
			continue
		}
		o := b.other(net)
		for _, r := range rails {
			if f.rail[o] == r {
				out = append(out, b)
				break
			}
		}
	}
	return out
}
