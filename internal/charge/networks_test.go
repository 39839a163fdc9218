package charge_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"foilside/internal/circuit"
)

// draws writes networks of two-lead parts.
type draws struct {
	rng *rand.Rand
	c   *circuit.Circuit
}

// span is a value between two ends, even on a logarithmic scale.
func (d *draws) span(low, high float64) float64 {
	return low * math.Pow(high/low, d.rng.Float64())
}

func (d *draws) add(letter string, k circuit.Kind, a, b circuit.NetID, amounts ...any) {
	n := 1
	for _, p := range d.c.Parts {
		if p.Kind == k {
			n++
		}
	}
	d.c.Parts = append(d.c.Parts, part(circuit.PartRef(fmt.Sprint(letter, n)), k, a, b, amounts...))
}

func (d *draws) r(a, b circuit.NetID, low, high float64) {
	d.add("R", circuit.Resistor, a, b, "value", d.span(low, high), "tolerance", 0.0)
}

func (d *draws) cap(a, b circuit.NetID, low, high float64) {
	d.add("C", circuit.Capacitor, a, b, "value", d.span(low, high), "tolerance", 0.0)
}

func (d *draws) supply(net circuit.NetID, low, high float64) {
	d.add("PS", circuit.Supply, net, "0", "voltage", d.span(low, high), "resistance", 10.0, "tolerance", 0.0)
}

func network(rng *rand.Rand) *draws { return &draws{rng: rng, c: &circuit.Circuit{Common: "0"}} }

// drawnNetwork is anything between anything, as in randomStores.
func drawnNetwork(rng *rand.Rand) *circuit.Circuit {
	d := network(rng)
	nets := []circuit.NetID{"0", "s", "a", "b", "c", "d"}
	two := func() (circuit.NetID, circuit.NetID) {
		i := rng.IntN(len(nets))
		return nets[i], nets[(i+1+rng.IntN(len(nets)-1))%len(nets)]
	}
	d.supply("s", 20, 600)
	for range 3 + rng.IntN(7) {
		a, b := two()
		d.r(a, b, 1e3, 3e6)
	}
	for range 1 + rng.IntN(4) {
		a, b := two()
		d.cap(a, b, 10e-9, 100e-6)
	}
	return d.c
}

// drawnUnit is a supply with filter chain and bleeders, stages that hang on it
// by decoupling, dividers with a bypass, and coupling capacitors between them,
// as in valve sets, amplifiers and instruments.
func drawnUnit(rng *rand.Rand) *circuit.Circuit {
	d := network(rng)
	high := rng.IntN(3) > 0
	rail := circuit.NetID("s")
	if high {
		d.supply(rail, 120, 600)
	} else {
		d.supply(rail, 12, 80)
	}
	for i := range 1 + rng.IntN(3) { // reservoir and smoothing, a bleeder here or there
		next := circuit.NetID(fmt.Sprint("f", i))
		d.r(rail, next, 10, 10e3)
		if high {
			d.cap(next, "0", 1e-6, 100e-6)
		} else {
			d.cap(next, "0", 47e-6, 4700e-6)
		}
		for range rng.IntN(3) {
			d.r(next, "0", 47e3, 470e3)
		}
		rail = next
	}
	var last circuit.NetID
	for i := range 1 + rng.IntN(3) { // stages
		at := func(s string) circuit.NetID { return circuit.NetID(fmt.Sprint(s, i)) }
		d.r(rail, at("d"), 1e3, 100e3)
		if rng.IntN(2) > 0 {
			d.cap(at("d"), "0", 100e-9, 22e-6)
		}
		d.r(at("d"), at("out"), 4.7e3, 220e3)
		d.r(at("out"), at("e"), 4.7e3, 220e3) // what the stage itself draws
		d.r(at("e"), "0", 470, 10e3)
		if rng.IntN(2) > 0 {
			d.cap(at("e"), "0", 1e-6, 100e-6)
		}
		d.r(at("in"), "0", 47e3, 1e6)
		if last != "" {
			d.cap(last, at("in"), 10e-9, 1e-6)
		}
		last = at("out")
	}
	d.cap(last, "load", 100e-9, 100e-6)
	d.r("load", "0", 100, 100e3)
	return d.c
}
