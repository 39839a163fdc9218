package specimen_test

import (
	"context"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
	"foilside/internal/specimen"
)

// circuitOf turns a demonstration's parts into a circuit for direct current:
// a transformer's windings are their resistances.
func circuitOf(t *testing.T, parts []specimen.CircuitPart, windings map[string]float64) *circuit.Circuit {
	t.Helper()
	c := &circuit.Circuit{Common: "chassis"}
	for _, p := range parts {
		if p.Kind == "transformer" {
			for w, ohms := range windings {
				c.Parts = append(c.Parts, circuit.Part{
					Ref: circuit.PartRef(p.Ref + w), Kind: circuit.Resistor,
					Amounts: map[string]circuit.Amount{"value": {Value: ohms, Unit: quantity.Ohm}},
					Leads:   []circuit.Lead{{Name: "1", Net: circuit.NetID(p.Leads[w+".1"])}, {Name: "2", Net: circuit.NetID(p.Leads[w+".2"])}},
				})
			}
			continue
		}
		c.Parts = append(c.Parts, partOf(t, p))
	}
	c.SortParts()
	return c
}

func partOf(t *testing.T, p specimen.CircuitPart) circuit.Part {
	t.Helper()
	info, ok := circuit.Lookup(circuit.Kind(p.Kind))
	if !ok {
		t.Fatalf("%s: kind %q is not in the contract", p.Ref, p.Kind)
	}
	out := circuit.Part{Ref: circuit.PartRef(p.Ref), Kind: circuit.Kind(p.Kind), Type: p.Params["type"], Amounts: map[string]circuit.Amount{}}
	for name, text := range p.Params {
		if name == "type" {
			continue
		}
		param, ok := info.Param(name)
		if !ok {
			t.Fatalf("%s: a %s has no %q", p.Ref, p.Kind, name)
		}
		v, err := quantity.Parse(text, param.Units[0])
		if err != nil {
			t.Fatalf("%s: %s: %v", p.Ref, name, err)
		}
		out.Amounts[name] = circuit.Amount{Value: v, Unit: param.Units[0]}
	}
	names := circuit.LeadNames(out.Kind, nil, 1)
	if len(names) == 0 { // a connector's are its own
		for n := range p.Leads {
			names = append(names, circuit.LeadName(n))
		}
	}
	for _, n := range names {
		out.Leads = append(out.Leads, circuit.Lead{Name: n, Net: circuit.NetID(p.Leads[string(n)])})
	}
	return out
}

// The voltages were worked out by hand, as the comment at the head of each job
// text shows, before the simulator saw the circuits.
func TestDemonstrationsWorkAtDC(t *testing.T) {
	points := map[string]*sim.Solution{}
	for _, n := range specimen.Names() {
		points[n] = switchedOn(t, n)
	}
	for _, k := range []struct {
		demo, net string
		volts     float64
		within    float64 // what rounding and one fixed base voltage cost
	}{
		{"intercom", "decoupled", 8.5, 0.1},
		{"intercom", "base1", 1.5, 0.1},
		{"intercom", "emitter1", 0.87, 0.08},
		{"intercom", "collector1", 4.4, 0.4},
		{"intercom", "emitter3", 1.2, 0.1},
		{"intercom", "collector2", 1.9, 0.15},
		{"intercom", "base2", 1.0, 0.08},
		{"intercom", "collector3", 8.7, 0.1},
		{"survey", "hv", 400, 1},
		{"survey", "middle", 200, 1},
		{"survey", "anode", 400, 1},
		{"survey", "regulated", 5.6, 0.1},
		{"survey", "collector1", 5.6, 0.1},
		{"survey", "base2", 0.65, 0.08},
		{"survey", "pulse", 0.1, 0.1},
	} {
		t.Run(k.demo+" "+k.net, func(t *testing.T) {
			v, ok := points[k.demo].Voltage(circuit.NetID(k.net))
			if !ok || math.Abs(v-k.volts) > k.within {
				t.Errorf("%s: simulator says %.3f V, by hand %.3g V", k.net, v, k.volts)
			}
		})
	}
}

// switchedOn is a demonstration's operating point with its switch closed.
func switchedOn(t *testing.T, name string) *sim.Solution {
	t.Helper()
	d, err := specimen.Demo(context.Background(), name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := sim.Compile(circuitOf(t, d.Circuit, map[string]float64{"primary": 12, "secondary": 0.6}), sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	on := circuit.State{Name: "on", Settings: map[circuit.PartRef]circuit.Setting{"S1": {Form: circuit.Closed}}}
	s, err := m.OperatingPoint(context.Background(), on, sim.Run{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}
