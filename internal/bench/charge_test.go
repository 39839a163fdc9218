package bench

import (
	"testing"

	"foilside/internal/charge"
	"foilside/internal/diagnosis"
)

// Stored charge is judged over the copper's faults, too: a bridge to the high
// voltage fills a capacitor that no fault of a part would, and nothing is
// thought less of than by the parts alone.
func TestChargeCountsTheCopper(t *testing.T) {
	b := demoBench(t, "survey")
	built, err := b.Circuit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	faults := diagnosis.Faults(built.Circuit, diagnosis.DefaultPriors())
	parts, err := charge.Assess(t.Context(), built.Circuit, faults, charge.Options{Shelf: b.shelf})
	if err != nil {
		t.Fatal(err)
	}
	all, err := b.Charge(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	volts := map[string]float64{}
	for _, s := range all.Stores {
		volts[string(s.Part)] = s.Voltage
	}
	more := 0
	for _, s := range parts.Stores {
		switch got := volts[string(s.Part)]; {
		case got < s.Voltage:
			t.Errorf("%s: %.1f V with the copper's faults, %.1f V without", s.Part, got, s.Voltage)
		case got > 1.2*s.Voltage:
			more++
		}
	}
	if more == 0 {
		t.Error("no capacitor can hold more by a fault of the copper: the bridges are not counted")
	}
}
