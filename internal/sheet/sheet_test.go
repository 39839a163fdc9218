package sheet

import (
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/schematic"
)

func titles(d Document) []string {
	var out []string
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case Heading:
			out = append(out, b.Text)
		case Caution:
			out = append(out, b.Title)
		}
	}
	return out
}

func TestEmptySectionsAreLeftOut(t *testing.T) {
	got := strings.Join(titles(Sheet{}.Document()), ", ")
	if want := "Before you open it, For the next person"; got != want {
		t.Errorf("sections %s, want %s", got, want)
	}
}

func TestSectionsComeInReadingOrder(t *testing.T) {
	s := Sheet{
		Unit: "Amplifier", Drawing: &schematic.Drawing{}, Photos: []Photo{{}}, Parts: []PartRow{{}}, Expected: []ExpectedRow{{}},
		Symptoms: []string{"dark"}, Readings: []ReadingRow{{}}, Suspects: []SuspectRow{{}}, Repair: []string{"x"}, Work: []WorkRow{{}}, Method: []string{"y"},
	}
	got := strings.Join(titles(s.Document()), ", ")
	want := "Before you open it, Drawing, The board, Parts, What a good unit reads, What was seen, Readings taken, Suspects, " +
		"Found and repaired, Work done, How it was measured, For the next person"
	if got != want {
		t.Errorf("sections\n%s, want\n%s", got, want)
	}
}

// A table's columns share the whole width, and every row has all of them.
func TestTablesAreWhole(t *testing.T) {
	s := Sheet{Parts: []PartRow{{}}, Expected: []ExpectedRow{{}}, Readings: []ReadingRow{{}}, Suspects: []SuspectRow{{}}, Work: []WorkRow{{}}}
	n := 0
	for _, b := range s.Document().Blocks {
		tab, ok := b.(Table)
		if !ok {
			continue
		}
		n++
		sum := 0.0
		for _, w := range tab.Widths {
			sum += w
		}
		if sum < 0.999 || sum > 1.001 || len(tab.Widths) != len(tab.Head) || len(tab.Rows[0]) != len(tab.Head) {
			t.Errorf("table %v: widths add up to %g, %d cells under %d heads", tab.Head, sum, len(tab.Rows[0]), len(tab.Head))
		}
	}
	if n != 5 {
		t.Errorf("%d tables", n)
	}
}

func TestCautions(t *testing.T) {
	wait, long := 12.4, 5400.0
	for name, c := range map[string]struct {
		store Store
		want  string
	}{
		// 400 V, 80 mJ, 400 µC of 1 µF: CHECKS G41.
		"G41 small flash store": {Store{Part: "C1", Voltage: 400, Energy: 0.08, Charge: 400e-6, SecondsToSafe: &wait, Through: "R1", Hazardous: true},
			"C1 can hold 400 V (80 mJ, 400 µC) with the supply off; about 13 s to fall off through R1, and only if that is sound. Treat it as hazardous live."},
		"no bleeder": {Store{Part: "C2", Voltage: 9, Energy: 0.004},
			"C2 can hold 9 V (4 mJ) with the supply off and does not discharge by itself."},
		"a long time": {Store{Part: "C3", Voltage: 300, Energy: 1, SecondsToSafe: &long},
			"C3 can hold 300 V (1 J) with the supply off; about 90 min to fall off."},
	} {
		t.Run(name, func(t *testing.T) {
			if got := c.store.caution(); got != c.want {
				t.Errorf("%s\nwant %s", got, c.want)
			}
		})
	}
}

// The sheet never calls anything safe, and says that figures are no proof.
func TestCautionsPromiseNothing(t *testing.T) {
	s := Sheet{Stores: []Store{{Part: "C1", Voltage: 400, Energy: 17}}, Cautions: []string{"The case is live."}}
	all := strings.Join(s.cautions(), " ")
	for _, want := range []string{"qualified", "no proof", "measure across every one", "The case is live."} {
		if !strings.Contains(all, want) {
			t.Errorf("the cautions lack %q", want)
		}
	}
	for _, never := range []string{"is safe", "harmless", "no danger"} {
		if strings.Contains(all, never) {
			t.Errorf("the cautions say %q", never)
		}
	}
}

func TestPartsList(t *testing.T) {
	c := &circuit.Circuit{Parts: []circuit.Part{
		{Ref: "R1", Kind: circuit.Resistor, Amounts: map[string]circuit.Amount{
			"value": {Value: 4700, Unit: quantity.Ohm}, "tolerance": {Value: 0.05, Unit: quantity.Percent}, "power": {Value: 0.25, Unit: quantity.Watt}}},
		{Ref: "C1", Kind: circuit.Electrolytic, Amounts: map[string]circuit.Amount{
			"value": {Value: 100e-6, Unit: quantity.Farad}, "voltage": {Value: 16, Unit: quantity.Volt}}},
		{Ref: "B1", Kind: circuit.Battery, Amounts: map[string]circuit.Amount{"voltage": {Value: 9, Unit: quantity.Volt}}},
		{Ref: "Q1", Kind: circuit.NPN, Type: "BC547B", Amounts: map[string]circuit.Amount{"gain": {Value: 290}}},
		{Ref: "T1", Kind: circuit.Transformer, Windings: []circuit.Winding{{Name: "p", Turns: 600}, {Name: "s", Turns: 90}}},
	}}
	want := []PartRow{
		{Ref: "R1", What: "resistor", Value: "4.7 kΩ", Rating: "±5 %, 250 mW"},
		{Ref: "C1", What: "electrolytic capacitor", Value: "100 µF", Rating: "16 V"},
		{Ref: "B1", What: "battery", Value: "9 V"},
		{Ref: "Q1", What: "NPN transistor", Type: "BC547B", Rating: "gain 290"},
		{Ref: "T1", What: "transformer", Value: "600 : 90 turns"},
	}
	for i, got := range PartsOf(c) {
		if got != want[i] {
			t.Errorf("got %+v, want %+v", got, want[i])
		}
	}
}
