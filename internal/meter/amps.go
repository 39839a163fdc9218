package meter

import (
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// A meter on amps is a small resistance that the current has to pass, so the
// circuit is opened for it, except where it stands in for something that
// joined two nets anyhow. Three ways of putting it there are told apart by
// where its leads are:
//
//   - a net and a lead on that net: the lead is lifted, the meter in its place;
//   - the two sides of a switch, a contact or a fuse: that is opened or taken
//     out, the meter in its place, whether or not it was closed;
//   - any other two places: the meter joins them, and what flows is what a wire
//     between them would carry.
type tap struct {
	red, black sim.Place
	part       circuit.PartRef  // that is parted from its net
	lead       circuit.LeadName // by this lead; "" where nothing is opened
	instead    bool             // in place of the part, not in series with it
}

// tapOf tells how the meter is put in for a query on amps.
func tapOf(c *circuit.Circuit, q Query) tap {
	red, black := netOf(c, q.Red), netOf(c, q.Black)
	if red == black {
		switch {
		case q.Black.Part != "":
			return tap{red: sim.OnNet(red), black: q.Black, part: q.Black.Part, lead: q.Black.Lead}
		case q.Red.Part != "":
			return tap{red: q.Red, black: sim.OnNet(black), part: q.Red.Part, lead: q.Red.Lead}
		}
	}
	if ref, lead, ok := interrupter(c, q, red, black); ok {
		return tap{red: sim.OnNet(red), black: sim.OnNet(black), part: ref, lead: lead, instead: true}
	}
	return tap{red: q.Red, black: q.Black}
}

// netOf is the net of a place.
func netOf(c *circuit.Circuit, p sim.Place) circuit.NetID {
	if p.Part == "" {
		return p.Net
	}
	part, _ := c.Part(p.Part)
	return part.Net(p.Lead)
}

// interrupter finds the switch, contact or fuse between two nets that is there
// to be opened, and the lead to open it at. Where the query names a part's two
// leads it is that part or none.
func interrupter(c *circuit.Circuit, q Query, red, black circuit.NetID) (circuit.PartRef, circuit.LeadName, bool) {
	for _, p := range c.Parts {
		if p.Kind != circuit.Switch && p.Kind != circuit.Changeover && p.Kind != circuit.Fuse {
			continue
		}
		if q.Red.Part != "" && q.Red.Part != p.Ref || q.Black.Part != "" && q.Black.Part != p.Ref {
			continue
		}
		for pole := range p.Poles() {
			for _, pair := range contacts(p.Kind, pole) {
				a, b := p.Net(pair[0]), p.Net(pair[1])
				if a == red && b == black || a == black && b == red {
					return p.Ref, pair[0], true
				}
			}
		}
	}
	return "", "", false
}

// contacts are the pairs of leads of one pole that a part joins.
func contacts(k circuit.Kind, pole int) [][2]circuit.LeadName {
	switch k {
	case circuit.Fuse:
		return [][2]circuit.LeadName{{"1", "2"}}
	case circuit.Switch:
		return [][2]circuit.LeadName{{circuit.PoleLead("1", pole), circuit.PoleLead("2", pole)}}
	}
	common := circuit.PoleLead("c", pole)
	return [][2]circuit.LeadName{{common, circuit.PoleLead("no", pole)}, {common, circuit.PoleLead("nc", pole)}}
}

// opened is the circuit with the place parted that the meter goes into.
func (t tap) opened(v sim.Variant) sim.Variant {
	if t.lead == "" {
		return v
	}
	return append(append(sim.Variant(nil), v...), sim.Lift(t.part, t.lead, math.Inf(1)))
}

// joined is the circuit with the meter in it as a plain resistance.
func (t tap) joined(c *circuit.Circuit, v sim.Variant, ohms float64) sim.Variant {
	if t.lead != "" && !t.instead {
		return append(append(sim.Variant(nil), v...), sim.Lift(t.part, t.lead, ohms))
	}
	return append(append(sim.Variant(nil), t.opened(v)...), sim.Bridge(netOf(c, t.red), netOf(c, t.black), ohms))
}

// noBurden stands for a current path without the meter's own resistance: less
// than its leads have, and large enough that rounding leaves a microampere.
const noBurden = 1e-3

// cautions say what to do before the meter goes in and what it does there.
func (t tap) cautions() []string {
	out := []string{"switch off and make safe before the circuit is opened and before it is closed again; begin with the highest current range, red in the meter's current socket, and put it back in the volts socket afterwards"}
	switch {
	case t.instead:
		return append(out, fmt.Sprintf("%s opened or taken out, the meter in its place", t.part))
	case t.lead != "":
		return append(out, fmt.Sprintf("%s.%s lifted off its net, the meter between the two", t.part, t.lead))
	}
	return out
}

// joins warns where the meter is no part of the circuit's own path.
func (t tap) joins() string {
	if t.lead != "" {
		return ""
	}
	return fmt.Sprintf("on amps the meter joins %s and %s like a wire: that can burn parts, tracks and the meter's fuse; read volts-dc across a resistor in the path instead where there is one", t.red, t.black)
}

// burden is the meter's resistance on amps in a range.
func (m Meter) burden(rng float64) float64 {
	if m.AmpsSeries > 0 {
		return m.AmpsSeries
	}
	return m.AmpsDrop / rng
}

// readAmps reads in the range a person ends in: from the highest downwards
// while the next one still holds the reading.
func (m Meter) readAmps(touch touching) (Reading, error) {
	var r Reading
	for k := len(m.AmpsRanges) - 1; k >= 0; k-- {
		if r.Range != 0 && math.Abs(r.Value) > m.AmpsRanges[k] {
			break
		}
		at, err := touch(resistance(m.burden(m.AmpsRanges[k])))
		if err != nil {
			return Reading{}, err
		}
		r = Reading{Value: at.Amperes, Range: m.AmpsRanges[k]}
	}
	if math.Abs(r.Value) > r.Range {
		return Reading{Overrange: true, Range: r.Range}, nil
	}
	return r, nil
}

// addAmps completes a row on amps: the current without the meter, and what to
// beware of.
func (e *Expected) addAmps(t tap, m Meter) {
	e.Cautions = append(e.Cautions, t.cautions()...)
	if e.Nominal != nil {
		e.Cautions = append(e.Cautions, fmt.Sprintf("the meter drops %s of the circuit's voltage here",
			quantity.Format(math.Abs(*e.Nominal)*m.burden(e.Range), quantity.Volt, 2)))
	}
	if text := t.joins(); text != "" {
		e.Hazard.Care = true
		if e.Hazard.Text != "" {
			e.Hazard.Text += "; "
		}
		e.Hazard.Text += text
	}
}
