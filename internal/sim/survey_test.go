package sim_test

import (
	"context"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

func TestSurvey(t *testing.T) {
	for _, row := range []struct {
		name    string
		parts   []string
		says    string // "" for nothing amiss
		warning bool
	}{
		{"a sound circuit", []string{"BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k"}, "", false},
		{"a short across a battery", []string{"BT1 battery v gnd voltage=9", "R1 resistor v gnd value=0"}, "BT1 delivers", true},
		{"a short in one state only", []string{"BT1 battery v gnd voltage=9", "S1 switch v gnd"}, "BT1 delivers", true},
		{"a floating net", []string{"BT1 battery v gnd voltage=9", "C1 capacitor v a value=1", "C2 capacitor a gnd value=1"}, "net a has no path", true},
		{"ideal sources that contradict", []string{"BT1 battery v gnd voltage=9 resistance=0", "BT2 battery v gnd voltage=6 resistance=0"}, "BT1 and BT2", false},
		{"a value that is missing", []string{"R1 resistor v gnd"}, "value is not known", false},
		{"a circuit that swings", []string{"BT1 battery v gnd voltage=12", "K1 relay k gnd v x k coil_resistance=400 pull-in_voltage=8", "R1 resistor x gnd value=1k"}, "K1 does not come to rest", true},
	} {
		t.Run(row.name, func(t *testing.T) {
			states := []circuit.State{{}}
			if strings.Contains(row.name, "one state") {
				states = append(states, settings(t, "S1=closed"))
			}
			got, err := sim.Survey(context.Background(), build(t, row.parts...), states, sim.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if row.says == "" {
				if got != nil {
					t.Errorf("finds %v", got)
				}
				return
			}
			if len(got) != 1 || !strings.Contains(got[0].Text, row.says) || got[0].Warning != row.warning {
				t.Errorf("finds %+v, want %q", got, row.says)
			}
		})
	}
}
