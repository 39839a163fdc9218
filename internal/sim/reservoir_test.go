package sim_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/integrate"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// rectifier is a half-wave rectifier with a reservoir, written out by hand:
// one state, its diode solved by bisection, Runge and Kutta's fourth order.
// Slow and with nothing in common with the simulator but the diode's figures
// of docs/numerics.md (small silicon: 0.73 V at 10 mA, n = 1.8, 1 Ω).
type rectifier struct{ peak, hertz, inner, farads, load float64 }

func (r rectifier) circuit(t testing.TB) *circuit.Circuit {
	return build(t, fmt.Sprintf("G1 signal in gnd voltage=%g frequency=%g resistance=%g", r.peak/math.Sqrt2, r.hertz, r.inner),
		"D1 diode in out", fmt.Sprintf("C1 capacitor out gnd value=%g", r.farads), fmt.Sprintf("R1 resistor out gnd value=%g", r.load))
}

// currents are those of the diode and of the load, with v on the capacitor.
func (r rectifier) currents(t, v float64) (diode, load float64) {
	const nv, at, ohms = 1.8 * roomThermal, 0.010, 1.0
	is := at / math.Expm1((0.73-at*ohms)/nv)
	u := r.peak * math.Sin(2*math.Pi*r.hertz*t)
	// out = v + wire·(diode − load), load = out/R.
	out := func(i float64) float64 { return (v + wire*i) / (1 + wire/r.load) }
	lo, hi := -is, r.peak/r.inner
	for range 60 {
		i := (lo + hi) / 2
		if nv*math.Log1p(i/is)+i*(ohms+r.inner)+out(i) > u {
			hi = i
		} else {
			lo = i
		}
	}
	return lo, out(lo) / r.load
}

// advance follows the capacitor's voltage from a time to another.
func (r rectifier) advance(v, from, to float64) float64 {
	const longest = 10e-6
	slope := func(t, v float64) float64 {
		d, l := r.currents(t, v)
		return (d - l) / r.farads
	}
	n := math.Ceil((to - from) / longest)
	h := (to - from) / n
	for k := range int(n) {
		t := from + float64(k)*h
		a := slope(t, v)
		b := slope(t+h/2, v+h/2*a)
		c := slope(t+h/2, v+h/2*b)
		d := slope(t+h, v+h*c)
		v += h / 6 * (a + 2*b + 2*c + d)
	}
	return v
}

// TestRectifierLikeReference holds half a dozen half-waves with smoothing
// against the hand-written integration at every point.
func TestRectifierLikeReference(t *testing.T) {
	r := rectifier{peak: 15, hertz: 50, inner: 10, farads: 10e-6, load: 2200}
	const tolerance = 1e-4
	w := follow(t, r.circuit(t), sim.TransientOptions{For: 50e-3, Tolerance: tolerance})
	v, at, worst := 0.0, 0.0, 0.0
	for k, now := range w.Time {
		if now > at {
			v = r.advance(v, at, now)
			at = now
		}
		d, l := r.currents(now, v)
		worst = math.Max(worst, math.Abs(w.Nets["out"][k]-(v+wire*(d-l))))
	}
	if worst > 10*tolerance*r.peak {
		t.Errorf("off by %.3g V, more than 10 × %g of %g V", worst, tolerance, r.peak)
	}
}

// TestRippleIsClosedForm: with a load that takes nearly constant current the
// ripple of a half-wave rectifier is about I/(f·C), and a little less since the
// diode conducts for a part of the period (common practice).
func TestRippleIsClosedForm(t *testing.T) {
	w := follow(t, build(t, "G1 signal in gnd voltage=20 frequency=50 resistance=1", "D1 diode in out current=1",
		"C1 electrolytic out gnd value=1m", "R1 resistor out gnd value=1k"), sim.TransientOptions{For: 0.2})
	low, high := math.Inf(1), math.Inf(-1)
	for k, at := range w.Time {
		if at > 0.1 {
			low, high = math.Min(low, w.Nets["out"][k]), math.Max(high, w.Nets["out"][k])
		}
	}
	simple := (low + high) / 2 / 1e3 / (50 * 1e-3)
	if ripple := high - low; ripple > simple || ripple < 0.85*simple {
		t.Errorf("ripple %.4g V, rule of thumb %.4g V", ripple, simple)
	}
}

// TestTransformerLikePhasors holds the settled waveforms of two coupled
// windings against the two mesh equations in complex numbers.
func TestTransformerLikePhasors(t *testing.T) {
	rows := []struct {
		name              string
		turns, k          float64
		load, r1, r2, own float64
		ratio             float64 // by the turns, 0: not near it
	}{
		{"step up, tight", 1000, 0.9999, 1e6, 1, 100, 10, 10},
		{"step down, tight", 10, 0.9999, 100, 1, 0.1, 10, 0.1},
		{"loose and loaded", 300, 0.8, 500, 20, 10, 50e-3, 0},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			const hertz, volts = 1e3, 1.0
			c := build(t, fmt.Sprintf("G1 signal in gnd voltage=%g frequency=%g resistance=0", volts, hertz),
				fmt.Sprintf("T1 transformer in gnd out gnd coupling=%g winding_p=%g,100,%g winding_s=%g,%g", r.k, r.r1, r.own, r.r2, r.turns),
				fmt.Sprintf("R1 resistor out gnd value=%g", r.load))
			// The direct part of the magnetising current dies away with L/R.
			w := follow(t, c, sim.TransientOptions{For: 40e-3})
			l1, l2 := r.own, r.own*r.turns*r.turns/1e4
			m := r.k * math.Sqrt(l1*l2)
			s := complex(0, 2*math.Pi*hertz)
			z1, z2, zm := complex(r.r1, 0)+s*complex(l1, 0), complex(r.r2+r.load, 0)+s*complex(l2, 0), s*complex(m, 0)
			out := volts * math.Sqrt2 * complex(r.load, 0) * zm / (z1*z2 - zm*zm)
			if r.ratio != 0 {
				near(t, "ratio", cmplx.Abs(out)/(volts*math.Sqrt2), r.ratio, 0.02*r.ratio)
			}
			for k, at := range w.Time {
				if at < 30e-3 {
					continue
				}
				want := imag(out * cmplx.Exp(s*complex(at, 0)))
				if d := math.Abs(w.Nets["out"][k] - want); d > 1e-3*cmplx.Abs(out) {
					t.Fatalf("at %g s: %g V, phasors %g V", at, w.Nets["out"][k], want)
				}
			}
		})
	}
}

// TestChargeAndEnergyBalance: what the battery delivers is in the capacitor or
// went through the resistors.
func TestChargeAndEnergyBalance(t *testing.T) {
	const volts, r1, r2, farads = 9.0, 1e3, 2200.0, 10e-6
	w := follow(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g %s", volts, stiff), fmt.Sprintf("R1 resistor v out value=%g", r1),
		fmt.Sprintf("R2 resistor out gnd value=%g", r2), fmt.Sprintf("C1 capacitor out gnd value=%g", farads)),
		sim.TransientOptions{For: 30e-3, Tolerance: 1e-7})
	over := func(f func(v float64) float64) float64 {
		y := make([]float64, len(w.Time))
		for k, v := range w.Nets["out"] {
			y[k] = f(v)
		}
		return integrate.Simpsons(w.Time, y)
	}
	// The capacitor's milliohm holds back some nanovolts at the end.
	end := last(w, "out")
	delivered := over(func(v float64) float64 { return (volts - v) / r1 })
	leaked := over(func(v float64) float64 { return v / r2 })
	near(t, "charge", delivered, leaked+farads*end, 1e-6*delivered)
	heat := over(func(v float64) float64 { return (volts-v)*(volts-v)/r1 + v*v/r2 })
	near(t, "energy", delivered*volts, heat+farads*end*end/2, 1e-6*delivered*volts)
}
