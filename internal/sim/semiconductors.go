package sim

import (
	"math"
	"strings"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// class is what a junction is like where only its class is known. All figures
// are from memory, typical of makers' data sheets.
type class struct {
	drop     float64 // volts at current
	current  float64 // amperes
	emission float64
	series   float64 // ohms
	leak     float64 // siemens, across the junction in reverse
}

// rectifierCurrent is the rated current from which a diode counts as a
// rectifier, so that its forward drop holds at 1 A.
const rectifierCurrent = 0.5

// diodeClass is the class of a diode by material and size.
func diodeClass(material string, rectifier bool) class {
	switch material {
	case "germanium":
		if rectifier {
			return class{0.5, 1, 1.4, 0.1, 1e-6}
		}
		return class{0.45, 0.010, 1.4, 10, 5e-7}
	case "schottky":
		if rectifier {
			return class{0.42, 1, 1.05, 0.05, 1e-6}
		}
		return class{0.38, 0.010, 1.05, 3, 1e-8}
	case "selenium":
		if rectifier {
			return class{1.0, 1, 3, 0.3, 1e-5}
		}
		return class{1.0, 0.010, 3, 20, 1e-6}
	}
	if rectifier {
		return class{0.92, 1, 1.7, 0.04, 1e-9}
	}
	return class{0.73, 0.010, 1.8, 1, 2e-10}
}

// lightClass is the class of a light-emitting diode by colour.
func lightClass(colour string) class {
	drop := map[string]float64{"infrared": 1.2, "red": 1.85, "orange": 2.0, "yellow": 2.05, "green": 2.1, "blue": 3.0, "white": 3.0}
	v, ok := drop[colour]
	if !ok {
		v = drop["red"]
	}
	return class{v, 0.010, 2, 8, 1e-10}
}

// dropSpread is how far forward drops of one type scatter, common practice.
const dropSpread = 0.03

// forward fits the forward law of a junction of a class.
func (r *resolver) forward(c class) law {
	drop, current := r.drop("forward drop", c.drop, c.current, memory)
	return fit(drop, current, c.emission*thermalVoltage(r.opt.Temperature), c.series)
}

// isRectifier tells a rectifier from a small diode: by rated current, by the
// current its drop is given at, or by a well-known type.
func (r *resolver) isRectifier() bool {
	if r.part.Kind == circuit.Bridge {
		return true
	}
	if f, ok := r.lookup("current"); ok {
		return f.Value >= rectifierCurrent
	}
	if f, ok := r.lookup("forward drop"); ok && f.At != nil {
		return *f.At >= rectifierCurrent
	}
	t := strings.ToUpper(strings.ReplaceAll(r.part.Type, " ", ""))
	for _, prefix := range []string{"1N400", "1N540", "1N581", "1N582", "BY"} {
		if strings.HasPrefix(t, prefix) {
			return true
		}
	}
	return false
}

func makeDiode(r *resolver) func(*assembly) {
	c := diodeClass(r.word("material"), r.isRectifier())
	l := r.forward(c)
	r.spread(KnobDrop, dropSpread, trade)
	return func(b *assembly) { b.add(&junction{a: b.lead("a"), k: b.lead("k"), forward: l, leak: c.leak}) }
}

func makeLED(r *resolver) func(*assembly) {
	c := lightClass(r.word("colour"))
	l := r.forward(c)
	// Light-emitting diodes scatter more than plain ones.
	r.spread(KnobDrop, 3*dropSpread, trade)
	return func(b *assembly) { b.add(&junction{a: b.lead("a"), k: b.lead("k"), forward: l, leak: c.leak}) }
}

func makeBridge(r *resolver) func(*assembly) {
	c := diodeClass(r.word("material"), true)
	l := r.forward(c)
	r.spread(KnobDrop, dropSpread, trade)
	return func(b *assembly) {
		for _, ends := range [][2]circuit.LeadName{{"ac1", "+"}, {"ac2", "+"}, {"-", "ac1"}, {"-", "ac2"}} {
			b.add(&junction{a: b.lead(ends[0]), k: b.lead(ends[1]), forward: l, leak: c.leak})
		}
	}
}

// zenerCurrent is where a zener voltage holds unless it says the current.
const zenerCurrent = 0.005

func makeZener(r *resolver) func(*assembly) {
	c := diodeClass("silicon", false)
	l := r.forward(c)
	if _, ok := r.lookup("zener voltage"); !ok {
		r.required("zener voltage", "5.1 V")
	}
	volts, current := r.drop("zener voltage", 5.1, zenerCurrent, memory)
	r.tolerance()
	breakdown := zenerLaw(volts, current, r.amount("power", 0.4, q.Watt, trade))
	return func(b *assembly) {
		b.add(&junction{a: b.lead("a"), k: b.lead("k"), forward: l, leak: c.leak, breakdown: breakdown, zener: true})
	}
}

// zenerLaw fits a breakdown of volts at current. Below about 5 V tunnelling
// makes a soft knee, above it the avalanche is sharper; the dynamic resistance
// is least around 6 to 8 V. More than half of it at 5 mA is the knee's, which
// falls with the current: data sheets state some five times as much at 1 mA.
// A zener of a watt or more has the larger junction and the lower resistance.
func zenerLaw(volts, current, watts float64) law {
	const large, largeShare = 1.0, 0.4
	total := zenerResistance(volts)
	if watts >= large {
		total *= largeShare
	}
	soft := 1 / (1 + math.Pow(volts/5.5, 6))
	knee := total * (0.55 + 0.4*soft)
	nv := min(knee*zenerCurrent, volts/10)
	return fit(volts, current, nv, min(total-knee, volts/4/current))
}

// zenerResistance is the dynamic resistance at 5 mA by voltage, between the
// figures of a common 0.4 W series; typical values, about half of the limits.
func zenerResistance(volts float64) float64 {
	table := [][2]float64{{1, 30}, {2.4, 60}, {3.3, 80}, {4.3, 75}, {5.1, 40}, {5.6, 18}, {6.2, 6}, {6.8, 5},
		{8.2, 6}, {10, 8}, {12, 10}, {15, 13}, {18, 18}, {24, 28}, {33, 40}, {47, 65}, {75, 120}, {200, 600}}
	if volts <= table[0][0] {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		a, b := table[i-1], table[i]
		if volts <= b[0] {
			return a[1] + (b[1]-a[1])*(volts-a[0])/(b[0]-a[0])
		}
	}
	last := table[len(table)-1]
	return last[1] * volts / last[0]
}

// transistorClass is what a transistor is like where only its material and
// size are known. From memory, typical of makers' data sheets; the reverse
// gain of silicon is what a saturation voltage of 90 mV at 10 mA and 0.5 mA
// asks for.
type transistorClass struct {
	drop    float64 // base to emitter, volts at current
	current float64 // collector, amperes
	reverse float64 // gain
	leak    float64 // siemens across each junction
	breaks  float64 // base to emitter in reverse, volts; 0: none to speak of
}

// powerTransistor is the rated current from which a transistor's drop is that
// of a large one.
const powerTransistor = 1.0

func (r *resolver) transistorClass() transistorClass {
	large := false
	if f, ok := r.lookup("current"); ok {
		large = f.Value >= powerTransistor
	}
	if m := r.word("material"); m == "germanium" {
		if large {
			return transistorClass{0.3, 0.1, 5, 1e-7, 0}
		}
		return transistorClass{0.2, 0.002, 5, 1e-8, 0}
	}
	if large {
		return transistorClass{0.63, 0.1, 0.7, 1e-9, 7}
	}
	return transistorClass{0.66, 0.001, 0.7, 1e-10, 7}
}

// How far a gain may be off. One that a person gave was measured, and changes
// with current and temperature; one of the parts shelf is the middle of a
// group; the kind's default says little. Factors less one; common practice.
const (
	gainSpread    = 0.3
	shelfSpread   = 0.5
	unknownSpread = 1.5
)

// bipolar resolves a transistor but for its leads.
func (r *resolver) bipolar() bipolar {
	c := r.transistorClass()
	vt := thermalVoltage(r.opt.Temperature)
	gain := r.positive("gain", 100, q.None, trade)
	drop, current := r.drop("base-emitter voltage", c.drop, c.current, memory)
	proto := bipolar{
		sign: 1, is: current / math.Expm1(drop/vt), vt: vt, gain: gain, reverse: c.reverse, leak: c.leak,
		breaks: c.breaks > 0,
	}
	if r.part.Kind == circuit.PNP {
		proto.sign = -1
	}
	if proto.breaks {
		proto.breakdown = fit(c.breaks, 0.001, 0.05, 20)
	}
	return proto
}

func makeBipolar(r *resolver) func(*assembly) {
	proto := r.bipolar()
	r.gainSpread()
	r.spread(KnobDrop, dropSpread, trade)
	return func(b *assembly) {
		e := proto
		e.c, e.b, e.e = b.lead("c"), b.lead("b"), b.lead("e")
		b.add(&e)
	}
}

func (r *resolver) gainSpread() {
	f, ok := r.lookup("gain")
	switch {
	case ok && f.source == given:
		r.spread(KnobGain, gainSpread, trade)
	case ok && f.source != trade:
		r.spread(KnobGain, shelfSpread, trade)
	default:
		r.spread(KnobGain, unknownSpread, trade)
	}
}
