package meter

import "math"

// resistance is a meter on volts: nothing but its input resistance.
type resistance float64

// At is the current into the meter.
func (r resistance) At(v float64) (i, g float64) { return v / float64(r), 1 / float64(r) }

// cell is the ohms function: a voltage behind a resistance, plus at the red
// lead. Current into the meter is negative when it drives the circuit.
type cell struct{ volts, ohms float64 }

// At is the current into the meter.
func (c cell) At(v float64) (i, g float64) { return (v - c.volts) / c.ohms, 1 / c.ohms }

// reads is the resistance that the ohms function shows at v volts.
func (c cell) reads(v float64) float64 {
	i := (c.volts - v) / c.ohms
	if i <= 0 {
		return math.Inf(1)
	}
	return v / i
}

// driver is the junction function: a constant current that gives way as the
// voltage nears what the meter can reach.
type driver struct{ amperes, open float64 }

// givesWay is the width in volts over which the current falls. It is smooth,
// so that a solution is found without hunting round a corner.
const givesWay = 0.05

// At is the current into the meter.
func (d driver) At(v float64) (i, g float64) {
	x := (d.open - v) / givesWay
	if x <= 0 {
		return -d.amperes * x, d.amperes / givesWay
	}
	e := math.Exp(-x)
	return -d.amperes * (1 - e), d.amperes * e / givesWay
}
