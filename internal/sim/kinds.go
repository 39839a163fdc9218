package sim

import (
	"math"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// maker resolves a part's parameters and returns what builds its elements in
// every instance.
type maker func(r *resolver) func(b *assembly)

// builderOf returns the maker of a kind, nil where it has no model.
func builderOf(k circuit.Kind) maker {
	switch k {
	case circuit.Resistor, circuit.Thermistor, circuit.Photocell:
		return makeResistor
	case circuit.Potentiometer:
		return makePotentiometer
	case circuit.Capacitor, circuit.Electrolytic:
		return makeCapacitor
	case circuit.Crystal, circuit.Connector, circuit.TestPoint:
		return makeOpen
	case circuit.Inductor, circuit.Speaker, circuit.Earphone, circuit.Buzzer, circuit.Motor, circuit.MeterMovement:
		return makeCoil
	case circuit.Transformer:
		return makeTransformer
	case circuit.Diode:
		return makeDiode
	case circuit.LED:
		return makeLED
	case circuit.Zener:
		return makeZener
	case circuit.Bridge:
		return makeBridge
	case circuit.NPN, circuit.PNP:
		return makeBipolar
	case circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP:
		return makeFET
	case circuit.UJT:
		return makeUnijunction
	case circuit.SCR, circuit.Triac:
		return makeThyristor
	case circuit.Neon, circuit.GasTube:
		return makeGas
	case circuit.FlashTube:
		return makeFlashTube
	case circuit.Triode, circuit.Pentode:
		return makeValve
	case circuit.OpAmp:
		return makeOpAmp
	case circuit.Regulator:
		return makeRegulator
	case circuit.Optocoupler:
		return makeOptocoupler
	case circuit.Timer555:
		return makeTimer555
	case circuit.Lamp:
		return makeLamp
	case circuit.Fuse, circuit.Heater:
		return makeRated
	case circuit.Switch:
		return makeSwitch
	case circuit.Changeover:
		return makeChangeover
	case circuit.Relay:
		return makeRelay
	case circuit.Battery, circuit.Supply:
		return makeSource
	case circuit.Signal:
		return makeSignal
	}
	return nil
}

// Modelled tells whether a kind has a model.
func Modelled(k circuit.Kind) bool { return builderOf(k) != nil }

// makeResistor is value ohms between 1 and 2.
func makeResistor(r *resolver) func(*assembly) {
	ohms := r.required("value", "4.7 kΩ")
	r.tolerance()
	return func(b *assembly) { b.conductor(b.lead("1"), b.lead("2"), ohms) }
}

// endShare is the part of a track that the wiper can't leave at either end,
// common practice: a control at its stop is never quite 0 Ω.
const endShare = 0.001

// makePotentiometer is two resistances that the setting divides the track in.
func makePotentiometer(r *resolver) func(*assembly) {
	ohms := r.required("value", "10 kΩ")
	taper := r.word("taper")
	r.tolerance()
	return func(b *assembly) {
		lower := taperShare(taper, min(max(b.setting.Position, 0), 1))
		lower = min(max(lower, endShare), 1-endShare)
		b.conductor(b.lead("1"), b.lead("w"), lower*ohms)
		b.conductor(b.lead("w"), b.lead("2"), (1-lower)*ohms)
	}
}

// taperShare is the share of the resistance at a share x of the turn. A
// logarithmic track has a tenth of its resistance at half its turn, common
// practice.
func taperShare(taper string, x float64) float64 {
	log := func(x float64) float64 { return (math.Pow(81, x) - 1) / 80 }
	switch taper {
	case "log":
		return log(x)
	case "antilog":
		return 1 - log(1-x)
	}
	return x
}

// makeCapacitor is open for direct current, or its leakage where it is known:
// an insulation resistance, or a current at the rated voltage.
func makeCapacitor(r *resolver) func(*assembly) {
	leads := r.info.Leads
	leak, ok := r.known("leakage")
	if !ok {
		return makeOpen(r)
	}
	ohms := leak.Value
	if leak.Unit == q.Ampere {
		rated, ok := r.known("voltage")
		if !ok || leak.Value <= 0 {
			r.complain("%s: its leakage current holds at the rated voltage, which is not known; give voltage, or the leakage in ohms", r.part.Ref)
			return makeOpen(r)
		}
		ohms = rated.Value / leak.Value
	}
	return func(b *assembly) { b.conductor(b.lead(leads[0]), b.lead(leads[1]), ohms) }
}

// makeOpen is nothing at all for direct current.
func makeOpen(*resolver) func(*assembly) { return func(*assembly) {} }

// windingTolerance is how far a winding's resistance is known, common
// practice: wire gauge and temperature.
const windingTolerance = 0.1

// makeCoil is the resistance of what is wound between 1 and 2.
func makeCoil(r *resolver) func(*assembly) {
	ohms := r.positive("resistance", 1, q.Ohm, trade)
	r.spread(KnobValue, windingTolerance, trade)
	return func(b *assembly) { b.conductor(b.lead("1"), b.lead("2"), ohms) }
}

// unknownWinding stands for a winding whose resistance nobody gave.
const unknownWinding = 10

// makeTransformer is the resistance of every winding.
func makeTransformer(r *resolver) func(*assembly) {
	ws := r.part.Windings
	ohms := make([]float64, len(ws))
	for i, w := range ws {
		ohms[i] = unknownWinding
		source := trade
		if w.Resistance != nil {
			ohms[i], source = *w.Resistance, given
		}
		r.note(w.Name+" resistance", ohms[i], q.Ohm, source)
	}
	r.spread(KnobValue, windingTolerance, trade)
	return func(b *assembly) {
		for i, w := range ws {
			b.conductor(b.lead(w.First()), b.lead(w.Second()), ohms[i])
		}
	}
}

// rated is the resistance of a part that is known by its rating: given, or
// rated voltage over rated current, or the default.
func (r *resolver) rated(def float64, source string) float64 {
	if f, ok := r.known("resistance"); ok {
		return math.Abs(f.Value)
	}
	v, okV := r.known("voltage")
	i, okI := r.known("current")
	if okV && okI && v.Value > 0 && i.Value > 0 {
		return v.Value / i.Value
	}
	r.note("resistance", def, q.Ohm, source)
	return def
}

// fuseDrop is what a cartridge fuse drops at its rated current when cold.
const fuseDrop = 0.1

// makeRated is a heater or a fuse: a plain resistance.
func makeRated(r *resolver) func(*assembly) {
	var ohms float64
	if r.part.Kind == circuit.Fuse {
		ohms = fuseOhms(r)
	} else {
		ohms = r.rated(100, trade)
	}
	r.spread(KnobValue, windingTolerance, trade)
	return func(b *assembly) { b.conductor(b.lead("1"), b.lead("2"), ohms) }
}

// fuseOhms is a fuse's own resistance. Its rated voltage is what it may
// interrupt, so it says nothing of the resistance.
func fuseOhms(r *resolver) float64 {
	if f, ok := r.known("resistance"); ok {
		return math.Abs(f.Value)
	}
	ohms := 0.1
	if i, ok := r.known("current"); ok && i.Value > 0 {
		ohms = fuseDrop / i.Value
	}
	r.note("resistance", ohms, q.Ohm, memory)
	return ohms
}

// filament is the cold resistance and the rated power of a lamp, whose rating
// gives its hot resistance.
func (r *resolver) filament() (cold, rated float64) {
	hot := max(r.rated(60, trade), leastOhms)
	volts := 6.0
	if v, ok := r.known("voltage"); ok && v.Value > 0 {
		volts = v.Value
	} else if i, ok := r.known("current"); ok && i.Value > 0 {
		volts = hot * i.Value
	}
	return hot / hotRatio, volts * volts / hot
}

// makeLamp is a filament in thermal balance.
func makeLamp(r *resolver) func(*assembly) {
	cold, rated := r.filament()
	r.spread(KnobValue, windingTolerance, trade)
	return func(b *assembly) { b.add(&filament{a: b.lead("1"), b: b.lead("2"), cold: cold, rated: rated}) }
}

// makeSwitch is a contact in every pole, closed or absent.
func makeSwitch(r *resolver) func(*assembly) {
	ohms := r.amount("resistance", 0.05, q.Ohm, trade)
	poles := r.part.Poles()
	return func(b *assembly) {
		if b.setting.Form != circuit.Closed {
			return
		}
		for p := range poles {
			b.contact(b.lead(circuit.PoleLead("1", p)), b.lead(circuit.PoleLead("2", p)), ohms)
		}
	}
}

// makeChangeover is a contact in every pole from c to where it is thrown.
func makeChangeover(r *resolver) func(*assembly) {
	ohms := r.amount("resistance", 0.05, q.Ohm, trade)
	poles := r.part.Poles()
	return func(b *assembly) {
		if b.setting.Form == circuit.Open {
			return
		}
		b.throw(poles, b.setting.Contact, ohms)
	}
}

// throw closes c to no or nc in every pole; nc where nothing is said.
func (b *assembly) throw(poles int, contact circuit.LeadName, ohms float64) {
	if contact != "no" {
		contact = "nc"
	}
	for p := range poles {
		b.contact(b.lead(circuit.PoleLead("c", p)), b.lead(circuit.PoleLead(contact, p)), ohms)
	}
}

// makeSource is a voltage behind its inner resistance, or nothing when off.
func makeSource(r *resolver) func(*assembly) {
	volts := r.required("voltage", "9 V")
	ohms := math.Abs(r.amount("resistance", 0, q.Ohm, trade))
	r.tolerance()
	return sourceBuilder(volts, ohms)
}

// makeSignal is its inner resistance: at direct current it gives no voltage.
func makeSignal(r *resolver) func(*assembly) {
	return sourceBuilder(0, math.Abs(r.amount("resistance", 50, q.Ohm, trade)))
}

func sourceBuilder(volts, ohms float64) func(*assembly) {
	return func(b *assembly) {
		if b.setting.Form != circuit.Off {
			b.add(&source{plus: b.lead("+"), minus: b.lead("-"), volts: volts, ohms: ohms})
		}
	}
}
