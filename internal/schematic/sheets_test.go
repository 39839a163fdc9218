package schematic

import (
	"context"
	"slices"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/schematic/trial"
)

// Larger circuits come out on several sheets that together read as the circuit,
// none overfull, and the same again the next time.
func TestLargerCircuitsTakeSeveralSheets(t *testing.T) {
	for seed, parts := range []int{75, 100, 140} {
		c := trial.Random(uint64(seed), parts)
		if seed == 1 {
			var err error
			if c, err = trial.Composed(9, parts); err != nil {
				t.Fatal(err)
			}
		}
		d, err := Draw(context.Background(), c, Options{Attempts: 1})
		if err != nil {
			t.Fatal(err)
		}
		sound(t, c, d)
		on := map[int]int{}
		for _, p := range d.Parts {
			on[p.Sheet]++
		}
		if want := (parts + sheetParts - 1) / sheetParts; len(on) != want {
			t.Errorf("%d parts on %d sheets, wanted %d", parts, len(on), want)
		}
		for s, n := range on {
			if n > sheetParts*4/3+8 {
				t.Errorf("%d parts on sheet %d", n, s)
			}
		}
		sum := 0
		for i := range d.Sheets {
			s := d.OnSheet(i)
			sum += len(s.Parts)
			if bad := s.Conflicts(); len(bad) > 0 {
				t.Errorf("sheet %d: %v", i+1, bad)
			}
		}
		if sum != len(c.Parts) {
			t.Errorf("the sheets hold %d parts of %d", sum, len(c.Parts))
		}
	}
}

// Two amplifiers joined by one wire are cut at that wire.
func TestTheCutIsWhereFewestNetsPass(t *testing.T) {
	one, err := trial.Composed(4, 40)
	if err != nil {
		t.Fatal(err)
	}
	c := &circuit.Circuit{Common: one.Common, Parts: slices.Clone(one.Parts)}
	for _, p := range one.Parts { // the same again, its input on the first one's output
		p.Ref += "99"
		p.Leads = slices.Clone(p.Leads)
		for i := range p.Leads {
			if n := p.Leads[i].Net; n != "gnd" && n != "supply" {
				p.Leads[i].Net = "x" + n
			}
		}
		if p.Kind != circuit.Battery && p.Kind != circuit.Signal {
			c.Parts = append(c.Parts, p)
		}
	}
	nets := one.Nets()
	last := nets[len(nets)-1].ID
	c.Parts = append(c.Parts, circuit.Part{Ref: "C999", Kind: circuit.Capacitor, Amounts: map[string]circuit.Amount{}, Words: map[string]string{},
		Leads: []circuit.Lead{{Name: "1", Net: last}, {Name: "2", Net: "x" + last}}})
	c.SortParts()
	v := viewNets(c)
	v.setLevels(c)
	s, err := shareOut(context.Background(), c, v, nil)
	if err != nil {
		t.Fatal(err)
	}
	cut := map[int]bool{}
	first := map[int]int{}
	for i, p := range c.Parts {
		for _, l := range p.Leads {
			net := v.index[l.Net]
			if v.rail[net] != noRail {
				continue
			}
			if at, ok := first[net]; ok && at != s.of[i] {
				cut[net] = true
			}
			first[net] = s.of[i]
		}
	}
	if len(cut) > 1 {
		t.Errorf("%d nets are cut where one would do", len(cut))
	}
}
