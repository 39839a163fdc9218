package meter_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// lead is a place on a part's lead.
func lead(c *circuit.Circuit, ref circuit.PartRef, name circuit.LeadName) sim.Place {
	p, _ := c.Part(ref)
	return sim.Place{Net: p.Net(name), Part: ref, Lead: name}
}

// fused is 10 V through a fuse and a switch into 500 Ω.
func fused(set circuit.SettingForm) *circuit.Circuit {
	two := func(ref circuit.PartRef, k circuit.Kind, a, b circuit.NetID) circuit.Part {
		return circuit.Part{Ref: ref, Kind: k, Leads: []circuit.Lead{{Name: "1", Net: a}, {Name: "2", Net: b}}}
	}
	c := parts(part("BT1", circuit.Battery, "bat", "gnd", "voltage", 10, quantity.Volt, 0),
		two("F1", circuit.Fuse, "bat", "fused"), two("S1", circuit.Switch, "fused", "on"), resistor("R1", "on", "gnd", 500))
	c.States = []circuit.State{{Name: "set", Settings: map[circuit.PartRef]circuit.Setting{"S1": {Form: set}}}}
	return c
}

// TestAmmeterInsertion: the worked example and the three ways of putting the
// meter in. A fuse's own resistance is small against a hundredth of 500 Ω.
func TestAmmeterInsertion(t *testing.T) {
	m := meter.Default(meter.Digital)
	m.AmpsSeries = 50
	closed, open := fused(circuit.Closed), fused(circuit.Open)
	for _, row := range []struct {
		name       string
		c          *circuit.Circuit
		red, black sim.Place
		want       float64
		says       string
	}{
		{"D17 Bird, Electrical Circuit Theory and Technology, ex. 10.4 p. 119: into the resistor", closed, sim.OnNet("on"), lead(closed, "R1", "1"), 18.18e-3, "R1.1 lifted"},
		{"D17, red on the lead: out of the resistor", closed, lead(closed, "R1", "1"), sim.OnNet("on"), -18.18e-3, "R1.1 lifted"},
		{"D17, in place of the open switch", open, sim.OnNet("fused"), sim.OnNet("on"), 18.18e-3, "S1 opened"},
		{"D17, in place of the closed switch", closed, lead(closed, "S1", "1"), lead(closed, "S1", "2"), 18.18e-3, "S1 opened"},
		{"D17, in place of the fuse, leads turned", closed, sim.OnNet("fused"), sim.OnNet("bat"), -18.18e-3, "F1 opened or taken out"},
		{"nothing flows past an open switch", open, sim.OnNet("bat"), lead(open, "F1", "1"), 0, "F1.1 lifted"},
	} {
		t.Run(row.name, func(t *testing.T) {
			e := expect(t, row.c, meter.Query{Mode: meter.AmpsDC, Red: row.red, Black: row.black, State: row.c.States[0]}, m)
			if e.Nominal == nil || math.Abs(*e.Nominal-row.want) > 1e-4*18.18e-3*10 || e.Unit != "A" {
				t.Errorf("reads %v %s, want %g A", deref(e.Nominal), e.Unit, row.want)
			}
			if e.Unloaded == nil || math.Abs(*e.Unloaded-row.want*1.1) > 2e-3*20e-3 {
				t.Errorf("without the meter %v, want %g A", deref(e.Unloaded), row.want*1.1)
			}
			if said := strings.Join(e.Cautions, "\n"); !strings.Contains(said, row.says) || !strings.Contains(said, "make safe before the circuit is opened") || e.Hazard.Text != "" {
				t.Errorf("says %q, hazard %q; want %q, and nothing of a short", said, e.Hazard.Text, row.says)
			}
		})
	}
}

// TestAmpsBetweenTwoNets: a divider's middle to common gives Norton's current
// through the shunt, and is warned of.
func TestAmpsBetweenTwoNets(t *testing.T) {
	for _, row := range []struct {
		name         string
		upper, lower float64
		m            meter.Meter
		rng, burden  float64
	}{
		{"20 mA range drops 0.2 V at full scale", 1e3, 1e3, meter.Default(meter.Digital), 20e-3, 10},
		{"2 mA range", 10e3, 1e3, meter.Default(meter.Digital), 2e-3, 100},
		{"pointer, 25 mA range drops 0.25 V", 1e3, 1e3, meter.Default(meter.Analogue), 25e-3, 10},
	} {
		t.Run(row.name, func(t *testing.T) {
			e := expect(t, divider(10, row.upper, row.lower), between(meter.AmpsDC, "mid", "gnd"), row.m)
			parallel := row.lower * row.burden / (row.lower + row.burden)
			want := 10 / (row.upper + parallel) * row.lower / (row.lower + row.burden)
			if e.Nominal == nil || math.Abs(*e.Nominal-want) > 1e-5*want || e.Range != row.rng {
				t.Errorf("reads %v in range %g, want %g in %g", deref(e.Nominal), e.Range, want, row.rng)
			}
			if !e.Hazard.Care || !strings.Contains(e.Hazard.Text, "like a wire") {
				t.Errorf("hazard %+v does not warn of a short", e.Hazard)
			}
		})
	}
	t.Run("across a battery it is over-range", func(t *testing.T) {
		c := parts(part("BT1", circuit.Battery, "v", "gnd", "voltage", 12, quantity.Volt, 0.1), resistor("R1", "v", "gnd", 1e3))
		if e := expect(t, c, between(meter.AmpsDC, "v", "gnd"), meter.Default(meter.Digital)); !e.Overrange || e.Nominal != nil {
			t.Errorf("reads %v of some 100 A", deref(e.Nominal))
		}
	})
}

// TestAmpsIsTheCurrentOfTheLead: a meter without resistance in series at any
// lead of a circuit of bent elements reads what flows there without it.
func TestAmpsIsTheCurrentOfTheLead(t *testing.T) {
	c := biased()
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := meter.Default(meter.Digital)
	m.AmpsSeries = 1e-3
	good, err := model.OperatingPoint(context.Background(), circuit.State{}, sim.Run{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			t.Run(string(p.Ref+"."+circuit.PartRef(l.Name)), func(t *testing.T) {
				q := meter.Query{Mode: meter.AmpsDC, Red: sim.OnNet(l.Net), Black: lead(c, p.Ref, l.Name)}
				in, err := meter.Instance(model, q, nil)
				if err != nil {
					t.Fatal(err)
				}
				at, err := in.Solve(context.Background(), nil, nil)
				if err != nil {
					t.Fatal(err)
				}
				r, err := m.Read(context.Background(), in, at, q)
				if err != nil {
					t.Fatal(err)
				}
				want, _ := good.Current(p.Ref, l.Name)
				if r.Overrange || math.Abs(r.Value-want) > 1e-4*math.Abs(want)+1e-8 {
					t.Errorf("reads %+v, without the meter %g A flow", r, want)
				}
			})
		}
	}
}

// TestAmpsOfASwing: the average current of a pulse that is on for a tenth of
// the time, through R1 with the meter's 10 Ω (20 mA range) in series.
func TestAmpsOfASwing(t *testing.T) {
	c := source("pulse")
	e := expect(t, c, meter.Query{Mode: meter.AmpsDC, Red: sim.OnNet("top"), Black: lead(c, "R1", "1")}, meter.Default(meter.Digital))
	want := 10 * math.Sqrt(0.1) / (20e3 + 100)
	if e.Nominal == nil || math.Abs(*e.Nominal-want) > 3e-3*want || e.Range != 2e-3 {
		t.Errorf("reads %v in range %g, want %g A in 2 mA", deref(e.Nominal), e.Range, want)
	}
	if e.Unloaded == nil || math.Abs(*e.Unloaded-10*math.Sqrt(0.1)/20e3) > 3e-3*want {
		t.Errorf("without the meter %v", deref(e.Unloaded))
	}
}
