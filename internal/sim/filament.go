package sim

import "math"

// filament is a tungsten lamp in thermal balance. With τ the temperature over
// that of the room,
//
//	R = cold·τ^1.2        P = K·(τ⁴ − 1)
//
// and K so that the rated power makes the rated resistance. The law of
// radiation leaves out conduction, so a lamp far below its rating is in truth
// a little colder.
//
// Source: resistance and radiation exponents of tungsten after H. A. Jones,
// I. Langmuir, Gen. Electr. Rev. 30 (1927) 310 (from memory).
type filament struct {
	a, b   terminal
	cold   float64 // ohms
	rated  float64 // watts at which it reaches hotRatio·cold
	factor float64
	at     [4]int32
}

// hotRatio is working over cold resistance of a tungsten lamp, common practice.
const hotRatio = 10

const (
	tungstenPower  = 1.2
	radiationPower = 4.0
)

func (e *filament) nodes(join func(a, b int32)) { join(e.a.node, e.b.node) }

func (e *filament) place(p *placing) { p.square(&e.at, e.a.node, e.b.node) }

func (e *filament) tune(t tuning) { e.factor = t.value }

func (e *filament) begin([]float64, bool) {}

// current solves v² = P(τ)·R(τ) for τ and returns current and slope.
//
// Method: Newton in ln τ; the logarithm of the right side is nearly straight
// there, so a few steps from the power law without the −1 suffice.
func (e *filament) current(v float64) (i, g float64) {
	cold := e.cold * e.factor
	hot := math.Pow(hotRatio, radiationPower/tungstenPower)
	k := e.rated / e.factor / (hot - 1)
	y := v * v / (k * cold)
	if y < 1e-12 {
		return v / cold, 1 / cold
	}
	// z = τ⁴ − 1; y = z·(1+z)^0.3.
	z := min(y, math.Pow(y, 1/1.3))
	for range 30 {
		f := math.Log(z) + 0.3*math.Log1p(z) - math.Log(y)
		step := f / (1/z + 0.3/(1+z))
		z = max(z-step, z/10)
		if math.Abs(step) < 1e-15*z {
			break
		}
	}
	r := cold * math.Pow(1+z, 0.3)
	// d ln R / d ln v by the chain through z.
	slope := 2 * 0.3 / (1 + z) / (1/z + 0.3/(1+z))
	return v / r, (1 - slope) / r
}

func (e *filament) load(s *system) {
	v := s.x[e.a.node] - s.x[e.b.node]
	i, g := e.current(v)
	s.conductance(&e.at, g)
	s.pass(e.a.node, e.b.node, i)
}

func (e *filament) currents(x, into []float64) {
	i, _ := e.current(x[e.a.node] - x[e.b.node])
	into[e.a.lead] += i
	into[e.b.lead] -= i
}
