package meter

import (
	"context"
	"fmt"
	"math"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// Voltages that call for care.
const (
	// careVolts: keep one hand away. G08 of the outside checks (Kuphaldt,
	// Lessons in Electric Circuits, volume I, chapter 3).
	careVolts = 30
	// dangerVolts: hazardous to touch, direct current. G09 (IEC 61010-1,
	// clause 6.3.1).
	dangerVolts = 60
)

// Hazard is what to know before the leads are put there. It is never a
// statement that a place is safe.
type Hazard struct {
	Red      float64 `json:"red"`     // V to the reference net, without the meter
	Black    float64 `json:"black"`   // V
	Volts    float64 `json:"voltage"` // largest of both and of their difference
	Care     bool    `json:"care"`
	Danger   bool    `json:"danger"`
	Exceeded bool    `json:"meter_rating_exceeded"`
	Text     string  `json:"text"`
}

// hazardOf words the hazard of two places of an operating point.
func (m Meter) hazardOf(at *sim.Solution, red, black sim.Place) Hazard {
	a, _ := at.At(red)
	b, _ := at.At(black)
	h := Hazard{Red: a, Black: b, Volts: max(math.Abs(a), math.Abs(b), math.Abs(a-b))}
	h.Text = strings.Join(m.warn(&h), "; ")
	return h
}

// warn judges the voltage of a hazard and says what to do.
func (m Meter) warn(h *Hazard) []string {
	h.Care, h.Danger = h.Volts > careVolts, h.Volts > dangerVolts
	h.Exceeded = h.Volts > m.Rated
	var say []string
	if h.Danger {
		say = append(say, fmt.Sprintf("%s here: dangerous to touch; clip the black lead on first, one hand away",
			quantity.Format(h.Volts, quantity.Volt, 3)))
	} else if h.Care {
		say = append(say, fmt.Sprintf("%s here: keep one hand away", quantity.Format(h.Volts, quantity.Volt, 3)))
	}
	if h.Exceeded {
		say = append(say, fmt.Sprintf("above the %s that this meter is rated for: do not connect it", quantity.Format(m.Rated, quantity.Volt, 3)))
	}
	return say
}

// addHazards completes rows with the hazard of each. For a reading without
// power it is that of the circuit as it would be if a supply were left on.
func addHazards(ctx context.Context, model *sim.Model, rows []Expected, qs []Query, o Options) error {
	solved := map[string]*sim.Solution{}
	for k, q := range qs {
		at, ok := solved[q.State.Name]
		if !ok {
			var err error
			at, err = model.OperatingPoint(ctx, q.State, sim.Run{Variant: o.Variant})
			if err != nil {
				return err
			}
			solved[q.State.Name] = at
		}
		h := o.Meter.hazardOf(at, q.Red, q.Black)
		if !q.Mode.Powered() {
			rows[k].Cautions = append(rows[k].Cautions, unpoweredCautions(model.Circuit(), h)...)
			h = Hazard{}
		}
		rows[k].Hazard = h
		rows[k].Cautions = append(rows[k].Cautions, circuitCautions(at, q)...)
	}
	return nil
}

// unpoweredCautions are what ohms, continuity and junction readings need.
func unpoweredCautions(c *circuit.Circuit, h Hazard) []string {
	out := []string{"every supply off or unplugged"}
	var stores []string
	for _, p := range c.Parts {
		if p.Kind == circuit.Electrolytic || p.Kind == circuit.Capacitor {
			stores = append(stores, string(p.Ref))
		}
	}
	if len(stores) > 0 && h.Care {
		out = append(out, fmt.Sprintf("%s may still be charged: this place stands at %s with power on; discharge and check with volts-dc first",
			strings.Join(stores, ", "), quantity.Format(h.Volts, quantity.Volt, 3)))
	} else if len(stores) > 0 {
		out = append(out, strings.Join(stores, ", ")+" may still be charged: let it discharge first")
	}
	return out
}

// circuitCautions name a source that is as good as shorted, and a place that
// nothing holds at a voltage.
func circuitCautions(at *sim.Solution, q Query) []string {
	if q.Mode != VoltsDC && q.Mode != AmpsDC {
		return nil
	}
	var out []string
	for _, w := range at.Warnings() {
		if w.Net == "" {
			out = append(out, w.Text)
		}
	}
	for _, f := range at.Floating() {
		for _, n := range f.Nets {
			if n == q.Red.Net || n == q.Black.Net {
				out = append(out, f.Text)
				break
			}
		}
	}
	return out
}
