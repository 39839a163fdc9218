package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// relayMoving is a relay whose armature takes its time. Ends: a node inside
// the coil behind its inductance, coil2, the armature, the reference, then
// common, make and break contact of every pole.
//
// The coil's current decides by the voltage that it would have at rest: from
// pull-in the armature moves from 0 to 1 at its pace, below release back. The
// break contact opens when it has begun to move, the make contact closes when
// it is nearly there; between, neither touches.
//
// Limits: the inductance does not change with the gap; contacts do not bounce.
// Source: operate and release times of small relays, 5 to 10 ms and 2 to 5 ms,
// from memory.
type relayMoving struct {
	coil   float64 // ohms
	pullIn float64 // volts
	closed float64 // siemens
	factor float64
	ends   int
	pulled bool
	touch  int8 // touchBreak, touchNone, touchMake
}

const (
	touchBreak = iota
	touchNone
	touchMake
)

const (
	innerCoil = iota
	outerCoil
	armature
	armatureGround
	firstContact
)

const (
	relayLag = 2e-3 // inductance over resistance of the coil, seconds
	pullTime = 4e-3 // of the armature's way
	fallTime = 2.5e-3
	opensAt  = 0.2 // of the way
	closesAt = 0.9
	endStop  = 0.02 // over which it slows down at its stops

	armatureFarads = 1e-3
)

func (t *relayMoving) joined() [][2]int {
	out := [][2]int{{innerCoil, outerCoil}, {armature, armatureGround}}
	for c := firstContact; c < t.ends; c += 3 {
		out = append(out, [2]int{c, c + 1}, [2]int{c, c + 2})
	}
	return out
}

func (t *relayMoving) tune(k tuning) { t.factor = k.value }

func (t *relayMoving) tame(old, next []float64) {}

func (t *relayMoving) flow(v, current, slope []float64) {
	n := t.ends
	resistive(n, v, current, slope, innerCoil, outerCoil, 1/(t.coil*t.factor))
	t.push(n, v, current, slope)
	made, broken := openContact, openContact
	switch t.touch {
	case touchBreak:
		broken = t.closed
	case touchMake:
		made = t.closed
	}
	for c := firstContact; c < n; c += 3 {
		resistive(n, v, current, slope, c, c+1, made)
		resistive(n, v, current, slope, c, c+2, broken)
	}
}

// push drives the armature, a millifarad with 1 V for the whole way: at its
// pace until it is near the stop.
func (t *relayMoving) push(n int, v, current, slope []float64) {
	stop, pace := 0.0, armatureFarads/fallTime
	if t.pulled {
		stop, pace = 1, armatureFarads/pullTime
	}
	u := (v[armature] - v[armatureGround] - stop) / endStop
	th := math.Tanh(u)
	path(n, current, slope, armature, armatureGround, pace*th, pace*(1-th*th)/endStop, armature, armatureGround)
	resistive(n, v, current, slope, armature, armatureGround, 1e-9)
}

func (t *relayMoving) rest() { t.pulled, t.touch = false, touchBreak }

func (t *relayMoving) turn(v []float64) bool {
	was, touched := t.pulled, t.touch
	across := math.Abs(v[innerCoil] - v[outerCoil])
	t.pulled = across >= t.pullIn || (was && across >= releaseShare*t.pullIn)
	switch way := v[armature] - v[armatureGround]; {
	case way < opensAt:
		t.touch = touchBreak
	case way > closesAt:
		t.touch = touchMake
	default:
		t.touch = touchNone
	}
	return t.pulled != was || t.touch != touched
}

func (t *relayMoving) mode() int8 { return 3*oneIf(t.pulled) + t.touch }

func (t *relayMoving) restore(m int8) { t.pulled, t.touch = m >= 3, m%3 }

func moveRelay(r *resolver, still func(*assembly)) func(*assembly) {
	wire := math.Max(r.positive("coil resistance", 500, q.Ohm, trade), leastOhms)
	ohms := r.amount("resistance", 0.05, q.Ohm, trade)
	pullIn := math.Inf(1)
	if f, ok := r.known("pull-in voltage"); ok && f.Value > 0 {
		pullIn = f.Value
	}
	poles := r.part.Poles()
	return func(b *assembly) {
		if b.setting.Form == circuit.Thrown {
			still(b)
			return
		}
		inside, arm := terminal{node: b.node()}, terminal{node: b.node()}
		b.wind(core{coils: []coil{{a: b.lead("coil1"), b: inside, ohms: leastOhms, turns: 1}}, main: relayLag * wire})
		ends := []terminal{inside, b.lead("coil2"), arm, {}}
		for p := range poles {
			for _, l := range []circuit.LeadName{"c", "no", "nc"} {
				ends = append(ends, b.lead(circuit.PoleLead(l, p)))
			}
		}
		b.device(&relayMoving{coil: wire, pullIn: pullIn, closed: 1 / math.Max(ohms, leastOhms), factor: 1, ends: len(ends)}, ends...)
		b.store(arm, terminal{}, armatureFarads, 0)
	}
}
