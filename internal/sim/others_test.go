package sim_test

import (
	"context"
	"math"
	"testing"

	"foilside/internal/circuit"
)

// TestLatchesHaveFurtherPoints: what a bench knows to stay either way has two
// operating points that it would stay at.
func TestLatchesHaveFurtherPoints(t *testing.T) {
	bistable := []string{"BT1 battery v gnd voltage=9", "R1 resistor v a value=1k", "R2 resistor v b value=1k", "R3 resistor a y value=22k", "R4 resistor b x value=22k", "Q1 npn a x gnd gain=200", "Q2 npn b y gnd gain=200"}
	for _, row := range []struct {
		name  string
		parts []string
		net   circuit.NetID
		low   float64 // a stable point has the net here
		high  float64 // and another here
	}{
		{"bistable of two transistors", bistable, "a", 0.1, 8.6},
		{"thyristor with its gate let go", []string{"BT1 battery v gnd voltage=12", "R1 resistor v a value=120", "Q1 scr a gnd g", "R2 resistor g gnd value=1k"}, "a", 0.82, 12},
		{"neon lamp between maintaining and striking", []string{"BT1 battery v gnd voltage=70", "R1 resistor v a value=47k", "DS1 neon a gnd striking_voltage=75 maintaining_voltage=60"}, "a", 60.5, 70},
		{"relay that holds itself", []string{"BT1 battery v gnd voltage=12", "K1 relay k gnd v k x coil_resistance=400 pull-in_voltage=8", "R1 resistor x gnd value=1k"}, "k", 0, 12},
	} {
		t.Run(row.name, func(t *testing.T) {
			in, err := compile(t, build(t, row.parts...)).Instance(circuit.State{}, nil)
			if err != nil {
				t.Fatal(err)
			}
			first, err := in.Solve(context.Background(), nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			others, err := in.Others(context.Background(), first)
			if err != nil {
				t.Fatal(err)
			}
			if v := volts(t, first, row.net); math.Abs(v-row.low) > 0.1+0.02*row.low && math.Abs(v-row.high) > 0.1+0.02*row.high {
				t.Errorf("the first point has %g V, where the circuit would not stay", v)
			}
			var low, high bool
			for _, s := range append(others, first) {
				balanced(t, in.Model().Circuit(), s)
				v := volts(t, s, row.net)
				low = low || math.Abs(v-row.low) < 0.1+0.02*row.low
				high = high || math.Abs(v-row.high) < 0.1+0.02*row.high
			}
			if !low || !high {
				t.Errorf("%d further points; low %v, high %v", len(others), low, high)
			}
		})
	}
	t.Run("an op-amp with positive feedback stays at a rail", func(t *testing.T) {
		s := solve(t, build(t, "BT1 battery p gnd voltage=12", "BT2 battery gnd n voltage=12", "R1 resistor o i value=10k", "R2 resistor i gnd value=10k", "R3 resistor gnd m value=1k", "U1 opamp i m o p n"), circuit.State{}, nil)
		if v := volts(t, s, "o"); math.Abs(v) < 10 {
			t.Errorf("its output stands at %g V", v)
		}
	})
	t.Run("an amplifier has one", func(t *testing.T) {
		in, err := compile(t, build(t, amplifier(3)...)).Instance(circuit.State{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		first, err := in.Solve(context.Background(), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		if others, err := in.Others(context.Background(), first); err != nil || len(others) > 0 {
			t.Errorf("%d further points, %v", len(others), err)
		}
	})
}
