package sim

import (
	"math"
	"slices"

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
	case circuit.Supply:
		return moveSupply
	case circuit.Diode, circuit.LED, circuit.Zener, circuit.Bridge:
		return moveDiode
	case circuit.NPN, circuit.PNP:
		return moveBipolar
	case circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP:
		return moveFET
	case circuit.SCR, circuit.Triac:
		return moveThyristor
	case circuit.FlashTube:
		return moveFlashTube
	case circuit.Triode, circuit.Pentode:
		return moveValve
	case circuit.Lamp:
		return moveLamp
	case circuit.Fuse:
		return moveFuse
	case circuit.Relay:
		return moveRelay
	case circuit.Motor:
		return moveMotor
	case circuit.Speaker, circuit.Earphone, circuit.Buzzer:
		return moveSounder
	case circuit.Crystal:
		return moveCrystal
	case circuit.OpAmp:
		return moveOpAmp
	case circuit.Optocoupler:
		return moveOptocoupler
	}
	return nil
}

// helper makes a node that steps are not judged by: what it holds decides
// only when something turns.
func (b *assembly) helper() terminal {
	n := b.node()
	b.inst.helpers = append(b.inst.helpers, n)
	return terminal{node: n}
}

// ownStore is the capacitance, in farads, below which what a part has beside
// its purpose follows the rest of the circuit at once.
const ownStore = 1e-8

// store adds a capacitance between two leads. A few leads' length of wire is
// in every loop, so that no two capacitances lie across each other without
// resistance.
func (b *assembly) store(x, y terminal, farads, ohms float64) {
	if x.node != y.node && farads > 0 {
		kind := b.inst.model.parts[b.index].part.Kind
		own := kind != circuit.Capacitor && kind != circuit.Electrolytic
		b.add(&condenser{a: x, b: y, farads: farads, ohms: math.Max(ohms, leastOhms), own: own && farads < ownStore})
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

// moveInductor is a coil, with iron where its saturation current is known.
func moveInductor(r *resolver, _ func(*assembly)) func(*assembly) {
	henries := r.requiredPositive("value", "10 mH")
	ohms := math.Max(r.positive("resistance", 1, q.Ohm, trade), leastOhms)
	var full *iron
	if f, ok := r.lookup("saturation current"); ok && f.Value > 0 {
		full = &iron{knee: kneeOf(f.Value)}
	}
	return func(b *assembly) {
		b.wind(core{coils: []coil{{a: b.lead("1"), b: b.lead("2"), ohms: ohms, turns: 1}}, main: henries, iron: full})
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
// by the squares of their turns; the share that the coupling leaves is stray.
// Its saturation flux is that of the first winding with the iron full.
func moveTransformer(r *resolver, still func(*assembly)) func(*assembly) {
	own, ok := r.windingInductances()
	if !ok {
		return still
	}
	k := r.amount("coupling", 0.98, q.None, trade)
	if k < 0 || k > 1 {
		r.complain("%s: its coupling must lie between 0 and 1", r.part.Ref)
	}
	k = math.Min(math.Abs(k), tightest)
	proto := core{main: k * own[0], lag: coreLoss}
	if f, ok := r.lookup("saturation flux"); ok && f.Value > 0 && k > 0 {
		proto.iron = &iron{knee: f.Value / proto.main}
	}
	for i, w := range r.part.Windings {
		ohms := float64(unknownWinding)
		if w.Resistance != nil {
			ohms = math.Max(*w.Resistance, leastOhms)
		}
		proto.coils = append(proto.coils, coil{ohms: ohms, turns: math.Sqrt(own[i] / own[0]), stray: (1 - k) * own[i]})
	}
	return func(b *assembly) {
		e := proto
		e.coils = slices.Clone(proto.coils)
		for i, w := range r.part.Windings {
			e.coils[i].a, e.coils[i].b = b.lead(w.First()), b.lead(w.Second())
		}
		b.wind(e)
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
