package stage

import (
	"slices"

	"foilside/internal/circuit"
)

// signalAt tells whether something that varies reaches a net: over a capacitor,
// a winding or a source, from another device or block, from outside, or through
// a resistor from such a net.
func (f *finder) signalAt(net int, x *device) bool {
	if net < 0 || f.held(net) {
		return false
	}
	if f.drivenNet(net, x) {
		return true
	}
	for _, b := range f.on[net] {
		o := b.other(net)
		switch {
		case f.held(o) || x != nil && (o == x.o || o == x.k || o == x.k0):
			if b.sort == resist && f.sensor(b) {
				return true
			}
		case b.sort == capac && !f.quietEnd(b, net), b.sort == winding:
			return true
		case b.sort == contact:
			return true
		case b.sort == resist && (f.sensor(b) || f.drivenNet(o, x) || f.reachesLive(o, net, x)):
			return true
		}
	}
	return false
}

// reachesLive tells whether a net behind a resistor has a capacitor, a switch
// or a sensor that brings a signal.
func (f *finder) reachesLive(net, but int, x *device) bool {
	for _, b := range f.on[net] {
		if o := b.other(net); o != but && (b.sort == contact || b.sort == resist && f.sensor(b) || b.sort == capac && !f.quietEnd(b, net) && !f.held(o)) {
			return true
		}
	}
	return false
}

// sensor tells whether a resistor's value is the input: light, temperature.
func (f *finder) sensor(b *branch) bool {
	return slices.ContainsFunc(b.parts, func(p int) bool {
		k := f.c.Parts[p].Kind
		return k == circuit.Photocell || k == circuit.Thermistor
	})
}

// drivenNet tells whether a net is an output of another device or block, a
// source or a connector's.
func (f *finder) drivenNet(net int, x *device) bool {
	if f.alternating(net) {
		return true
	}
	for _, p := range f.pins[net] {
		if x != nil && slices.Contains(x.parts, p.part) {
			continue
		}
		switch f.c.Parts[p.part].Kind {
		case circuit.Connector, circuit.Optocoupler:
			return true
		case circuit.OpAmp:
			if p.lead == "out" {
				return true
			}
		case circuit.Timer555:
			if p.lead == "3" {
				return true
			}
		case circuit.UJT:
			return true
		default:
			switch p.lead {
			case "c", "e", "d", "s", "a", "k", "mt2":
				return true
			}
		}
	}
	return false
}
