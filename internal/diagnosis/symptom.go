package diagnosis

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// A symptom is a coarse reading: what is seen depends on how much the part
// does against the same part in a good unit. Direct current tells that for
// lamps, motors and pointers; for a loudspeaker it tells whether the stages
// before it stand where they should.

// sense is how a word bears on what a part does.
type sense int

const (
	actSense   sense = iota // activity against that of a good unit
	soundSense              // whether the way of the sound is as in a good unit
	hotSense                // power against a good unit's
	blowSense               // a fuse's current against its rating
)

// word is what one word of the contract expects: the range of activity, as a
// ratio to a good unit's, in which it is likely.
type word struct {
	sense     sense
	low, high float64
}

// wordOf knows the words that carry weight here; the others of the contract
// (hum, distorted, flickers…) need more than direct current.
func wordOf(seen string, k circuit.Kind) (word, bool) {
	quiet := actSense
	if sounds(k) {
		quiet = soundSense
	}
	switch seen {
	case "normal":
		return word{quiet, 0.7, 1.4}, true
	case "stays lit":
		return word{actSense, 0.7, 1.4}, true
	case "silent":
		return word{soundSense, 0, 0.06}, true
	case "weak":
		return word{soundSense, 0.05, 0.75}, true
	case "dark", "stands still", "does not move":
		return word{actSense, 0, 0.06}, true
	case "dim", "reads low", "too slow":
		return word{actSense, 0.05, 0.75}, true
	case "bright", "reads high", "too fast":
		return word{actSense, 1.3, math.Inf(1)}, true
	case "hot":
		return word{hotSense, 2, math.Inf(1)}, true
	case "blows":
		return word{blowSense, 1.3, math.Inf(1)}, k == circuit.Fuse
	}
	return word{}, false
}

const (
	// seenRight and seenWrong are the chances that a person says the word
	// when it fits and when it doesn't. Common practice.
	seenRight = 0.9
	seenWrong = 0.06
	// soundWrong is the same for sounds: much that silences a unit is not to
	// be seen in its direct voltages.
	soundWrong = 0.25
	// edge is how soft the ends of a word's range are, in logarithm.
	edge = 0.4
	// idle is the activity below which a part does nothing: the floor of ratios.
	idle = 0.01
	// busy is the ratio given to a part that should rest and doesn't.
	busy = 10
)

// chance is the probability of the word at a ratio.
func (w word) chance(ratio float64) float64 {
	x := math.Log(math.Max(ratio, idle))
	in := 1.0
	if w.low > 0 {
		in *= soft((x - math.Log(w.low)) / edge)
	}
	if !math.IsInf(w.high, 1) {
		in *= soft((math.Log(w.high) - x) / edge)
	}
	wrong := seenWrong
	if w.sense == soundSense {
		wrong = soundWrong
	}
	return wrong + (seenRight-wrong)*in
}

func soft(x float64) float64 { return 1 / (1 + math.Exp(-4*x)) }

// symptomWeights is the log likelihood of the symptoms under every stratum.
func (p *Predictor) symptomWeights(ctx context.Context, symptoms []Symptom) (weights []float64, unknown []Symptom, err error) {
	weights = make([]float64, len(p.strata))
	for _, s := range symptoms {
		part, ok := p.circuit.Part(s.Part)
		if !ok {
			return nil, nil, fmt.Errorf("symptom %q: there is no part %s in the circuit; correct or remove it", s.Seen, s.Part)
		}
		w, ok := wordOf(s.Seen, part.Kind)
		if !ok {
			unknown = append(unknown, s)
			continue
		}
		ratios, err := p.ratios(ctx, s, part, w)
		if err != nil {
			return nil, nil, err
		}
		for i, st := range p.strata {
			low, high := w.chance(ratios[st.low]), w.chance(ratios[st.high])
			weights[i] += math.Log(p.heard(st, part, w, (low+high)/2))
		}
	}
	return weights, unknown, nil
}

// sounds tells what one listens to; a connector may lead to such a part.
func sounds(k circuit.Kind) bool {
	return k == circuit.Speaker || k == circuit.Earphone || k == circuit.Buzzer || k == circuit.Connector
}

// heard corrects the chance for faults that direct current doesn't show: a
// sound goes through capacitors, and ends in its own coil.
func (p *Predictor) heard(st stratum, part circuit.Part, w word, chance float64) float64 {
	f := p.faults[st.fault]
	if w.sense != soundSense {
		return chance
	}
	if f.Part == part.Ref {
		return math.Max(chance, w.chance(idle))
	}
	failing, ok := p.circuit.Part(f.Part)
	if !ok || !isCapacitor(failing.Kind) || st.low != healthyRung {
		return chance
	}
	// Lost in series it silences, lost at an emitter or a supply it weakens;
	// which of the two a stage shows, direct current doesn't tell.
	likely := 0.6 * math.Max(w.chance(idle), w.chance(0.4))
	if !p.couples(failing) {
		likely = 0.5 * w.chance(0.4)
	}
	return math.Max(chance, likely)
}

// couples tells a capacitor in the way of a signal from one that holds a net
// still.
func (p *Predictor) couples(c circuit.Part) bool {
	quiet := map[circuit.NetID]bool{p.circuit.Common: true}
	for _, part := range p.circuit.Parts {
		if part.Kind == circuit.Battery || part.Kind == circuit.Supply {
			for _, l := range part.Leads {
				quiet[l.Net] = true
			}
		}
	}
	return !quiet[c.Leads[0].Net] && !quiet[c.Leads[1].Net]
}

// ratios is the activity of the part under every rung against the good unit's.
func (p *Predictor) ratios(ctx context.Context, s Symptom, part circuit.Part, w word) ([]float64, error) {
	state, key, err := p.electrical(meter.VoltsDC, s.State)
	if err != nil {
		return nil, fmt.Errorf("symptom %s %s: %w", s.Part, s.Seen, err)
	}
	start, err := p.start(ctx, state, key)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(p.rungs))
	good := activity(p.circuit, start, part, w)
	for i, b := range p.rungs {
		out[i] = 1
		in := p.instance(b, state, key)
		if in == nil {
			continue
		}
		sol, err := in.Solve(ctx, nil, b.from(start))
		if err != nil && !sim.IsRefusal(err) {
			return nil, err
		}
		if err == nil {
			out[i] = p.ratio(start, sol, part, w, good)
		}
	}
	return out, nil
}

func (p *Predictor) ratio(start, sol *sim.Solution, part circuit.Part, w word, good float64) float64 {
	if w.sense == soundSense {
		return soundness(p.circuit, start, sol)
	}
	now := activity(p.circuit, sol, part, w)
	if w.sense == blowSense {
		return now
	}
	const nothing = 1e-6 // amperes, watts or volts: the part rests in a good unit
	if good < nothing {
		if now > 100*nothing {
			return busy
		}
		return 1
	}
	return now / good
}

// activity is how much a part does: the power of what glows or warms, the
// current of what turns or points, for a fuse its current against the rating,
// for a connector the voltage that it hands on.
func activity(c *circuit.Circuit, sol *sim.Solution, part circuit.Part, w word) float64 {
	if sol == nil {
		return 0
	}
	lead := part.Leads[0].Name
	i, _ := sol.Current(part.Ref, lead)
	switch {
	case w.sense == blowSense:
		rated, ok := part.Amount("current")
		if !ok || rated <= 0 {
			return math.Abs(i)
		}
		return math.Abs(i) / rated
	case w.sense == hotSense:
		return math.Abs(sol.Power(part.Ref)) + 1e-3
	case part.Kind == circuit.LED:
		return math.Max(i, 0)
	case part.Kind == circuit.Lamp || part.Kind == circuit.Heater:
		return sol.Power(part.Ref)
	}
	if part.Kind == circuit.Connector && len(part.Leads) > 1 {
		v, _ := sol.Between(part.Leads[0].Net, part.Leads[1].Net)
		return math.Abs(v)
	}
	return math.Abs(i)
}

// soundness is how far the worst transistor is from where it stands in a good
// unit: 1 as there, 0 cut off or saturated.
func soundness(c *circuit.Circuit, good, now *sim.Solution) float64 {
	if good == nil {
		return 1
	}
	worst := 1.0
	for _, part := range c.Parts {
		if part.Kind != circuit.NPN && part.Kind != circuit.PNP {
			continue
		}
		i0, _ := good.Current(part.Ref, "c")
		i1, _ := now.Current(part.Ref, "c")
		v0, _ := good.Between(part.Net("c"), part.Net("e"))
		v1, _ := now.Between(part.Net("c"), part.Net("e"))
		if math.Abs(i0) < 1e-6 || math.Abs(v0) < 0.5 {
			continue // it amplifies nothing in the good unit either
		}
		current := math.Min(math.Abs(i1/i0), 1)
		room := math.Max(0, math.Min((math.Abs(v1)-0.2)/(math.Abs(v0)-0.2), 1))
		worst = math.Min(worst, math.Min(current, room))
	}
	return worst
}
