package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// relay is a coil and its contacts, which go over when the coil's voltage
// passes pull-in and come back when it falls below release. Ends: coil1,
// coil2, then common, make and break contact of every pole.
type relay struct {
	coil   float64 // ohms
	pullIn float64 // volts; +Inf where it is not known
	closed float64 // siemens
	factor float64
	ends   int
	pulled bool
}

const (
	// releaseShare is release over pull-in voltage, common practice.
	releaseShare = 0.35
	// openContact is the insulation of an open contact; it keeps what hangs
	// on it defined when the contact may close.
	openContact = 1e-12
)

func (t *relay) joined() [][2]int {
	out := [][2]int{{0, 1}}
	for c := 2; c < t.ends; c += 3 {
		out = append(out, [2]int{c, c + 1}, [2]int{c, c + 2})
	}
	return out
}

func (t *relay) tune(k tuning) { t.factor = k.value }

func (t *relay) tame(old, next []float64) {}

func (t *relay) flow(v, current, slope []float64) {
	n := t.ends
	resistive(n, v, current, slope, 0, 1, 1/(t.coil*t.factor))
	made, broken := openContact, t.closed
	if t.pulled {
		made, broken = broken, made
	}
	for c := 2; c < n; c += 3 {
		resistive(n, v, current, slope, c, c+1, made)
		resistive(n, v, current, slope, c, c+2, broken)
	}
}

func (t *relay) rest() { t.pulled = false }

func (t *relay) turn(v []float64) bool {
	was, across := t.pulled, math.Abs(v[0]-v[1])
	t.pulled = across >= t.pullIn || (was && across >= releaseShare*t.pullIn)
	return t.pulled != was
}

func (t *relay) mode() int8 { return oneIf(t.pulled) }

func (t *relay) restore(m int8) { t.pulled = m != 0 }

// makeRelay resolves a relay. Where its pull-in voltage is not known it stays
// at rest; a state may throw its contacts by hand.
func makeRelay(r *resolver) func(*assembly) {
	coil := math.Max(r.positive("coil resistance", 500, q.Ohm, trade), leastOhms)
	ohms := r.amount("resistance", 0.05, q.Ohm, trade)
	pullIn := math.Inf(1)
	if f, ok := r.known("pull-in voltage"); ok && f.Value > 0 {
		pullIn = f.Value
	}
	poles := r.part.Poles()
	r.spread(KnobValue, windingTolerance, trade)
	return func(b *assembly) {
		if b.setting.Form == circuit.Thrown {
			b.conductor(b.lead("coil1"), b.lead("coil2"), coil)
			b.throw(poles, b.setting.Contact, ohms)
			return
		}
		ends := []terminal{b.lead("coil1"), b.lead("coil2")}
		for p := range poles {
			for _, l := range []circuit.LeadName{"c", "no", "nc"} {
				ends = append(ends, b.lead(circuit.PoleLead(l, p)))
			}
		}
		b.device(&relay{coil: coil, pullIn: pullIn, closed: 1 / math.Max(ohms, leastOhms), factor: 1, ends: len(ends)}, ends...)
	}
}
