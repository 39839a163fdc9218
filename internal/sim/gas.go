package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// gas is a neon lamp, gas tube or flash tube between its first two ends: dark
// or struck. Dark it is an insulation. It strikes, either way round, when the
// voltage passes striking; struck it is the maintaining voltage behind a
// resistance; it goes out when the current falls below least.
//
// Limits: no statistical lag, no negative resistance between dark and glow.
// Source: W. G. Miller, Using and Understanding Miniature Neon Lamps, Sams
// 1969 (C53); maintaining resistance and least current from memory.
type gas struct {
	striking    float64
	maintaining float64
	ohms        float64
	least       float64 // amperes
	dark        float64 // siemens
	struck      int8    // 0, or the sign of the current
}

func (t *gas) joined() [][2]int { return [][2]int{{0, 1}} }

func (t *gas) tune(tuning) {}

func (t *gas) tame(old, next []float64) {}

func (t *gas) flow(v, current, slope []float64) {
	resistive(2, v, current, slope, 0, 1, t.dark)
	if t.struck != 0 {
		i := (v[0] - v[1] - float64(t.struck)*t.maintaining) / t.ohms
		path(2, current, slope, 0, 1, i, 1/t.ohms, 0, 1)
	}
}

func (t *gas) rest() { t.struck = 0 }

func (t *gas) turn(v []float64) bool {
	across := v[0] - v[1]
	if t.struck == 0 {
		if math.Abs(across) > t.striking {
			t.struck = 1
			if across < 0 {
				t.struck = -1
			}
		}
		return t.struck != 0
	}
	if (float64(t.struck)*across-t.maintaining)/t.ohms < t.least {
		t.struck = 0
		return true
	}
	return false
}

func (t *gas) mode() int8 { return t.struck }

func (t *gas) restore(m int8) { t.struck = m }

// makeGas resolves a neon lamp or a gas tube.
func makeGas(r *resolver) func(*assembly) {
	t := gas{dark: 1e-9, least: 20e-6}
	strike, maintain := 75.0, 60.0
	if r.part.Kind == circuit.GasTube {
		strike, maintain = 180, 150
	}
	t.striking, t.maintaining = r.strike(strike, maintain)
	// Some 5 % more voltage at a milliampere for a neon lamp, much less for a
	// tube made to hold a voltage.
	t.ohms = 0.05 * t.maintaining / 1e-3
	if r.part.Kind == circuit.GasTube {
		t.ohms = 100
	}
	return func(b *assembly) {
		e := t
		b.device(&e, b.lead("1"), b.lead("2"))
	}
}

// strike is striking and maintaining voltage; of one given, the other follows
// in the proportion of the class.
func (r *resolver) strike(strike, maintain float64) (s, m float64) {
	given, okS := r.lookup("striking voltage")
	kept, okM := r.lookup("maintaining voltage")
	switch {
	case okS && !okM:
		maintain *= given.Value / strike
		strike = given.Value
	case okM && !okS:
		strike *= kept.Value / maintain
		maintain = kept.Value
	case okS && okM:
		strike, maintain = given.Value, kept.Value
	}
	r.note("striking voltage", strike, q.Volt, memory)
	r.note("maintaining voltage", maintain, q.Volt, memory)
	if strike < 1 || maintain < 1 || maintain > strike {
		r.complain("%s: it must strike above its maintaining voltage, and both above 1 V", r.part.Ref)
	}
	return strike, maintain
}

// makeFlashTube is dark unless its hold-off voltage is passed; steady voltages
// never trigger it, and its trigger electrode is outside the glass.
func makeFlashTube(r *resolver) func(*assembly) {
	t := r.flash()
	return func(b *assembly) {
		e := t
		b.device(&e, b.lead("a"), b.lead("k"))
	}
}
