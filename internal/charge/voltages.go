package charge

import (
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/sim"
)

// worst is the greatest voltage found for one capacitor, and where.
type worst struct {
	volts   float64
	because string
}

// scenario is one way the unit may stand.
type scenario struct {
	text    string
	variant sim.Variant
	open    bool // one part is open
}

// worstVoltages finds every capacitor's greatest voltage: the worst operating
// point over the scenarios and states, and never more than the sources of its
// block can give.
//
// On its way a circuit passes voltages that none of its ends shows, since
// capacitors fill one after the other. So every scenario is also solved with
// others still empty: all but one, and each by itself.
func worstVoltages(ctx context.Context, c *circuit.Circuit, possible []diagnosis.Fault, cells []cell, opt Options) ([]worst, error) {
	out := make([]worst, len(cells))
	model, err := sim.Compile(c, sim.Options{Shelf: opt.Shelf})
	limit := limits(c, cells)
	if err != nil {
		for i := range out {
			out[i] = worst{limit[i].volts, "all that the sources about it can give, since the circuit cannot be simulated: " + err.Error()}
		}
		return stepped(c, cells, out), nil
	}
	draw := model.Draws(1, 0)[0]
	for i, s := range model.Spreads() {
		draw[i] = 0
		if p, _ := c.Part(s.Part); s.Knob == sim.KnobValue && isSource(p.Kind) {
			draw[i] = 1 // a fresh battery, a supply at its upper limit
		}
	}
	all := scenarios(c, possible)
	most := 0.0
	for _, l := range limit {
		most = math.Max(most, l.volts)
	}
	switch {
	case most > CautionVolts:
		all = withEmpty(all, cells, c.Common)
	case most > CheckBelow: // no danger: other faults than an open part may be left out
		all = append(all, withEmpty(onlyOpen(all), cells, c.Common)...)
	}
	for k, s := range all {
		if opt.Progress != nil {
			opt.Progress(float64(k)/float64(len(all)), "looking for the greatest voltages")
		}
		if err := try(ctx, model, s, draw, cells, out); err != nil {
			return nil, err
		}
	}
	for i := range out {
		out[i] = bounded(out[i], limit[i], coupled(c.Common, cells, i))
	}
	return stepped(c, cells, out), nil
}

// bounded is the worst of a capacitor, with the margin and within what its
// sources can give; all of that where operating points don't show it.
func bounded(found worst, most reach, coupled bool) worst {
	switch swell := most.volts * coupledSwell; {
	case coupled && swell > found.volts:
		return worst{swell, coupledBecause}
	case most.alternating && most.volts > found.volts:
		return worst{most.volts, alternatingBecause}
	case most.coil:
		return worst{math.Min(found.volts*voltMargin*coilSwell, most.volts), found.because + "; twice that, since a coil lets it swing beyond"}
	}
	return worst{math.Min(found.volts*voltMargin, most.volts), found.because}
}

const alternatingBecause = "all that the alternating source about it can give at its peaks, through every rectifier of its part of the circuit"

// coupledSwell is how far a net that hangs on the rest by capacitors may swell
// beyond every source while they fill, each at its own pace: a network of
// resistors and capacitors with a floating capacitor can pass its source's
// voltage (Fialkow and Gerst 1952, from memory). Random networks passed it by 7 %
// (TestStatedVoltageAndTimeAreUpperBounds).
const coupledSwell = 1.2

const coupledBecause = "all that the sources about it can give, and a fifth more, since it hangs on the rest by capacitors that fill at their own pace"

// coupled tells whether another capacitor leads from one of a capacitor's nets,
// the common one apart, to a third. What it passes on while both fill, no
// operating point shows.
func coupled(common circuit.NetID, cells []cell, one int) bool {
	mine := cells[one]
	return slices.ContainsFunc(cells, func(c cell) bool {
		touches := func(n circuit.NetID) bool { return n != common && (c.a == n || c.b == n) }
		return c.part != mine.part && !c.across(mine) && (touches(mine.a) || touches(mine.b))
	})
}

// stepped raises what a transformer may charge higher.
func stepped(c *circuit.Circuit, cells []cell, out []worst) []worst {
	for i := range out {
		if v, text := stepUp(c, cells[i]); v > out[i].volts {
			out[i] = worst{v, text}
		}
	}
	return out
}

// scenarios lists the good unit, every fault that is left, any single open
// part, and connectors with something plugged in that conducts.
func scenarios(c *circuit.Circuit, possible []diagnosis.Fault) []scenario {
	out := []scenario{{text: "as it should be"}}
	for _, f := range possible {
		for _, v := range diagnosis.Variants(c, f) {
			out = append(out, scenario{text: "with " + f.String(), variant: v})
		}
	}
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.TestPoint:
		case circuit.Connector:
			var joined sim.Variant
			for _, l := range p.Leads[1:] {
				joined = append(joined, sim.Bridge(p.Leads[0].Net, l.Net, pluggedOhms))
			}
			out = append(out, scenario{text: fmt.Sprintf("with what is plugged into %s conducting", p.Ref), variant: joined})
		default:
			out = append(out, scenario{text: fmt.Sprintf("with %s open", p.Ref), variant: sim.Variant{sim.Remove(p.Ref)}, open: true})
		}
	}
	return out
}

// onlyOpen leaves the good unit and those with one part open.
func onlyOpen(all []scenario) []scenario {
	return slices.DeleteFunc(slices.Clone(all), func(s scenario) bool { return !s.open && s.variant != nil })
}

// pluggedOhms is the least that something plugged in may have.
const pluggedOhms = 10.0

// withEmpty adds to the scenarios those in which some capacitors are still empty
// while the others have filled: for open parts and the good unit every choice of
// them, or where there are many the choices of one, two, all but one and all but
// two; for other faults all but one. What lies across one fills along with it.
func withEmpty(list []scenario, cells []cell, common circuit.NetID) []scenario {
	out := slices.Clone(list)
	bridges, hanging := bridgesOf(cells, common)
	all := choices(len(bridges), hanging)
	allButOne := slices.DeleteFunc(slices.Clone(all), func(set uint64) bool { return bits.OnesCount64(set) != len(bridges)-1 })
	for _, s := range list {
		sets := allButOne
		if s.open || s.variant == nil {
			sets = all
		}
		for _, set := range sets {
			v := slices.Clone(s.variant)
			for i, b := range bridges {
				if set>>i&1 == 1 {
					v = append(v, b)
				}
			}
			out = append(out, scenario{text: s.text + ", as it fills", variant: v})
		}
	}
	return out
}

// bridgesOf stands for every capacitor that is empty, those in parallel once;
// as bits, which of them hang between two nets that are not the common one.
func bridgesOf(cells []cell, common circuit.NetID) (out sim.Variant, hanging uint64) {
	for i, c := range cells {
		if c.a == c.b || len(out) == 64 || slices.ContainsFunc(cells[:i], c.across) {
			continue
		}
		if c.a != common && c.b != common {
			hanging |= 1 << len(out)
		}
		out = append(out, sim.Bridge(c.a, c.b, emptyOhms))
	}
	return out, hanging
}

// everyChoice is up to how many capacitors every choice of empty ones is tried.
const everyChoice = 6

// choices are sets of n, as bits; never none of them. Two are tried together
// where one of them hangs: those to the common net alone keep every net between
// what the sources and the ends of the filling make of it.
func choices(n int, hanging uint64) []uint64 {
	var out []uint64
	if n <= everyChoice {
		for set := uint64(1); set < 1<<n; set++ {
			out = append(out, set)
		}
		return out
	}
	full := ^uint64(0) >> (64 - n)
	for i := range n {
		for j := range i + 1 {
			two := uint64(1)<<i | uint64(1)<<j // one where they are the same
			if i == j || two&hanging != 0 {
				out = append(out, two, full&^two)
			}
		}
	}
	return out
}

// emptyOhms stands for an empty capacitor at the moment of switching on.
const emptyOhms = 0.01

// try raises what is worst by one scenario in every state. A scenario that
// does not settle says nothing and is passed over.
func try(ctx context.Context, m *sim.Model, s scenario, draw sim.Draw, cells []cell, out []worst) error {
	nets := m.Nets()
	for _, state := range statesOf(m.Circuit()) {
		in, err := m.Instance(state, s.variant)
		if err != nil {
			continue
		}
		at, err := in.Solve(ctx, draw, nil)
		if err != nil {
			if sim.IsRefusal(err) {
				continue
			}
			return err
		}
		for i, c := range cells {
			if v := across(at, nets, cells, c); v > out[i].volts {
				out[i] = worst{v, s.text + inState(state.Name)}
			}
		}
	}
	return nil
}

// across is the greatest size that the voltage on a capacitor may have. Where
// nothing but capacitors and insulation holds one of its sides, that side is
// somewhere between the voltages that reach it through capacitors, and the
// common net's, to which it creeps.
func across(at *sim.Solution, nets []circuit.NetID, cells []cell, one cell) float64 {
	if v, ok := at.Between(one.a, one.b); ok {
		return math.Abs(v)
	}
	low, high := 0.0, 0.0
	seen := map[circuit.NetID]bool{}
	queue := []circuit.NetID{one.a, one.b}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		if seen[n] {
			continue
		}
		seen[n] = true
		if v, ok := at.Voltage(n); ok {
			low, high = math.Min(low, v), math.Max(high, v)
			continue
		}
		for _, m := range nets { // what floats together with it
			if _, ok := at.Between(n, m); ok {
				queue = append(queue, m)
			}
		}
		for _, c := range cells {
			if c.a == n || c.b == n {
				queue = append(queue, c.a, c.b)
			}
		}
	}
	return high - low
}

func inState(name string) string {
	if name == "" {
		return ""
	}
	return ", state " + name
}

func isSource(k circuit.Kind) bool {
	return k == circuit.Battery || k == circuit.Supply || k == circuit.Signal
}

// sourceSum is all source voltages added, at the upper limit of their
// tolerance, a signal at its peak: no net can be further from another without
// coils.
func sourceSum(c *circuit.Circuit) float64 {
	var sum float64
	for _, p := range c.Parts {
		if !isSource(p.Kind) {
			continue
		}
		v, ok := p.Amount("voltage")
		if !ok {
			continue
		}
		v = math.Abs(v) * (1 + toleranceOf(p))
		if p.Kind == circuit.Signal {
			v *= 2 * math.Sqrt2 // both peaks
		}
		sum += v
	}
	return sum * voltMargin
}

// stepUp bounds the voltage of a capacitor that a transformer may charge
// through rectifiers: operating points don't show it. There is no bound to
// what a coil kicks, so the capacitor's own rating counts too.
func stepUp(c *circuit.Circuit, one cell) (float64, string) {
	volts, text := 0.0, ""
	for _, t := range c.Parts {
		for _, w := range coilsOf(t) {
			if !charges(c, w.ends, one) {
				continue
			}
			v := sourceSum(c) * w.ratio * 2
			rated, ok := partAmount(c, one.part, "voltage")
			if !ok {
				rated = unknownRating
			}
			v = math.Max(v, rated)
			if v > volts {
				volts, text = v, fmt.Sprintf("%s can step the sources up; by its turns and the rating of %s, since a coil may kick to anything", t.Ref, one.part)
			}
		}
	}
	return volts, text
}

// unknownRating stands for the rating of a capacitor behind a coil that nobody
// gave: what is usual there at most short of the dangers that are refused
// anyhow. Common practice.
const unknownRating = 400.0

// coil is a winding by its ends, and how much it steps up.
type coil struct {
	ends  []circuit.NetID
	ratio float64
}

// coilsOf are the windings of a transformer, or an inductor as the one it is.
func coilsOf(p circuit.Part) []coil {
	var out []coil
	switch p.Kind {
	case circuit.Transformer:
		for _, w := range p.Windings {
			out = append(out, coil{[]circuit.NetID{p.Net(w.First()), p.Net(w.Second())}, ratio(p, w)})
		}
	case circuit.Inductor:
		out = append(out, coil{[]circuit.NetID{p.Leads[0].Net, p.Leads[1].Net}, 1})
	}
	return out
}

func partAmount(c *circuit.Circuit, ref circuit.PartRef, name string) (float64, bool) {
	p, _ := c.Part(ref)
	return p.Amount(name)
}

// ratio is how much a winding steps up from the one with the fewest turns.
func ratio(t circuit.Part, w circuit.Winding) float64 {
	top := 1.0
	for _, other := range t.Windings {
		if other.Name != w.Name && other.Turns > 0 && w.Turns > 0 {
			top = math.Max(top, w.Turns/other.Turns)
		}
	}
	return top
}

// charges tells whether a coil reaches the capacitor through rectifiers.
func charges(c *circuit.Circuit, ends []circuit.NetID, one cell) bool {
	held, source := heldNets(c), sourceNets(c)
	reach := slices.Clone(ends)
	rectified := false
	for i := 0; i < len(reach); i++ {
		for _, p := range c.Parts {
			switch p.Kind {
			case circuit.Diode, circuit.Bridge, circuit.Resistor, circuit.Inductor, circuit.Capacitor:
			default:
				continue
			}
			if !slices.ContainsFunc(p.Leads, func(l circuit.Lead) bool { return l.Net == reach[i] }) {
				continue
			}
			// A switch at the coil's own end is what makes it kick, so only what a
			// source holds ends the way there.
			if held[reach[i]] && (i >= len(ends) || source[reach[i]]) {
				continue
			}
			rectified = rectified || p.Kind == circuit.Diode || p.Kind == circuit.Bridge
			for _, l := range p.Leads {
				if !slices.Contains(reach, l.Net) {
					reach = append(reach, l.Net)
				}
			}
		}
	}
	touches := func(n circuit.NetID) bool { return slices.Contains(reach, n) && !held[n] }
	return rectified && (touches(one.a) || touches(one.b))
}

// heldNets are the nets that sources and the common net hold, also through
// switches and fuses.
func heldNets(c *circuit.Circuit) map[circuit.NetID]bool {
	out := sourceNets(c)
	for grown := true; grown; {
		grown = false
		for _, p := range c.Parts {
			if p.Kind != circuit.Switch && p.Kind != circuit.Changeover && p.Kind != circuit.Fuse {
				continue
			}
			held := slices.ContainsFunc(p.Leads, func(l circuit.Lead) bool { return out[l.Net] })
			for _, l := range p.Leads {
				if held && !out[l.Net] {
					out[l.Net], grown = true, true
				}
			}
		}
	}
	return out
}

// sourceNets are the nets that sources end at, and the common one.
func sourceNets(c *circuit.Circuit) map[circuit.NetID]bool {
	out := map[circuit.NetID]bool{c.Common: true}
	for _, p := range c.Parts {
		if isSource(p.Kind) {
			for _, l := range p.Leads {
				out[l.Net] = true
			}
		}
	}
	return out
}
