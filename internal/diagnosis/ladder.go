package diagnosis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// rung is one severity of a fault as a change of the circuit. Faults that do
// the same share rungs by their key, so that each is simulated once: an open
// resistor and a dry joint of its lead. The empty key is no change that
// direct current shows.
type rung struct {
	key     string
	variant sim.Variant
	altered func() *circuit.Circuit // where parts are joined otherwise than drawn; nil: as drawn
}

// ladder is a fault from mild to severe. Between two rungs readings are
// interpolated; a ladder of one rung has one severity.
type ladder struct {
	share float64 // of the fault's probability
	unit  string  // of the severity: "Ω", or "times" for a factor
	marks []float64
	rungs []rung
	at    func(x float64) rung // the rung of any severity; nil where there is one only
}

// Variants are the changes that a fault may make to the circuit, mild to
// severe; nil for a fault that direct current doesn't show.
func Variants(c *circuit.Circuit, f Fault) []sim.Variant {
	var out []sim.Variant
	for _, l := range laddersOf(c, f) {
		for _, r := range l.rungs {
			if r.variant != nil {
				out = append(out, r.variant)
			}
		}
	}
	return out
}

// laddersOf lists what a fault may do, shares summing to 1.
func laddersOf(c *circuit.Circuit, f Fault) []ladder {
	p, ok := c.Part(f.Part)
	switch {
	case len(f.Away) > 0:
		return one(crack(c, f))
	case !ok:
		return acrossNets(f)
	}
	switch f.Name {
	case Open:
		if insulated(p.Kind) && f.Lead == "g" {
			return one(floatingGate(p))
		}
		return one(openLadder(p, openLead(p, f)))
	case DryJoint:
		open, partial := openLadder(p, f.Lead), liftLadder(p, f.Lead, 20, 100e3, 3)
		open.share, partial.share = 0.7, 0.3
		return []ladder{open, partial}
	case HighResistance:
		return one(liftLadder(p, openLead(p, f), 10, 20e3, 5))
	case Short:
		return one(shortLadder(p, f))
	case Leaky:
		a, b := leadPair(p, f)
		return one(leakLadder(p, a, b))
	case ValueHigh, ValueLow:
		return one(valueLadder(p, f.Name))
	case LowGain:
		return one(scaleLadder(p, sim.KnobGain, 0.05, 0.5, 3))
	case ShortedTurns:
		return one(turnsLadder(p, f))
	case Stuck:
		return stuckLadders(p, f)
	case Dead:
		return deadLadders(p)
	}
	return one(invisible())
}

func one(l ladder) []ladder { return []ladder{l} }

// invisible is what no direct current shows.
func invisible() ladder { return ladder{share: 1, rungs: []rung{{}}} }

// single is a ladder of one rung.
func single(key string, v sim.Variant) ladder {
	return ladder{share: 1, rungs: []rung{{key: key, variant: v}}}
}

// graded has n rungs in equal ratios from low to high.
func graded(key, unit string, low, high float64, n int, make func(x float64) sim.Variant) ladder {
	l := ladder{share: 1, unit: unit}
	l.at = func(x float64) rung { return rung{key: fmt.Sprintf("%s %.6g", key, x), variant: make(x)} }
	for i := range n {
		x := low * math.Pow(high/low, float64(i)/float64(n-1))
		l.marks = append(l.marks, x)
		l.rungs = append(l.rungs, l.at(x))
	}
	return l
}

func isCapacitor(k circuit.Kind) bool { return k == circuit.Capacitor || k == circuit.Electrolytic }

// openLead is the lead at which the fault opens the part.
func openLead(p circuit.Part, f Fault) circuit.LeadName {
	switch {
	case f.Lead != "":
		return f.Lead
	case p.Kind == circuit.Transformer:
		return circuit.LeadName(f.Word + ".1")
	}
	return p.Leads[0].Name
}

// endLead: at a part of two leads either end does the same, so it goes by the first.
func endLead(p circuit.Part, lead circuit.LeadName) circuit.LeadName {
	if len(p.Leads) == 2 {
		return p.Leads[0].Name
	}
	return lead
}

// openLadder lifts a lead wholly.
func openLadder(p circuit.Part, lead circuit.LeadName) ladder {
	if isCapacitor(p.Kind) {
		return invisible()
	}
	lead = endLead(p, lead)
	return single(fmt.Sprintf("open %s %s", p.Ref, lead), sim.Variant{sim.Lift(p.Ref, lead, math.Inf(1))})
}

// insulated tells the kinds whose gate keeps whatever charge it has.
func insulated(k circuit.Kind) bool { return k == circuit.MOSFETN || k == circuit.MOSFETP }

// floatingGate lifts a gate that then hangs by leakages: anywhere from the
// source's voltage to the drain's.
func floatingGate(p circuit.Part) ladder {
	const leak = 100e6
	l := ladder{share: 1}
	for _, to := range []circuit.LeadName{"s", "d"} {
		l.rungs = append(l.rungs, rung{key: fmt.Sprintf("float %s %s", p.Ref, to),
			variant: sim.Variant{sim.Lift(p.Ref, "g", math.Inf(1)), sim.Short(p.Ref, "g", to, leak)}})
		l.marks = append(l.marks, float64(len(l.rungs)))
	}
	return l
}

// liftLadder puts a resistance into a lead.
func liftLadder(p circuit.Part, lead circuit.LeadName, low, high float64, n int) ladder {
	if isCapacitor(p.Kind) {
		return invisible()
	}
	lead = endLead(p, lead)
	return graded(fmt.Sprintf("lift %s %s", p.Ref, lead), "Ω", low, high, n, func(ohms float64) sim.Variant {
		return sim.Variant{sim.Lift(p.Ref, lead, ohms)}
	})
}

// leadPair is the two leads between which a fault leaks or shorts.
func leadPair(p circuit.Part, f Fault) (a, b circuit.LeadName) {
	switch {
	case len(f.Leads) == 2:
		return f.Leads[0], f.Leads[1]
	case p.Kind == circuit.Transformer:
		return circuit.LeadName(f.Word + ".1"), circuit.LeadName(f.Word + ".2")
	}
	return p.Leads[0].Name, p.Leads[1].Name
}

// shortLadder is 0.05 to 5 Ω: a piece of wire or a burnt junction. Common practice.
func shortLadder(p circuit.Part, f Fault) ladder {
	a, b := leadPair(p, f)
	return graded(fmt.Sprintf("short %s %s %s", p.Ref, a, b), "Ω", 0.05, 5, 2, func(ohms float64) sim.Variant {
		return sim.Variant{sim.Short(p.Ref, a, b, ohms)}
	})
}

// leakLadder goes from little harm to nearly a short. Common practice.
func leakLadder(p circuit.Part, a, b circuit.LeadName) ladder {
	return graded(fmt.Sprintf("leak %s %s %s", p.Ref, a, b), "Ω", 1e7, 100, 8, func(ohms float64) sim.Variant {
		return sim.Variant{sim.Short(p.Ref, a, b, ohms)}
	})
}

// valueLadder changes the main value: 1.3 to 15 times and back for
// resistances, less for a zener voltage. A capacitor's or coil's value has no
// effect on direct current. Common practice.
func valueLadder(p circuit.Part, n Name) ladder {
	mild, severe, rungs := 1.3, 15.0, 7
	switch p.Kind {
	case circuit.Zener:
		mild, severe, rungs = 1.12, 1.8, 4
	case circuit.Resistor, circuit.Thermistor, circuit.Photocell, circuit.Potentiometer:
		mild = math.Max(mild, 1+2*toleranceOf(p))
	default:
		return invisible()
	}
	if n == ValueLow {
		mild, severe = 1/mild, 1/severe
	}
	return scaleLadder(p, sim.KnobValue, mild, severe, rungs)
}

func toleranceOf(p circuit.Part) float64 {
	if t, ok := p.Amount("tolerance"); ok {
		return math.Abs(t)
	}
	info, _ := circuit.Lookup(p.Kind)
	t, _ := info.Default("tolerance")
	return t
}

func scaleLadder(p circuit.Part, k sim.Knob, from, to float64, n int) ladder {
	return graded(fmt.Sprintf("scale %s %s", p.Ref, k), "times", from, to, n, func(factor float64) sim.Variant {
		return sim.Variant{sim.Scale(p.Ref, k, factor)}
	})
}

// turnsLadder leaves a part of the winding's resistance.
func turnsLadder(p circuit.Part, f Fault) ladder {
	ohms := windingOhms(p, f.Word)
	a, b := leadPair(p, f)
	return graded(fmt.Sprintf("turns %s %s", p.Ref, a), "times", 0.9, 0.3, 3, func(left float64) sim.Variant {
		return sim.Variant{sim.Short(p.Ref, a, b, ohms*left/(1-left))}
	})
}

func windingOhms(p circuit.Part, winding string) float64 {
	for _, w := range p.Windings {
		if w.Name == winding && w.Resistance != nil {
			return math.Max(*w.Resistance, 1e-3)
		}
	}
	if v, ok := p.Amount("resistance"); ok {
		return math.Max(v, 1e-3)
	}
	return 10 // as package sim takes an unknown winding
}

func stuckLadders(p circuit.Part, f Fault) []ladder {
	set := func(s circuit.Setting, name string) ladder {
		return single(fmt.Sprintf("stuck %s %s", p.Ref, name), sim.Variant{sim.Set(p.Ref, s)})
	}
	switch p.Kind {
	case circuit.Switch:
		open, closed := set(circuit.Setting{Form: circuit.Open}, "open"), set(circuit.Setting{Form: circuit.Closed}, "closed")
		open.share, closed.share = 0.5, 0.5
		return []ladder{open, closed}
	case circuit.Changeover:
		contact, _ := strings.CutPrefix(f.Word, "on ")
		return one(set(circuit.Setting{Form: circuit.Thrown, Contact: circuit.LeadName(contact)}, contact))
	}
	return one(invisible())
}

// deadLadders are a source that gives nothing, or too little of its voltage.
func deadLadders(p circuit.Part) []ladder {
	scale := func(x float64) sim.Variant { return sim.Variant{sim.Scale(p.Ref, sim.KnobValue, x)} }
	gone, weak := single(fmt.Sprintf("dead %s", p.Ref), scale(0)), graded(fmt.Sprintf("weak %s", p.Ref), "times", 0.75, 0.01, 6, scale)
	gone.share, weak.share = 0.5, 0.5
	return []ladder{gone, weak}
}

// crack parts some leads of a net from the others.
func crack(c *circuit.Circuit, f Fault) ladder {
	return ladder{share: 1, rungs: []rung{{key: "crack " + f.String(), altered: func() *circuit.Circuit { return f.Altered(c) }}}}
}

// Altered is the circuit as a cracked track leaves it: the leads away stand on
// a net of their own.
func (f Fault) Altered(c *circuit.Circuit) *circuit.Circuit {
	out := c.Clone()
	for i, part := range out.Parts {
		for k, l := range part.Leads {
			if slices.Contains(f.Away, circuit.LeadRef{Part: part.Ref, Lead: l.Name}) {
				out.Parts[i].Leads[k].Net = l.Net + " beyond the crack"
			}
		}
	}
	return out
}

// acrossNets are the ladders of a fault that belongs to no part.
func acrossNets(f Fault) []ladder {
	if len(f.Nets) != 2 {
		return one(invisible())
	}
	across := func(ohms float64) sim.Variant { return sim.Variant{sim.Bridge(f.Nets[0], f.Nets[1], ohms)} }
	key := fmt.Sprintf("%s %s %s", f.Name, f.Nets[0], f.Nets[1])
	if f.Name == Dirt {
		return one(graded(key, "Ω", 10e6, 1e3, 7, across))
	}
	return one(graded(key, "Ω", 0.01, 1, 2, across))
}
