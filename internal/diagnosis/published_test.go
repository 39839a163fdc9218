package diagnosis_test

import (
	"context"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/meter"
)

func ohms(red, black string, value float64) diagnosis.Reading {
	return diagnosis.Reading{Check: diagnosis.Check{Mode: meter.Ohms, Red: circuit.NetID(red), Black: circuit.NetID(black), State: "off"}, Value: value}
}

func volts(red string, value float64) diagnosis.Reading {
	return diagnosis.Reading{Check: diagnosis.Check{Mode: meter.VoltsDC, Red: circuit.NetID(red), Black: "chassis", State: "on"}, Value: value}
}

// amplifierStage is the divider-biased stage of the published fault tables:
// 9 V, NPN, base divider R1 over R2, collector R3, emitter R4.
func amplifierStage() *circuit.Circuit {
	return unit{"divider-biased stage", `
		B1 battery 9 supply chassis
		R1 resistor 47k supply base
		R2 resistor 10k base chassis
		R3 resistor 2k2 supply collector
		R4 resistor 560R emitter chassis
		Q1 npn collector base emitter gain=200
		state off B1=off
		state on`}.circuit()
}

// TestPublishedSymptoms: the readings that troubleshooting texts print for a
// fault lead back to it.
func TestPublishedSymptoms(t *testing.T) {
	for _, tc := range []struct {
		name     string
		readings []diagnosis.Reading
		part     circuit.PartRef
		faults   []diagnosis.Name
	}{
		{"E22 R1 open: base and emitter 0 V, collector at the supply (Knott)",
			[]diagnosis.Reading{volts("base", 0), volts("emitter", 0), volts("collector", 9)}, "R1", []diagnosis.Name{diagnosis.Open, diagnosis.DryJoint}},
		{"E23 R2 open: collector low, emitter high (Knott)",
			[]diagnosis.Reading{volts("collector", 1.87), volts("emitter", 1.83), volts("base", 2.53)}, "R2", []diagnosis.Name{diagnosis.Open, diagnosis.DryJoint}},
		{"E24 R3 open: base low, emitter 0.1 V, collector a junction below the base (Knott)",
			[]diagnosis.Reading{volts("base", 0.74), volts("emitter", 0.09), volts("collector", 0.14)}, "R3", []diagnosis.Name{diagnosis.Open, diagnosis.DryJoint}},
		{"E25 R4 open: collector at the supply, emitter held up by the meter alone (Knott)",
			[]diagnosis.Reading{volts("collector", 9), volts("emitter", 1.2), volts("base", 1.55)}, "R4", []diagnosis.Name{diagnosis.Open, diagnosis.DryJoint}},
		{"E26 B–E short: no drop, no collector current (BRATS)",
			[]diagnosis.Reading{volts("base", 0.1), volts("emitter", 0.1), volts("collector", 9)}, "Q1", []diagnosis.Name{diagnosis.Short}},
		{"E27 collector = emitter: shorted (INS038E)",
			[]diagnosis.Reading{volts("collector", 1.88), volts("emitter", 1.88), volts("base", 1.58)}, "Q1", []diagnosis.Name{diagnosis.Short}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			a := suspects(t, amplifierStage(), diagnosis.Evidence{Readings: tc.readings})
			top := a.Suspects[0]
			if top.Part == nil || *top.Part != tc.part || !among(top.Fault, tc.faults) {
				t.Errorf("first suspect is %s with %.2f, published %s %v", top.Text, top.Probability, tc.part, tc.faults)
			}
		})
	}
}

func among(f diagnosis.Name, list []diagnosis.Name) bool {
	for _, g := range list {
		if f == g {
			return true
		}
	}
	return false
}

func suspects(t *testing.T, c *circuit.Circuit, ev diagnosis.Evidence) diagnosis.Answer {
	t.Helper()
	a, err := diagnosis.Suspects(context.Background(), c, ev, diagnosis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Suspects) == 0 {
		t.Fatalf("no suspects: %s", a.Verdict)
	}
	return a
}

// TestParallelReadings: Grob's parallel readings taken as they are mean a good
// unit, and an open branch is named when the part alone is read.
func TestParallelReadings(t *testing.T) {
	for _, tc := range []struct {
		name           string
		one, other     string
		read           float64
		open           circuit.PartRef
		alone, healthy bool
	}{
		{"D21 40 Ω beside 60 Ω reads 24 Ω (Grob ex. 5-6)", "40R", "60R", 24, "", false, true},
		{"D22 50 kΩ beside 50 kΩ reads 25 kΩ (Grob ex. 5-7)", "50k", "50k", 25e3, "", false, true},
		{"D21 40 Ω read alone: the 60 Ω branch is open", "40R", "60R", 40, "R2", true, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := unit{"two in parallel", "B1 battery 9 a chassis\nR1 resistor " + tc.one + " a chassis\nR2 resistor " + tc.other + " a chassis\nstate off B1=off\nstate on"}.circuit()
			a := suspects(t, c, diagnosis.Evidence{Readings: []diagnosis.Reading{ohms("a", "chassis", tc.read)}})
			if tc.healthy {
				for _, s := range a.Suspects {
					if s.Part != nil && (*s.Part == "R1" || *s.Part == "R2") && s.Probability > 0.05 {
						t.Errorf("%s is suspected with %.2f although the pair reads right", s.Text, s.Probability)
					}
				}
				return
			}
			if top := a.Suspects[0]; *top.Part != tc.open {
				t.Errorf("first suspect %s, want %s open", top.Text, tc.open)
			}
		})
	}
}

// TestAmbiguityGroups holds the rule of E20: faults with the same response at
// all places that may be read are one group, others are not.
func TestAmbiguityGroups(t *testing.T) {
	group := func(a diagnosis.Answer, part circuit.PartRef, f diagnosis.Name) int {
		for _, s := range a.Suspects {
			if s.Part != nil && *s.Part == part && s.Fault == f {
				return s.Group
			}
		}
		t.Fatalf("%s %s is not among the suspects", part, f)
		return 0
	}
	t.Run("E20 opens of a chain between the same two places are one group", func(t *testing.T) {
		// R1 and F1 share their only inner net with nothing that a lead may
		// touch: here they are two parts on the same two nets in parallel paths.
		c := unit{"chain", "B1 battery 9 s chassis\nR1 resistor 1k s m\nR2 resistor 1k s m\nR3 resistor 1k m chassis\nstate off B1=off\nstate on"}.circuit()
		a := suspects(t, c, diagnosis.Evidence{Readings: []diagnosis.Reading{ohms("s", "m", 1000)}})
		if group(a, "R1", diagnosis.Open) != group(a, "R2", diagnosis.Open) {
			t.Error("one of two equal resistors in parallel is open: no reading says which, yet they are two groups")
		}
	})
	t.Run("E20 divider: R1 high and R2 low are told apart by ohms across each", func(t *testing.T) {
		c := unit{"divider", "B1 battery 9 s chassis\nR1 resistor 10k s m\nR2 resistor 10k m chassis\nstate off B1=off\nstate on"}.circuit()
		ratio := volts("m", 3)
		before := suspects(t, c, diagnosis.Evidence{Readings: []diagnosis.Reading{ratio}})
		if p, q := chance(before, "R1", diagnosis.ValueHigh), chance(before, "R2", diagnosis.ValueLow); p < 0.03 || q < 0.03 {
			t.Errorf("3 V of 9 V: R1 high %.2f, R2 low %.2f; either must stay possible", p, q)
		}
		after := suspects(t, c, diagnosis.Evidence{Readings: []diagnosis.Reading{ratio, ohms("m", "chassis", 5000)}})
		if p := chance(after, "R2", diagnosis.ValueLow); p < 0.9 {
			t.Errorf("R2 reads half its value, yet R2 low has %.2f", p)
		}
	})
	t.Run("open part and dry joint of its lead are one group", func(t *testing.T) {
		a := suspects(t, amplifierStage(), diagnosis.Evidence{Readings: []diagnosis.Reading{volts("base", 0), volts("emitter", 0)}})
		if group(a, "R1", diagnosis.Open) != group(a, "R1", diagnosis.DryJoint) {
			t.Error("R1 open and a dry joint at R1 are two groups")
		}
	})
}

func chance(a diagnosis.Answer, part circuit.PartRef, f diagnosis.Name) float64 {
	for _, s := range a.Suspects {
		if s.Part != nil && *s.Part == part && s.Fault == f {
			return s.Probability
		}
	}
	return 0
}

// TestOtherKinds: parts beyond resistors and transistors are suspects too.
func TestOtherKinds(t *testing.T) {
	regulated := unit{"regulated", `
		B1 battery 9 supply chassis
		U1 regulator 5 supply reg chassis
		R1 resistor 470R reg chassis
		Q1 jfet-n reg chassis source
		R2 resistor 1k source chassis
		state off B1=off
		state on`}.circuit()
	for _, tc := range []struct {
		name     string
		readings []diagnosis.Reading
		part     circuit.PartRef
	}{
		{"no output from a supplied regulator", []diagnosis.Reading{volts("supply", 8.95), volts("reg", 0)}, "U1"},
		{"a field-effect transistor that passes all", []diagnosis.Reading{volts("reg", 5.02), volts("source", 4.99)}, "Q1"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			top := suspects(t, regulated, diagnosis.Evidence{Readings: tc.readings}).Suspects[0]
			if top.Part == nil || *top.Part != tc.part {
				t.Errorf("first suspect is %s with %.2f, want %s", top.Text, top.Probability, tc.part)
			}
		})
	}
}
