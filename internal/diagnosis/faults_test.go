package diagnosis

import (
	"math"
	"testing"

	"foilside/internal/circuit"
)

// TestSharesAreWhole: every kind's modes make up all its failures.
func TestSharesAreWhole(t *testing.T) {
	for _, r := range records() {
		var sum float64
		for _, m := range r.modes {
			if m.source == "" {
				t.Errorf("%s %s has no source", r.kind, m.fault)
			}
			sum += m.share
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("%s: shares sum to %g", r.kind, sum)
		}
		if r.source == "" || r.rate <= 0 {
			t.Errorf("%s: rate %g from %q", r.kind, r.rate, r.source)
		}
	}
}

func TestEveryKindHasARecord(t *testing.T) {
	for _, k := range circuit.Kinds() {
		if k == circuit.Connector || k == circuit.TestPoint {
			continue // they fail at their joints and wires, not in themselves
		}
		if _, ok := recordOf(circuit.Part{Kind: k}); !ok {
			t.Errorf("no record of how a %s fails", k)
		}
	}
}

// TestPublishedShares holds single figures against MIL-HDBK-338B as stored in
// the reliability project (F rows).
func TestPublishedShares(t *testing.T) {
	share := func(k circuit.Kind, names ...Name) float64 {
		r, _ := recordOf(circuit.Part{Kind: k})
		var sum float64
		for _, m := range r.modes {
			for _, n := range names {
				if m.fault == n {
					sum += m.share
				}
			}
		}
		return sum
	}
	for _, tc := range []struct {
		name string
		got  float64
		want float64
	}{
		{"F09 film resistor open", share(circuit.Resistor, Open), 0.59},
		{"F09 film resistor change", share(circuit.Resistor, ValueHigh, ValueLow), 0.36},
		{"F09 film resistor short", share(circuit.Resistor, Short), 0.05},
		{"F02 aluminium electrolytic short", share(circuit.Electrolytic, Short), 0.53},
		{"F02 aluminium electrolytic open", share(circuit.Electrolytic, Open), 0.35},
		{"F02 aluminium electrolytic leakage", share(circuit.Electrolytic, Leaky), 0.10},
		{"F12 variable resistor open", share(circuit.Potentiometer, Open), 0.53},
		{"F13 diode short", share(circuit.Diode, Short), 0.49},
		{"F13 diode open", share(circuit.Diode, Open), 0.36},
		{"F18 light-emitting diode open", share(circuit.LED, Open), 0.70},
		{"F21 transformer open", share(circuit.Transformer, Open), 0.42},
		{"F21 transformer short", share(circuit.Transformer, Short, ShortedTurns), 0.42},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if math.Abs(tc.got-tc.want) > 1e-9 {
				t.Errorf("share %g, published %g", tc.got, tc.want)
			}
		})
	}
	// F14 leaves no share for change; what is kept for it leaves the ratio.
	if got := share(circuit.NPN, Short) / share(circuit.NPN, Open); math.Abs(got/(0.73/0.27)-1) > 0.01 {
		t.Errorf("F14 bipolar short over open: %g, published %g", got, 0.73/0.27)
	}
}

// TestPublishedOrder is the quick ordering of F75 as far as kinds of this
// program go.
func TestPublishedOrder(t *testing.T) {
	small := circuit.Part{Kind: circuit.NPN}
	power := circuit.Part{Kind: circuit.NPN, Amounts: map[string]circuit.Amount{"power": {Value: 40}}}
	order := []circuit.Part{{Kind: circuit.UJT}, {Kind: circuit.Potentiometer}, {Kind: circuit.Electrolytic}, power,
		{Kind: circuit.Diode}, {Kind: circuit.Zener}, {Kind: circuit.SCR}, {Kind: circuit.Capacitor}, {Kind: circuit.Switch}, {Kind: circuit.Resistor}, small}
	for i := 1; i < len(order); i++ {
		a, _ := recordOf(order[i-1])
		b, _ := recordOf(order[i])
		if a.rate <= b.rate {
			t.Errorf("F75: %s (%g) must fail more often than %s (%g)", order[i-1].Kind, a.rate, order[i].Kind, b.rate)
		}
	}
}

func TestFaultsSumToOne(t *testing.T) {
	c := &circuit.Circuit{Parts: []circuit.Part{
		{Ref: "R1", Kind: circuit.Resistor, Leads: []circuit.Lead{{Name: "1", Net: "a"}, {Name: "2", Net: "b"}}},
		{Ref: "Q1", Kind: circuit.NPN, Leads: []circuit.Lead{{Name: "c", Net: "a"}, {Name: "b", Net: "b"}, {Name: "e", Net: "0"}}},
		{Ref: "T1", Kind: circuit.Transformer, Windings: []circuit.Winding{{Name: "primary"}, {Name: "secondary"}},
			Leads: []circuit.Lead{{Name: "primary.1", Net: "a"}, {Name: "primary.2", Net: "b"}, {Name: "secondary.1", Net: "c"}, {Name: "secondary.2", Net: "0"}}},
	}}
	var sum float64
	keys := map[string]bool{}
	for _, f := range Faults(c, DefaultPriors()) {
		sum += f.Prior
		if keys[f.String()] {
			t.Errorf("%s stands twice", f)
		}
		keys[f.String()] = true
		var share float64
		for _, l := range laddersOf(c, f) {
			share += l.share
			if len(l.rungs) > 1 && len(l.marks) != len(l.rungs) {
				t.Errorf("%s: %d marks for %d rungs", f, len(l.marks), len(l.rungs))
			}
		}
		if math.Abs(share-1) > 1e-9 {
			t.Errorf("%s: its ladders hold %g of it", f, share)
		}
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("priors sum to %g", sum)
	}
	for _, want := range []string{"Q1 open at b", "Q1 short from c to e", "Q1 dry-joint at e", "T1 open (secondary)", "R1 value-high"} {
		found := false
		for _, f := range Faults(c, DefaultPriors()) {
			found = found || f.String() == want
		}
		if !found {
			t.Errorf("%q is not listed", want)
		}
	}
}
