package diagnosis

import (
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/num/bayes"
)

// TestAheadSeesThePair: a reading that tells nothing by itself wins where it
// makes the next one cheap; one that ends the search wins over both.
func TestAheadSeesThePair(t *testing.T) {
	p, err := New(&circuit.Circuit{Parts: []circuit.Part{{Ref: "R1", Kind: circuit.Resistor,
		Amounts: map[string]circuit.Amount{"value": {Value: 1000}}, Leads: []circuit.Lead{{Name: "1", Net: "a"}, {Name: "2", Net: "b"}}}}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	prior := []float64{0.5, 0.5}
	cold := option{check: Check{Mode: meter.Ohms, Red: "a", Black: "b"}, rows: [][]float64{{0.7, 0.3}, {0.3, 0.7}}}
	alive := option{check: Check{Mode: meter.VoltsDC, Red: "a", Black: "b"}, rows: [][]float64{{1, 0}, {0, 1}}}
	dear := option{check: Check{Mode: meter.VoltsDC, Red: "a", Black: "b", State: ""}, rows: cold.rows}
	none := func(int) bool { return false }
	if a, b := p.ahead(prior, []option{cold, alive}, none, situation{}, 1), p.ahead(prior, []option{cold, alive}, none, situation{}, 0); a <= b {
		t.Errorf("the reading that ends the search is worth %.4f, the poor one before it %.4f", a, b)
	}
	if a, b := p.ahead(prior, []option{cold, dear}, none, situation{}, 0), p.ahead(prior, []option{cold, dear}, none, situation{}, 1); a <= b {
		t.Errorf("alike but for the power: cold first is worth %.4f, alive first %.4f", a, b)
	}
}

// TestCoarsenedKeepsWhatTells: joining ranges keeps rows whole and loses little.
func TestCoarsenedKeepsWhatTells(t *testing.T) {
	prior := []float64{0.5, 0.3, 0.2}
	rows := [][]float64{{0.3, 0.3, 0.3, 0.1, 0, 0, 0, 0, 0, 0}, {0, 0, 0, 0.1, 0.3, 0.3, 0.3, 0, 0, 0}, {0, 0, 0, 0, 0, 0, 0.1, 0.3, 0.3, 0.3}}
	got := coarsened(prior, rows)
	for i, row := range got {
		var sum float64
		for _, v := range row {
			sum += v
		}
		if math.Abs(sum-1) > 1e-12 || len(row) > aheadRanges {
			t.Errorf("suspect %d: %d ranges hold %g", i, len(row), sum)
		}
	}
	if before, after := bayes.Information(prior, rows), bayes.Information(prior, got); after < 0.98*before {
		t.Errorf("%.3f bits of %.3f are left", after, before)
	}
}
