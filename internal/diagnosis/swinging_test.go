package diagnosis_test

import (
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/sim"
)

// TestASwingingUnitIsReadOverItsCycle: a rectifier's reservoir stands at the
// peaks, which no operating point shows; what the settled cycle of a unit with
// an open diode makes the meter show leads to that diode.
func TestASwingingUnitIsReadOverItsCycle(t *testing.T) {
	c := unit{"half-wave rectifier", `
		G1 signal wave chassis voltage=12 frequency=50 resistance=1
		R1 resistor 10R wave fed
		D1 diode fed out
		C1 electrolytic 100u out chassis
		R2 resistor 2k2 out half
		R3 resistor 2k2 half chassis
		state off G1=off
		state on`}.circuit()
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	state, _ := c.State("on")
	shows := func(v sim.Variant, net circuit.NetID) diagnosis.Reading {
		s, err := model.Settle(t.Context(), state, sim.SettleOptions{Variant: v})
		if err != nil {
			t.Fatal(err)
		}
		cycle, _ := s.Net(net)
		return volts(string(net), cycle.Average)
	}
	p := predictor(t, c, diagnosis.Options{})
	_, good := assess(t, p, diagnosis.Evidence{Readings: []diagnosis.Reading{shows(nil, "out"), shows(nil, "half")}}, harmless)
	if good.Outside > 0.2 || chance(good, "D1", diagnosis.Open) > 0.01 {
		t.Errorf("a good unit's own average: outside %.2f, D1 open %.2f", good.Outside, chance(good, "D1", diagnosis.Open))
	}
	dead := sim.Variant{sim.Remove("D1")}
	_, a := assess(t, p, diagnosis.Evidence{Readings: []diagnosis.Reading{shows(dead, "out"), ohms("wave", "fed", 10), ohms("out", "chassis", 4400)}}, harmless)
	// The source itself may be dead: its average is 0 V either way.
	if p := share(a, "D1"); p < 0.15 || p+share(a, "G1") < 0.8 {
		t.Errorf("nothing comes through D1, yet it has %.2f and the source %.2f: %s", p, share(a, "G1"), a.Verdict)
	}
}
