package sim_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"foilside/internal/circuit"
)

// TestOperatingPointsLikeSciPy compares whole circuits with the roots that
// SciPy finds of equations written out by hand (crosscheck/operating_points.py
// makes the file anew). 1e-9 relative; the equations there are balanced to
// 1e-13 A, which high resistances turn into some nanovolts.
func TestOperatingPointsLikeSciPy(t *testing.T) {
	text, err := os.ReadFile("testdata/scipy_reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows []struct {
		Name  string
		Parts []string
		Volts map[circuit.NetID]float64
	}
	if err := json.Unmarshal(text, &rows); err != nil {
		t.Fatal(err)
	}
	if len(rows) < 12 {
		t.Fatalf("only %d circuits in the file", len(rows))
	}
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			s := solve(t, build(t, row.Parts...), circuit.State{}, nil)
			for net, want := range row.Volts {
				near(t, string(net), volts(t, s, net), want, 1e-9*math.Abs(want)+5e-9)
			}
		})
	}
}
