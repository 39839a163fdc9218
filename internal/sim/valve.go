package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// valve is a triode or pentode by the space-charge law. Ends: anode, control
// grid, screen, suppressor, cathode; a triode uses the first two and the last.
//
//	Ik = K·E^1.5,  E = Vg + Va/µ + Vc (triode),  E = Vg + Vs/µ + Vc (pentode)
//
// A positive grid draws Kg·Vg^1.5. At anode voltages of a few volts the
// current goes over to the other electrodes.
//
// Vc is the contact potential; one value brings the mutual conductances of
// small valves together with their anode currents.
//
// Limits: no heater, no secondary emission; µ does not fall with current.
// Source: I. Langmuir, K. B. Blodgett, Phys. Rev. 22 (1923) 347–356; equivalent
// diode voltage after H. J. Reich, Theory and Applications of Electron Tubes,
// 1939 (from memory).
type valve struct {
	pentode bool
	mu      float64
	k       float64 // A/V^1.5
	gain    float64
}

const (
	anode = iota
	grid
	screen
	suppressor
	cathode
)

const (
	// anodeKnee is the anode voltage at which half of the current that can
	// reach the anode does.
	triodeKnee, pentodeKnee = 2.0, 12.0
	// anodeShare is the anode's part of a pentode's cathode current.
	anodeShare = 0.8
	// contactVolts fits the data-sheet points of ECC82 and ECC83 (from memory).
	contactVolts = 0.6
	// valveLeak is the insulation between the electrodes of a valve.
	valveLeak = 1e-11
)

func (t *valve) joined() [][2]int {
	pairs := [][2]int{{anode, cathode}, {grid, cathode}}
	if t.pentode {
		pairs = append(pairs, [2]int{screen, cathode}, [2]int{suppressor, cathode})
	}
	return pairs
}

func (t *valve) tune(k tuning) { t.gain = k.gain }

func (t *valve) tame(old, next []float64) {}

// space is k·x₊^1.5 with its slope.
func space(k, x float64) (i, g float64) {
	y, dy := smoothPositive(x, 0.02)
	root := math.Sqrt(y)
	return k * y * root, 1.5 * k * root * dy
}

// share is the part of the current that an anode at v takes, with its slope.
func share(v, knee float64) (f, df float64) {
	y, dy := smoothPositive(v, 0.02)
	return y / (y + knee), knee / ((y + knee) * (y + knee)) * dy
}

func (t *valve) flow(v, current, slope []float64) {
	const n = 5
	drive, knee, part := anode, triodeKnee, 1.0
	if t.pentode {
		drive, knee, part = screen, pentodeKnee, anodeShare
	}
	k := t.k * t.gain
	ik, gk := space(k/part, v[grid]-v[cathode]+(v[drive]-v[cathode])/t.mu+contactVolts)
	f, df := share(v[anode]-v[cathode], knee)
	f, df = f*part, df*part
	// The anode's part of the cathode current.
	path(n, current, slope, anode, cathode, ik*f, ik*df, anode, cathode)
	path(n, current, slope, anode, cathode, 0, gk*f, grid, cathode)
	path(n, current, slope, anode, cathode, 0, gk*f/t.mu, drive, cathode)
	if t.pentode {
		path(n, current, slope, screen, cathode, ik*(1-f), -ik*df, anode, cathode)
		path(n, current, slope, screen, cathode, 0, gk*(1-f), grid, cathode)
		path(n, current, slope, screen, cathode, 0, gk*(1-f)/t.mu, screen, cathode)
	}
	ig, gg := space(k, v[grid]-v[cathode])
	path(n, current, slope, grid, cathode, ig, gg, grid, cathode)
	for _, p := range t.joined() {
		resistive(n, v, current, slope, p[0], p[1], valveLeak)
	}
}

// perveance of a receiving valve where the current of its mutual conductance
// is not known, from memory.
const perveance = 1e-3

// makeValve resolves a valve: K from the mutual conductance at an anode
// current, gm = 1.5·K^(2/3)·Ia^(1/3).
func makeValve(r *resolver) func(*assembly) {
	t := valve{pentode: r.part.Kind == circuit.Pentode, gain: 1, k: perveance}
	t.mu = r.positive("amplification factor", 20, q.None, memory)
	if t.pentode && t.mu > 60 {
		t.mu = 20 // the factor given is that of the anode; the screen's is meant here
	}
	gm, ok := r.known("mutual conductance")
	if ok && gm.Value > 0 && gm.At != nil {
		t.k = math.Pow(gm.Value/1.5, 1.5) / math.Sqrt(*gm.At)
	}
	r.spread(KnobGain, gainSpread, trade)
	return func(b *assembly) {
		e := t
		if !e.pentode {
			b.device(&e, b.lead("a"), b.lead("g"), terminal{}, terminal{}, b.lead("k"))
			return
		}
		b.device(&e, b.lead("a"), b.lead("g1"), b.lead("g2"), b.lead("g3"), b.lead("k"))
	}
}
