package charge_test

import (
	"context"
	"math"
	"testing"

	"foilside/internal/charge"
	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// rectified are units whose capacitors fill through junctions: what the linear
// networks of the study leave out.
func rectified() map[string]*circuit.Circuit {
	source := part("G1", circuit.Signal, "ac", "0", "voltage", 30.0, "frequency", 1000.0, "resistance", 10.0)
	cap := func(ref circuit.PartRef, a, b circuit.NetID, farads float64) circuit.Part {
		return part(ref, circuit.Capacitor, a, b, "value", farads, "tolerance", 0.0)
	}
	diode := func(ref circuit.PartRef, a, k circuit.NetID) circuit.Part { return part(ref, circuit.Diode, a, k) }
	load := part("R1", circuit.Resistor, "out", "0", "value", 100e3)
	dc := part("PS1", circuit.Supply, "s", "0", "voltage", 200.0, "resistance", 10.0, "tolerance", 0.0)
	zener := part("D1", circuit.Zener, "0", "out", "zener voltage", 68.0)
	unit := func(parts ...circuit.Part) *circuit.Circuit { return &circuit.Circuit{Common: "0", Parts: parts} }
	return map[string]*circuit.Circuit{
		"half wave": unit(source, diode("D1", "ac", "out"), cap("C1", "out", "0", 1e-6), load),
		"doubler":   unit(source, cap("C1", "ac", "m", 1e-6), diode("D1", "0", "m"), diode("D2", "m", "out"), cap("C2", "out", "0", 1e-6), load),
		"quadrupler": unit(source, cap("C1", "ac", "m", 1e-6), diode("D1", "0", "m"), diode("D2", "m", "n"), cap("C2", "n", "0", 1e-6),
			cap("C3", "m", "q", 1e-6), diode("D3", "n", "q"), diode("D4", "q", "out"), cap("C4", "n", "out", 1e-6), load),
		"choke": unit(dc, part("L1", circuit.Inductor, "s", "out", "value", 1.0, "resistance", 10.0), cap("C1", "out", "0", 1e-6), load),
		"zener": unit(dc, part("R2", circuit.Resistor, "s", "out", "value", 22e3), zener, cap("C1", "out", "0", 1e-6), load),
		"held back by a diode": unit(dc, part("R2", circuit.Resistor, "s", "m", "value", 10e3), part("R3", circuit.Resistor, "m", "0", "value", 10e3),
			diode("D1", "m", "out"), cap("C1", "out", "0", 1e-6), load),
	}
}

// TestRectifiedStores: with nothing and with any single part open the unit is
// followed from the moment of switching on, by the simulator; no capacitor goes
// above what is stated. How much more is stated is printed and not held to a
// bound: in a ladder every capacitor is given what its end has.
func TestRectifiedStores(t *testing.T) {
	var ratios []float64
	for name, c := range rectified() {
		t.Run(name, func(t *testing.T) {
			report, err := charge.Assess(context.Background(), c, nil, charge.Options{})
			if err != nil {
				t.Fatal(err)
			}
			m, err := sim.Compile(c, sim.Options{})
			if err != nil {
				t.Fatal(err)
			}
			truth := map[circuit.PartRef]float64{}
			for _, open := range append([]circuit.Part{{}}, c.Parts...) {
				var v sim.Variant
				if open.Ref != "" {
					v = sim.Variant{sim.Remove(open.Ref)}
				}
				w, err := m.Transient(context.Background(), circuit.State{}, sim.TransientOptions{For: 0.1, Variant: v})
				if err != nil {
					t.Fatal(err)
				}
				for _, p := range c.Parts {
					if p.Kind != circuit.Capacitor || p.Ref == open.Ref {
						continue
					}
					truth[p.Ref] = math.Max(truth[p.Ref], swing(w, p))
				}
			}
			for _, s := range report.Stores {
				ratios = append(ratios, s.Voltage/truth[s.Part])
				if truth[s.Part] > s.Voltage {
					t.Errorf("%s reaches %.1f V, stated %.1f V because %s", s.Part, truth[s.Part], s.Voltage, s.Because)
				}
			}
		})
	}
	m := median(ratios)
	t.Logf("%d stores, stated ÷ true voltage %.2f in the median", len(ratios), m)
}

// swing is the greatest voltage that a part has across it in a waveform.
func swing(w *sim.Waveforms, p circuit.Part) float64 {
	at := func(n circuit.NetID, k int) float64 {
		if v := w.Nets[n]; k < len(v) {
			return v[k]
		}
		return 0
	}
	var top float64
	for k := range w.Time {
		top = math.Max(top, math.Abs(at(p.Leads[0].Net, k)-at(p.Leads[1].Net, k)))
	}
	return top
}
