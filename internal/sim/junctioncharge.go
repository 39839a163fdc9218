package sim

import (
	"math"
	"strings"

	"foilside/internal/circuit"
	q "foilside/internal/quantity"
)

// stock is how much a junction of a class stores: its barrier at no voltage,
// and the time that its carriers take. From memory, typical of makers' data
// sheets; a diode's time is about its reverse recovery time over three.
type stock struct {
	farads  float64
	transit float64 // seconds
}

// barrierVolts is the built-in voltage of a junction.
const barrierVolts = 0.7

// diodeStock is what a diode stores. Fast rectifiers are told by their types.
func (r *resolver) diodeStock() stock {
	switch r.part.Kind {
	case circuit.Zener:
		return stock{200e-12, 50e-9}
	case circuit.LED:
		return stock{30e-12, 20e-9}
	}
	switch material := r.word("material"); {
	case material == "schottky" && r.isRectifier():
		return stock{200e-12, 0}
	case material == "schottky":
		return stock{2e-12, 0}
	case material == "germanium" && r.isRectifier():
		return stock{100e-12, 5e-6}
	case material == "germanium":
		return stock{1e-12, 50e-9}
	case material == "selenium":
		return stock{2e-9, 10e-6}
	case !r.isRectifier():
		return stock{2e-12, 3e-9}
	}
	t := strings.ToUpper(strings.ReplaceAll(r.part.Type, " ", ""))
	for _, fast := range []string{"UF", "BYV", "BYW", "BYT", "BA15", "MUR", "FR", "1N49"} {
		if strings.HasPrefix(t, fast) {
			return stock{25e-12, 50e-9}
		}
	}
	return stock{30e-12, 1.5e-6}
}

// reserve places a junction's charge from a to b.
func (b *assembly) reserve(x, y terminal, holds charging) {
	if x.node != y.node {
		b.add(&reservoir{a: x, b: y, holds: holds})
	}
}

// moveDiode adds the charge of every junction. A zener's or a bridge's diodes
// are alike.
func moveDiode(r *resolver, still func(*assembly)) func(*assembly) {
	s := r.diodeStock()
	var l law
	switch r.part.Kind {
	case circuit.LED:
		l = r.forward(lightClass(r.word("colour")))
	case circuit.Zener:
		l = r.forward(diodeClass("silicon", false))
	default:
		l = r.forward(diodeClass(r.word("material"), r.isRectifier()))
	}
	holds := func() charging {
		return &diodeCharge{barrier: depletion{s.farads, barrierVolts}, forward: l, turned: l, transit: s.transit}
	}
	return func(b *assembly) {
		still(b)
		if r.part.Kind != circuit.Bridge {
			b.reserve(b.lead("a"), b.lead("k"), holds())
			return
		}
		for _, ac := range []circuit.LeadName{"ac1", "ac2"} {
			b.reserve(b.lead(ac), b.lead("+"), holds())
			b.reserve(b.lead("-"), b.lead(ac), holds())
		}
	}
}

// transistorStock is what a transistor stores: emitter and collector side.
// The forward time is 1/(2π·fT) for 200 MHz (small silicon), 3 MHz (large),
// 2 MHz (small germanium) and 0.3 MHz; the reverse time gives storage times
// of 0.2 µs, 2 µs, 1 µs and 10 µs at a forced gain of ten.
func (r *resolver) transistorStock() (emitter, collector stock) {
	large := false
	if f, ok := r.lookup("current"); ok {
		large = f.Value >= powerTransistor
	}
	switch germanium := r.word("material") == "germanium"; {
	case germanium && large:
		return stock{500e-12, 500e-9}, stock{300e-12, 3e-6}
	case germanium:
		return stock{20e-12, 80e-9}, stock{15e-12, 300e-9}
	case large:
		return stock{250e-12, 50e-9}, stock{120e-12, 700e-9}
	}
	return stock{12e-12, 0.8e-9}, stock{6e-12, 60e-9}
}

// collectorBreaks is what a transistor's collector really stands to its base,
// over its rated voltage; from memory.
const collectorBreaks = 1.6

// never is the law of a junction that passes nothing forwards.
func never() law { return newLaw(-2000, 0.05, 1) }

// moveBipolar adds charges, and where its rated voltage is known the avalanche
// from collector to base, which coils drive transistors into.
func moveBipolar(r *resolver, still func(*assembly)) func(*assembly) {
	proto := r.bipolar()
	emitter, collector := r.transistorStock()
	rated, limited := r.lookup("voltage")
	avalanche := fit(math.Max(collectorBreaks*math.Abs(rated.Value), 5), 0.001, 0.1, 10)
	return func(b *assembly) {
		still(b)
		if limited && rated.Value != 0 {
			x, y := b.lead("b"), b.lead("c")
			if proto.sign < 0 {
				x, y = y, x
			}
			b.add(&junction{a: x, k: y, forward: never(), breakdown: avalanche, zener: true})
		}
		side := func(lead circuit.LeadName, s stock) {
			x, y := b.lead("b"), b.lead(lead)
			if proto.sign < 0 {
				x, y = y, x
			}
			b.reserve(x, y, &baseCharge{barrier: depletion{s.farads, barrierVolts}, device: proto, transit: s.transit})
		}
		side("e", emitter)
		side("c", collector)
	}
}

// Capacitances of gates, in farads; constant, the middle over their range.
// From memory, typical of makers' data sheets.
const (
	gateJunction = 4e-12
	gateOxide    = 50e-12
	gateFeedback = 0.3 // gate to drain over gate to source of a MOSFET
)

func moveFET(r *resolver, still func(*assembly)) func(*assembly) {
	source, back := gateJunction, gateJunction
	if r.part.Kind == circuit.MOSFETN || r.part.Kind == circuit.MOSFETP {
		source, back = gateOxide, gateOxide*gateFeedback
		// A large one has some hundred times the gate of a small one.
		if f, ok := r.lookup("current"); ok && f.Value >= powerTransistor {
			source, back = 20*source, 20*back
		}
	}
	return func(b *assembly) {
		still(b)
		b.store(b.lead("g"), b.lead("s"), source, 0)
		b.store(b.lead("g"), b.lead("d"), back, 0)
		b.store(b.lead("d"), b.lead("s"), source/2, 0)
	}
}

// moveOptocoupler gives the light-driven transistor its charge: some
// microseconds into a kilohm, as data sheets have it (from memory).
func moveOptocoupler(r *resolver, still func(*assembly)) func(*assembly) {
	return func(b *assembly) {
		before := b.inst.nodes
		still(b)
		base := terminal{node: before + 1}
		b.store(base, b.lead("e"), 15e-12, 0)
		b.store(base, b.lead("c"), 8e-12, 0)
	}
}

// Capacitances between the electrodes of a receiving valve, in farads; a
// pentode's screen keeps anode and grid apart. From memory.
const (
	gridCathode  = 2e-12
	gridAnode    = 1.6e-12
	gridScreened = 0.02e-12
	anodeCathode = 1.5e-12
)

func moveValve(r *resolver, still func(*assembly)) func(*assembly) {
	grid, back := circuit.LeadName("g"), gridAnode
	if r.part.Kind == circuit.Pentode {
		grid, back = "g1", gridScreened
	}
	return func(b *assembly) {
		still(b)
		b.store(b.lead(grid), b.lead("k"), gridCathode, 0)
		b.store(b.lead(grid), b.lead("a"), back, 0)
		b.store(b.lead("a"), b.lead("k"), anodeCathode, 0)
	}
}

// Quality and capacitances of a crystal, from memory: a plate of some
// megahertz, and below the frequency of plates a tuning fork.
const (
	plateFrom      = 500e3 // hertz
	plateMotional  = 20e-15
	plateHolder    = 5e-12
	plateOhms      = 50.0
	forkMotional   = 3e-15
	forkHolder     = 1.5e-12
	forkOhms       = 35e3
	crystalUnknown = 1e6 // hertz
)

// moveCrystal is the mechanical resonance as a coil, a capacitor and a
// resistance in series, beside the capacitance of the holder.
//
// Limits: one resonance, no overtones.
// Source: K. S. Van Dyke, Proc. IRE 16 (1928) 742–764 (from memory).
func moveCrystal(r *resolver, _ func(*assembly)) func(*assembly) {
	hertz := r.positive("frequency", crystalUnknown, q.Hertz, trade)
	motional, holder, ohms := plateMotional, plateHolder, plateOhms
	if hertz < plateFrom {
		motional, holder, ohms = forkMotional, forkHolder, forkOhms
	}
	w := 2 * math.Pi * hertz
	henries := 1 / (w * w * motional)
	return func(b *assembly) {
		x, y, m := b.lead("1"), b.lead("2"), terminal{node: b.node()}
		b.store(x, y, holder, 0)
		b.store(x, m, motional, 0)
		b.wind(core{coils: []coil{{a: m, b: y, ohms: ohms, turns: 1}}, main: henries})
	}
}
