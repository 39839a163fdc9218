package sim

import "math"

// timer555 is the bipolar timer at rest. Ends: its leads 1 to 8.
//
// A divider of three times 5 kΩ sets control (5) and half of it; the output
// goes high when trigger (2) is below half of control, low when threshold (6)
// is above control or reset (4) is low; low, it also holds discharge (7) down.
//
// Source: data-sheet figures of the class, from memory.
type timer555 struct{ high bool }

const (
	tGround = iota
	tTrigger
	tOutput
	tReset
	tControl
	tThreshold
	tDischarge
	tSupply
)

const (
	timerLeg     = 5e3
	timerOhms    = 12.0
	timerDrop    = 1.4
	dischargeOn  = 0.1 // siemens
	resetVolts   = 0.7
	timerStandby = 1.5e3 // ohms that its own current amounts to
)

func (t *timer555) joined() [][2]int {
	var all [][2]int
	for end := tTrigger; end <= tSupply; end++ {
		all = append(all, [2]int{tGround, end})
	}
	return all
}

func (t *timer555) tune(tuning) {}

func (t *timer555) tame(old, next []float64) {}

func (t *timer555) flow(v, current, slope []float64) {
	const n = 8
	r := func(a, b int, g float64) { resistive(n, v, current, slope, a, b, g) }
	r(tSupply, tControl, 1/timerLeg)
	r(tControl, tGround, 1/(2*timerLeg))
	r(tSupply, tGround, 1/timerStandby)
	r(tReset, tSupply, 1e-5)
	for _, in := range []int{tTrigger, tThreshold, tDischarge, tOutput} {
		r(in, tGround, 1e-9)
	}
	if !t.high {
		r(tOutput, tGround, 1/timerOhms)
		r(tDischarge, tGround, dischargeOn)
		return
	}
	// The upper half of the output stage only gives.
	up, slopeUp := smoothPositive((v[tSupply]-timerDrop-v[tOutput])/timerOhms, 1e-6)
	path(n, current, slope, tSupply, tOutput, up, slopeUp/timerOhms, tSupply, tOutput)
}

func (t *timer555) rest() { t.high = false }

func (t *timer555) turn(v []float64) bool {
	was := t.high
	to := func(end int) float64 { return v[end] - v[tGround] }
	control := to(tControl)
	switch {
	case to(tSupply) < 2 || to(tReset) < math.Min(resetVolts, to(tSupply)/2):
		t.high = false
	case to(tTrigger) < control/2:
		t.high = true
	case to(tThreshold) > control:
		t.high = false
	}
	return t.high != was
}

func (t *timer555) mode() int8 { return oneIf(t.high) }

func (t *timer555) restore(m int8) { t.high = m != 0 }

func makeTimer555(*resolver) func(*assembly) {
	return func(b *assembly) {
		ends := make([]terminal, 8)
		for k, l := range b.inst.model.parts[b.index].part.Leads {
			if n := int(l.Name[0] - '1'); len(l.Name) == 1 && n >= 0 && n < 8 {
				ends[n] = b.ends[k]
			}
		}
		b.device(&timer555{}, ends...)
	}
}
