package sim

import (
	"math"

	q "foilside/internal/quantity"
)

// What turns, sounds or glows has a memory of its own: speed, flux, heat. Each
// is written as a node inside the part whose voltage is that quantity.

// Speed and coil of a small motor where only its resistance is known, from
// memory: it reaches two thirds of its speed in 50 ms, takes a tenth of its
// starting current when it runs free, and its coil lags by half a millisecond.
const (
	motorSpinUp = 50e-3
	motorIdle   = 0.1
	motorLag    = 0.5e-3
)

// moveMotor is a coil's resistance and inductance before a back voltage, which
// a capacitor holds as inertia does, with friction as a resistance across it.
//
// Limits: no commutation, no static friction; at the operating point and on
// ohms it stands still.
// Source: the analogy of force and current, F. A. Firestone, J. Acoust. Soc.
// Am. 4 (1933) 249–267 (from memory).
func moveMotor(r *resolver, _ func(*assembly)) func(*assembly) {
	ohms := math.Max(r.positive("resistance", 10, q.Ohm, trade), leastOhms)
	r.note("time to reach speed", motorSpinUp, q.Second, memory)
	return func(b *assembly) {
		x, y, turning := b.lead("1"), b.lead("2"), terminal{node: b.node()}
		b.wind(core{coils: []coil{{a: x, b: turning, ohms: ohms, turns: 1}}, main: motorLag * ohms})
		b.store(turning, y, motorSpinUp/ohms, 0)
		b.conductor(turning, y, ohms*(1/motorIdle-1))
	}
}

// Inductance of a voice coil over its resistance, and the iron's loss as a
// resistance across it over the same; from memory.
const (
	soundLag  = 60e-6
	soundLoss = 20.0
)

// moveSounder is a voice coil: resistance, then inductance with loss.
func moveSounder(r *resolver, _ func(*assembly)) func(*assembly) {
	ohms := math.Max(r.positive("resistance", 8, q.Ohm, trade), leastOhms)
	return func(b *assembly) {
		x, y, m := b.lead("1"), b.lead("2"), terminal{node: b.node()}
		b.conductor(x, m, ohms)
		b.contact(m, y, soundLoss*ohms)
		b.wind(core{coils: []coil{{a: m, b: y, ohms: leastOhms, turns: 1}}, main: soundLag * ohms})
	}
}

// heatScale keeps the currents of heat nodes so small, in amperes, that the
// milliohm of a capacitor's leads does not matter.
const heatScale = 1e-3

// glow is a filament with heat. Ends: its leads, the heat node, the reference.
// The heat node stands at τ − 1, with τ the temperature over that of the room:
//
//	heat·dτ/dt = P/rated − (τ⁴ − 1)/(hot⁴ − 1)
type glow struct {
	cold   float64 // ohms
	rated  float64 // watts
	factor float64
}

// glowTime is how long a small lamp takes over most of a change near its
// working temperature, from memory.
const glowTime = 50e-3

func (t *glow) joined() [][2]int { return [][2]int{{0, 1}, {2, 3}} }

func (t *glow) tune(k tuning) { t.factor = k.value }

func (t *glow) tame(old, next []float64) {}

func (t *glow) flow(v, current, slope []float64) { numericSlopes(v, current, slope, t.currents) }

func (t *glow) currents(v, current []float64) {
	hot := math.Pow(hotRatio, radiationPower/tungstenPower)
	tau := math.Max(1+v[2]-v[3], 0.2)
	across := v[0] - v[1]
	i := across / (t.cold * t.factor * math.Pow(tau, tungstenPower))
	flows(current, 0, 1, i)
	flows(current, 2, 3, heatScale*((math.Pow(tau, radiationPower)-1)/(hot-1)-across*i*t.factor/t.rated))
}

// moveLamp gives the filament of makeLamp its heat.
func moveLamp(r *resolver, _ func(*assembly)) func(*assembly) {
	cold, rated := r.filament()
	tau := math.Pow(hotRatio, 1/tungstenPower)
	return func(b *assembly) {
		heat := terminal{node: b.node()}
		b.device(&glow{cold: cold, rated: rated, factor: 1}, b.lead("1"), b.lead("2"), heat, terminal{})
		// Near τ the loss changes by 4·τ³/(τ⁴−1) ≈ 4/τ for each τ.
		b.store(heat, terminal{}, heatScale*glowTime*4/tau, 0)
	}
}

// fuseWire is a fuse with heat. Ends: its leads, the heat node, the reference.
// The heat node h follows the square of the current over the rated one,
// melts·dh/dt = (i/rated)² − h, and the wire melts at fuseMelts.
//
// Source: a quick fuse carries 1.5 times its rating for long and melts within
// a second at twice, 20 ms at ten times of it (from memory, IEC 60127-2).
type fuseWire struct {
	ohms   float64
	rated  float64 // amperes
	factor float64
	melted bool
}

const (
	fuseMelts = 2.25
	fuseTime  = 0.5 // seconds
)

func (t *fuseWire) joined() [][2]int { return [][2]int{{0, 1}, {2, 3}} }

func (t *fuseWire) tune(k tuning) { t.factor = k.value }

func (t *fuseWire) tame(old, next []float64) {}

func (t *fuseWire) flow(v, current, slope []float64) {
	g := 1 / (t.ohms * t.factor)
	if t.melted {
		g = openContact
	}
	resistive(4, v, current, slope, 0, 1, g)
	resistive(4, v, current, slope, 2, 3, heatScale)
	i := g * (v[0] - v[1]) / t.rated
	path(4, current, slope, 3, 2, heatScale*i*i, heatScale*2*i*g/t.rated, 0, 1)
}

func (t *fuseWire) rest() { t.melted = false }

func (t *fuseWire) turn(v []float64) bool {
	was := t.melted
	t.melted = was || v[2]-v[3] > fuseMelts
	return t.melted != was
}

func (t *fuseWire) mode() int8 { return oneIf(t.melted) }

func (t *fuseWire) restore(m int8) { t.melted = m != 0 }

// moveFuse is a wire that melts, where its rated current is known.
func moveFuse(r *resolver, still func(*assembly)) func(*assembly) {
	rated, ok := r.lookup("current")
	if !ok || rated.Value <= 0 {
		return still
	}
	ohms := math.Max(fuseOhms(r), leastOhms)
	return func(b *assembly) {
		heat := terminal{node: b.node()}
		b.device(&fuseWire{ohms: ohms, rated: rated.Value, factor: 1}, b.lead("1"), b.lead("2"), heat, terminal{})
		b.store(heat, terminal{}, heatScale*fuseTime, 0)
	}
}
