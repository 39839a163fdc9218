package sim

import (
	"fmt"
	"math"
	"strings"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// mover turns the builder of a part at rest into the one of a part that moves.
type mover func(r *resolver, still func(*assembly)) func(*assembly)

// moverOf returns the mover of a kind, nil where the law at rest serves at
// every instant.
func moverOf(k circuit.Kind) mover {
	switch k {
	case circuit.Capacitor, circuit.Electrolytic:
		return moveCapacitor
	case circuit.Inductor:
		return moveInductor
	case circuit.Transformer:
		return moveTransformer
	case circuit.Signal:
		return moveSignal
	case circuit.Diode, circuit.LED, circuit.Zener, circuit.Bridge:
		return moveDiode
	case circuit.NPN, circuit.PNP:
		return moveBipolar
	case circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP:
		return moveFET
	case circuit.OpAmp:
		return moveOpAmp
	case circuit.Relay:
		return moveRelay
	case circuit.FlashTube:
		return refuse("its trigger is not followed; leave it out to see its capacitor charge")
	case circuit.Crystal:
		return refuse("its resonance is not followed; put a signal source in its place")
	}
	return nil
}

// UnmovingError lists parts whose behaviour over time has no model.
type UnmovingError struct {
	Parts []Unmodelled
	Why   []string // of each part, and what to do
}

// Error names the parts, each with what to do.
func (e *UnmovingError) Error() string {
	var all []string
	for i, p := range e.Parts {
		noun := string(p.Kind)
		if info, ok := circuit.Lookup(p.Kind); ok {
			noun = info.Noun
		}
		all = append(all, fmt.Sprintf("%s (%s): %s", p.Part, noun, e.Why[i]))
	}
	return "no waveforms: " + strings.Join(all, "; ")
}

// refuse is the mover of a kind that can't be followed.
func refuse(why string) mover {
	return func(*resolver, func(*assembly)) func(*assembly) {
		return func(b *assembly) { b.refuse(why) }
	}
}

func (b *assembly) refuse(why string) {
	part := b.inst.model.parts[b.index].part
	if b.inst.refused == nil {
		b.inst.refused = &UnmovingError{}
	}
	b.inst.refused.Parts = append(b.inst.refused.Parts, Unmodelled{part.Ref, part.Kind})
	b.inst.refused.Why = append(b.inst.refused.Why, why)
}

// moveRelay refuses what its contacts do by themselves; thrown by the state
// it is a coil's resistance and fixed contacts.
func moveRelay(_ *resolver, still func(*assembly)) func(*assembly) {
	return func(b *assembly) {
		if b.setting.Form != circuit.Thrown {
			b.refuse("the motion of its contacts is not followed; let the state throw them")
			return
		}
		still(b)
	}
}

// store adds a capacitance between two leads. A few leads' length of wire is
// in every loop, so that no two capacitances lie across each other without
// resistance.
func (b *assembly) store(x, y terminal, farads, ohms float64) {
	if x.node != y.node && farads > 0 {
		b.add(&condenser{a: x, b: y, farads: farads, ohms: math.Max(ohms, leastOhms)})
	}
}

func moveCapacitor(r *resolver, still func(*assembly)) func(*assembly) {
	farads := r.requiredPositive("value", "100 nF")
	ohms := 0.0
	if f, ok := r.lookup("series resistance"); ok {
		ohms = math.Abs(f.Value)
	}
	leads := r.info.Leads
	return func(b *assembly) {
		still(b) // its leakage
		b.store(b.lead(leads[0]), b.lead(leads[1]), farads, ohms)
	}
}

// requiredPositive is a parameter that nothing can stand in for and that
// can't be nothing, within what a bench has.
func (r *resolver) requiredPositive(name, example string) float64 {
	v := r.required(name, example)
	if v < leastStore || v > mostStore {
		r.complain("%s: its %s must be above nothing (%s: %s)", r.part.Ref, name, name, example)
		return 1
	}
	return v
}

// leastStore and mostStore bound capacitances and inductances, in farads or
// henries: beyond them nothing on a bench is meant.
const (
	leastStore = 1e-18
	mostStore  = 1e6
)

func moveInductor(r *resolver, _ func(*assembly)) func(*assembly) {
	henries := r.requiredPositive("value", "10 mH")
	ohms := math.Max(r.positive("resistance", 1, q.Ohm, trade), leastOhms)
	limit, text := 0.0, ""
	if f, ok := r.lookup("saturation current"); ok && f.Value > 0 {
		limit = f.Value * henries
		text = fmt.Sprintf("%s passes its saturation current of %s; the waveforms take its inductance as constant",
			r.part.Ref, q.Format(f.Value, q.Ampere, 3))
	}
	return func(b *assembly) {
		c := coil{a: b.lead("1"), b: b.lead("2"), ohms: ohms}
		b.add(&core{coils: []coil{c}, m: []float64{henries}, limit: limit, overfull: text})
	}
}

// tightest is the closest coupling: at 1 two windings would be one.
const tightest = 1 - 1e-9

// coreLoss is how far the flux of a transformer lags behind its currents, in
// seconds: a quality of 400 at 20 kHz, falling with the frequency, more than
// cores have (common practice). It damps the ringing of the stray inductance
// with the few picofarads about it, which would go on for thousands of periods.
const coreLoss = 20e-9

// moveTransformer is coupled windings. The inductance of one is that of all,
// by the squares of their turns.
func moveTransformer(r *resolver, still func(*assembly)) func(*assembly) {
	own, ok := r.windingInductances()
	if !ok {
		return still
	}
	n := len(own)
	k := r.amount("coupling", 0.98, q.None, trade)
	if k < 0 || k > 1 {
		r.complain("%s: its coupling must lie between 0 and 1", r.part.Ref)
	}
	k = math.Min(math.Abs(k), tightest)
	m := make([]float64, n*n)
	for i := range n {
		for j := range n {
			m[i*n+j] = k * math.Sqrt(own[i]*own[j])
		}
		m[i*n+i] = own[i]
	}
	limit, text := 0.0, ""
	if f, ok := r.lookup("saturation flux"); ok && f.Value > 0 {
		limit = f.Value
		text = fmt.Sprintf("the core of %s passes its saturation flux of %s; the waveforms take its inductance as constant",
			r.part.Ref, q.Format(f.Value, q.VoltSecond, 3))
	}
	return func(b *assembly) {
		e := &core{m: m, lag: coreLoss, limit: limit, overfull: text}
		for _, w := range r.part.Windings {
			ohms := float64(unknownWinding)
			if w.Resistance != nil {
				ohms = math.Max(*w.Resistance, leastOhms)
			}
			e.coils = append(e.coils, coil{a: b.lead(w.First()), b: b.lead(w.Second()), ohms: ohms})
		}
		b.add(e)
	}
}

// windingInductances are the inductances of all windings of a transformer.
func (r *resolver) windingInductances() (own []float64, ok bool) {
	ws := r.part.Windings
	var perTurn float64
	for _, w := range ws {
		if w.Turns <= 0 {
			r.complain("%s: winding %s has no turns; give them (turns: 100)", r.part.Ref, w.Name)
			return nil, false
		}
		if perTurn == 0 && w.Inductance != nil {
			perTurn = *w.Inductance / (w.Turns * w.Turns)
		}
	}
	if !(perTurn > 0) {
		r.complain("%s: the inductance of none of its windings is known; give one (inductance: {primary: 220 µH})", r.part.Ref)
		return nil, false
	}
	own = make([]float64, len(ws))
	for i, w := range ws {
		own[i] = perTurn * w.Turns * w.Turns
		if w.Inductance != nil {
			own[i] = *w.Inductance
		}
		if !(own[i] >= leastStore && own[i] <= mostStore) {
			r.complain("%s: winding %s would have %s, which is beyond anything on a bench",
				r.part.Ref, w.Name, q.Format(own[i], q.Henry, 3))
			return nil, false
		}
	}
	return own, true
}

// moveSignal is a source with a waveform.
func moveSignal(r *resolver, _ func(*assembly)) func(*assembly) {
	volts := r.required("voltage", "1 V")
	ohms := math.Abs(r.amount("resistance", 50, q.Ohm, trade))
	hertz := r.positive("frequency", 1000, q.Hertz, trade)
	shape := r.word("shape")
	return func(b *assembly) {
		if b.setting.Form == circuit.Off {
			return
		}
		src := &source{plus: b.lead("+"), minus: b.lead("-"), volts: peakOf(shape, volts), ohms: ohms}
		b.add(src)
		b.inst.waves = append(b.inst.waves, &wave{src: src, shape: shape, peak: src.volts, period: 1 / hertz})
	}
}
