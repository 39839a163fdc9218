package charge

import (
	"context"
	"fmt"
	"math"
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
}

// worstVoltages finds every capacitor's greatest voltage.
//
// Where the sources of its block can do harm, they are the bound: one open
// part usually brings a capacitor there, and on the way a circuit may pass
// voltages that no operating point shows. Where they can't, the operating
// points over all scenarios and states say more.
func worstVoltages(ctx context.Context, c *circuit.Circuit, possible []diagnosis.Fault, cells []cell, opt Options) ([]worst, error) {
	out := make([]worst, len(cells))
	model, err := sim.Compile(c, sim.Options{Shelf: opt.Shelf})
	limit := limits(c, cells)
	if err != nil {
		for i := range out {
			out[i] = worst{limit[i], "all that the sources about it can give, since the circuit cannot be simulated: " + err.Error()}
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
	all := scenarios(c, possible, cells)
	for k, s := range all {
		if opt.Progress != nil {
			opt.Progress(float64(k)/float64(len(all)), "looking for the greatest voltages")
		}
		if err := try(ctx, model, s, draw, cells, out); err != nil {
			return nil, err
		}
	}
	for i := range out {
		out[i].volts = math.Min(out[i].volts*voltMargin, limit[i])
		if limit[i] > CautionVolts && out[i].volts < limit[i] {
			out[i] = worst{limit[i], "all that the sources about it can give: on the way or with a part open it may get there"}
		}
	}
	return stepped(c, cells, out), nil
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
// part, and the moment of switching on.
func scenarios(c *circuit.Circuit, possible []diagnosis.Fault, cells []cell) []scenario {
	out := []scenario{{"as it should be", nil}}
	for _, f := range possible {
		for _, v := range diagnosis.Variants(c, f) {
			out = append(out, scenario{"with " + f.String(), v})
		}
	}
	for _, p := range c.Parts {
		if p.Kind != circuit.Connector && p.Kind != circuit.TestPoint {
			out = append(out, scenario{fmt.Sprintf("with %s open", p.Ref), sim.Variant{sim.Remove(p.Ref)}})
		}
	}
	for _, one := range cells {
		var empty sim.Variant
		for _, other := range cells {
			if other.part != one.part {
				empty = append(empty, sim.Bridge(other.a, other.b, 0.01))
			}
		}
		out = append(out, scenario{"at the moment of switching on", empty})
	}
	return out
}

// try raises what is worst by one scenario in every state. A scenario that
// does not settle says nothing and is passed over.
func try(ctx context.Context, m *sim.Model, s scenario, draw sim.Draw, cells []cell, out []worst) error {
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
			if v := across(at, c); v > out[i].volts {
				out[i] = worst{v, s.text + inState(state.Name)}
			}
		}
	}
	return nil
}

// across is the size of the voltage on a capacitor. Where nothing but
// insulation holds one of its sides, that side may creep to the common net.
func across(at *sim.Solution, c cell) float64 {
	v, ok := at.Between(c.a, c.b)
	if ok {
		return math.Abs(v)
	}
	a, okA := at.Voltage(c.a)
	b, okB := at.Voltage(c.b)
	switch {
	case okA:
		return math.Abs(a)
	case okB:
		return math.Abs(b)
	}
	return 0
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
		if t.Kind != circuit.Transformer {
			continue
		}
		for _, w := range t.Windings {
			if !charges(c, t, w, one) {
				continue
			}
			v := sourceSum(c) * ratio(t, w) * 2
			if rated, ok := partAmount(c, one.part, "voltage"); ok {
				v = math.Max(v, rated)
			}
			if v > volts {
				volts, text = v, fmt.Sprintf("%s can step the sources up; by its turns and the rating of %s", t.Ref, one.part)
			}
		}
	}
	return volts, text
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

// charges tells whether a winding reaches the capacitor through rectifiers.
func charges(c *circuit.Circuit, t circuit.Part, w circuit.Winding, one cell) bool {
	held := heldNets(c)
	reach := []circuit.NetID{t.Net(w.First()), t.Net(w.Second())}
	rectified := false
	for i := 0; i < len(reach); i++ {
		for _, p := range c.Parts {
			switch p.Kind {
			case circuit.Diode, circuit.Bridge, circuit.Resistor, circuit.Inductor, circuit.Capacitor:
			default:
				continue
			}
			if !slices.ContainsFunc(p.Leads, func(l circuit.Lead) bool { return l.Net == reach[i] }) || held[reach[i]] {
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

// heldNets are the nets that sources and the common net hold.
func heldNets(c *circuit.Circuit) map[circuit.NetID]bool {
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
