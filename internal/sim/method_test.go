package sim_test

import (
	"math"
	"testing"

	"foilside/internal/sim"
)

// TestMethodsHaveTheirOrder: the order conditions of both one-step methods, of
// the rows that the error is taken from, and that what is stiff dies in a
// step.
//
// Source: J. C. Butcher, Numerical Methods for Ordinary Differential
// Equations (from memory).
func TestMethodsHaveTheirOrder(t *testing.T) {
	for _, m := range sim.Methods() {
		t.Run(m.Name, func(t *testing.T) {
			last := len(m.A) - 1
			weighed := func(row []float64, f func(k int) float64) float64 {
				sum := 0.0
				for k, w := range row {
					sum += w * f(k)
				}
				return sum
			}
			at := func(k int) float64 { return weighed(m.A[k], func(int) float64 { return 1 }) }
			square := func(k int) float64 { return at(k) * at(k) }
			sloped := func(k int) float64 { return weighed(m.A[k], at) }
			conditions := []struct {
				order int
				of    func(k int) float64
				want  float64
			}{
				{1, func(int) float64 { return 1 }, 1},
				{2, at, 1.0 / 2},
				{3, square, 1.0 / 3},
				{3, sloped, 1.0 / 6},
				{4, func(k int) float64 { return at(k) * square(k) }, 1.0 / 4},
				{4, func(k int) float64 { return at(k) * sloped(k) }, 1.0 / 8},
				{4, func(k int) float64 { return weighed(m.A[k], square) }, 1.0 / 12},
				{4, func(k int) float64 { return weighed(m.A[k], sloped) }, 1.0 / 24},
			}
			for row, order := range map[int]int{last: m.Order, m.Control: m.Order - 1} {
				if row == 0 {
					continue
				}
				for n, c := range conditions {
					if c.order <= order {
						near(t, "condition "+string(rune('1'+n)), weighed(m.A[row], c.of), c.want, 1e-14)
					}
				}
			}
			for k := range m.A {
				near(t, "time of a stage", at(k), m.At[k], 1e-14)
			}
			// Stages of y' = −y/ε with ε → 0: each state is what its own rate
			// leaves of nothing.
			const stiff = -1e12
			y := make([]float64, len(m.A))
			y[0] = 1
			for k := 1; k <= last; k++ {
				sum := 1.0
				for j := range k {
					sum += m.A[k][j] * stiff * y[j]
				}
				y[k] = sum / (1 - m.A[k][k]*stiff)
			}
			if math.Abs(y[last]) > 1e-10 {
				t.Errorf("a stiff part is left at %g", y[last])
			}
		})
	}
}

// TestOmega: ω + ln ω = u.
func TestOmega(t *testing.T) {
	for u := -45.0; u < 800; u += 0.37 {
		w := sim.Omega(u)
		near(t, "omega", w+math.Log(w), u, 4e-15*max(1, math.Abs(u)))
	}
}

// TestWaveformsBetweenSteps: a step of fourth order is a good part of a
// period, and what is drawn between is as good as its ends; a rectifier's
// corner too, which no state smooths.
func TestWaveformsBetweenSteps(t *testing.T) {
	const span = 3e-3
	opt := sim.TransientOptions{For: span}
	w := follow(t, build(t, "G1 signal v gnd voltage=5 frequency=1k "+stiff, "R1 resistor v out value=1k", "C1 capacitor out gnd value=1u"), opt)
	peak, turn := 5*math.Sqrt2, 2*math.Pi*1e3
	a := 1 / (1 + turn*turn*1e-6)
	exact := func(t float64) float64 {
		return peak * a * (math.Sin(turn*t) - turn*1e-3*math.Cos(turn*t) + turn*1e-3*math.Exp(-t/1e-3))
	}
	for k := range 3000 {
		at := span * (float64(k) + 0.5) / 3000
		near(t, "source", valueAt(w, "v", at), peak*math.Sin(turn*at), 1e-4*peak)
		near(t, "filtered", valueAt(w, "out", at), exact(at), 1e-4*peak)
	}

	corner := build(t, "G1 signal v gnd voltage=5 frequency=1k resistance=50", "D1 diode v out", "R1 resistor out gnd value=1k")
	w = follow(t, corner, opt)
	fine := follow(t, corner, sim.TransientOptions{For: span, Tolerance: 1e-6, MaxPoints: 1e6})
	for k := range 3000 {
		at := span * (float64(k) + 0.5) / 3000
		near(t, "rectified", valueAt(w, "out", at), valueAt(fine, "out", at), 5e-4*peak)
	}
}
