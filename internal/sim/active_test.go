package sim_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// TestActiveKinds holds the devices with three and more ends against figures
// worked by hand or printed.
func TestActiveKinds(t *testing.T) {
	for _, row := range []published{
		{name: "junction FET at zero bias draws its zero-bias current",
			parts: []string{"BT1 battery v gnd voltage=15 resistance=0", "Q1 jfet-n v gnd gnd threshold=-3 zero-bias_current=0.01"},
			want:  []want{{"Q1.d", 10e-3, 0.01e-3}}},
		// Id = 10 mA·(1 − Id·1 kΩ/3 V)²: Id = (23 − √129)·3/20 mA.
		{name: "junction FET with 1 kΩ in its source",
			parts: []string{"BT1 battery v gnd voltage=15 resistance=0", "Q1 jfet-n v gnd s threshold=-3 zero-bias_current=0.01", "R1 resistor s gnd value=1k"},
			want:  []want{{"s", 1.7463, 0.002}}},
		{name: "p-channel junction FET, mirror image",
			parts: []string{"BT1 battery gnd v voltage=15 resistance=0", "Q1 jfet-p v gnd s threshold=3 zero-bias_current=0.01", "R1 resistor s gnd value=1k"},
			want:  []want{{"s", -1.7463, 0.002}}},
		// k = gm²/(4·I) = 0.05; Vov = √(10 mA/0.05) = 0.4472 V.
		{name: "MOSFET as its own load",
			parts: []string{"BT1 battery v gnd voltage=12.447 resistance=0", "R1 resistor v d value=1k", "Q1 mosfet-n d d gnd threshold=2 transconductance=0.1@0.05"},
			want:  []want{{"d", 2.4472, 0.002}}},
		{name: "p-channel MOSFET switched on",
			parts: []string{"BT1 battery v gnd voltage=12 resistance=0", "Q1 mosfet-p d gnd v threshold=-2 transconductance=1@1", "R1 resistor d gnd value=120"},
			want:  []want{{"v-d", 0.02, 0.005}}},
		{name: "body diode of a MOSFET",
			parts: []string{"BT1 battery gnd v voltage=10 resistance=0", "R1 resistor v d value=100", "Q1 mosfet-n d gnd gnd threshold=2"},
			want:  []want{{"d", -0.8, 0.05}}},
		// Data-sheet points, from memory.
		{name: "ECC83 at 250 V and −2 V draws 1.2 mA",
			parts: []string{"BT1 battery a gnd voltage=250 resistance=0", "BT2 battery gnd g voltage=2 resistance=0", "V1 triode a g gnd amplification_factor=100 mutual_conductance=0.0016@0.0012"},
			want:  []want{{"V1.a", 1.2e-3, 0.06e-3}, {"V1.g", 0, 5e-6}}},
		{name: "ECC82 at 250 V and −8.5 V draws 10 mA",
			parts: []string{"BT1 battery a gnd voltage=250 resistance=0", "BT2 battery gnd g voltage=8.5 resistance=0", "V1 triode a g gnd amplification_factor=17 mutual_conductance=0.0022@0.01"},
			want:  []want{{"V1.a", 10e-3, 0.5e-3}}},
		{name: "triode cut off",
			parts: []string{"BT1 battery v gnd voltage=250 resistance=0", "R1 resistor v a value=100k", "BT2 battery gnd g voltage=6 resistance=0", "V1 triode a g gnd amplification_factor=100"},
			want:  []want{{"a", 250, 0.1}}},
		// E = 1.5·Ia/gm = 3.75 V; the knee leaves 250/262 of it.
		{name: "pentode near its working point",
			parts: []string{"BT1 battery a gnd voltage=250 resistance=0", "BT2 battery gnd g voltage=9.35 resistance=0", "V1 pentode a g a gnd gnd amplification_factor=20 mutual_conductance=0.002@0.005"},
			want:  []want{{"V1.a", 4.77e-3, 0.05e-3}, {"V1.g3", 0, 1e-6}}},
		{name: "thyristor off", parts: scr(), want: []want{{"a", 12, 0.001}, {"Q1.g", 0, 1e-6}}},
		{name: "thyristor fired", parts: scr(), state: "S1=closed", want: []want{{"a", 0.85, 0.1}}},
		{name: "C62 LIEC Semi ch.7: a thyristor's anode is open to a meter either way", parts: []string{"BT1 battery v gnd voltage=2", "R1 resistor v a value=1k", "Q1 scr a gnd g"}, want: []want{{"a", 2, 0.001}}},
		{name: "triac fired in reverse", parts: []string{"BT1 battery gnd v voltage=12 resistance=0", "R1 resistor v a value=120", "Q1 triac gnd a g", "R2 resistor v g value=470"}, want: []want{{"a", -0.85, 0.1}}},
		{name: "C53 Miller, Miniature Neon Lamps: dark at 50 V, no useful current", parts: neon("50"), want: []want{{"DS1.1", 0, 0.1e-6}}},
		{name: "C54 trade data: a neon lamp lit stands at its maintaining voltage", parts: neon("120"), want: []want{{"a", 62, 2}}},
		{name: "neon lamp lit the other way round", parts: []string{"BT1 battery gnd v voltage=120", "R1 resistor v a value=47k", "DS1 neon a gnd striking_voltage=75 maintaining_voltage=60"}, want: []want{{"a", -62, 2}}},
		{name: "gas tube holds a voltage", parts: []string{"BT1 battery v gnd voltage=300", "R1 resistor v a value=10k", "V1 gas-tube a gnd striking_voltage=180 maintaining_voltage=150"}, want: []want{{"a", 151.5, 0.5}}},
		{name: "flash tube holds off", parts: []string{"BT1 battery v gnd voltage=330", "R1 resistor v a value=10k", "V1 flash-tube a gnd t hold-off_voltage=600"}, want: []want{{"a", 330, 0.01}}},
		{name: "C37 LIEC Semi ch.7: unijunction, below its peak of 8.2 V", parts: ujt("8.0"), want: []want{{"Q1.e", 0, 3e-6}}},
		{name: "C37 LIEC Semi ch.7: unijunction, above its peak of 8.2 V", parts: ujt("8.5"), want: []want{{"e", 2, 1}}},
		{name: "relay pulled in", parts: []string{"BT1 battery v gnd voltage=12 resistance=0", "K1 relay v gnd v a b coil_resistance=400 pull-in_voltage=8", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"}, want: []want{{"a", 12, 0.001}, {"b", 0, 1e-7}}},
		{name: "relay below pull-in", parts: []string{"BT1 battery v gnd voltage=7 resistance=0", "K1 relay v gnd v a b coil_resistance=400 pull-in_voltage=8", "R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"}, want: []want{{"a", 0, 1e-7}, {"b", 7, 0.001}}},
		{name: "relay that holds itself", parts: []string{"BT1 battery v gnd voltage=12 resistance=0", "K1 relay k gnd v k x coil_resistance=400 pull-in_voltage=8", "R1 resistor x gnd value=1k"}, want: []want{{"k", 0, 1e-6}}},
		// With rails of ±15 V and a gain of −10.
		{name: "op-amp, inverting", parts: []string{"BT1 battery p gnd voltage=15", "BT2 battery gnd n voltage=15", "BT3 battery i gnd voltage=0.5 resistance=0", "R1 resistor i m value=1k", "R2 resistor m o value=10k", "U1 opamp gnd m o p n"}, want: []want{{"o", -5, 0.005}, {"m", 0, 0.001}}},
		{name: "op-amp against its rail", parts: []string{"BT1 battery p gnd voltage=15", "BT2 battery gnd n voltage=15", "BT3 battery i gnd voltage=0.5 resistance=0", "U1 opamp i gnd o p n", "R1 resistor o gnd value=10k"}, want: []want{{"o", 13.7, 0.3}}},
		{name: "B84 Boylestad & Nashelsky 10e ex. 15.10: op-amp regulator",
			parts: []string{"BT1 battery v gnd voltage=36 resistance=0", "R3 resistor v z value=4.7k", "D1 zener gnd z zener_voltage=6.2@0.0063", "U1 opamp z f b v gnd", "Q1 npn v b o gain=100 current=2", "R1 resistor o f value=30k", "R2 resistor f gnd value=10k", "RL resistor o gnd value=1k"},
			want:  []want{{"o", 24.8, 0.05}}},
		{name: "regulator", parts: []string{"BT1 battery v gnd voltage=12", "U1 regulator v o gnd output_voltage=5", "R1 resistor o gnd value=50"}, want: []want{{"o", 5, 0.02}, {"U1.com", -5.25e-3, 0.1e-3}}},
		{name: "regulator starved", parts: []string{"BT1 battery v gnd voltage=5 resistance=0", "U1 regulator v o gnd output_voltage=5", "R1 resistor o gnd value=500"}, want: []want{{"o", 3, 0.05}}},
		{name: "negative regulator", parts: []string{"BT1 battery gnd v voltage=20", "U1 regulator v o gnd output_voltage=-12", "R1 resistor o gnd value=120"}, want: []want{{"o", -12, 0.05}}},
		{name: "optocoupler at its transfer ratio", parts: []string{"BT1 battery v gnd voltage=10", "R1 resistor v a value=1.76k", "U1 optocoupler a gnd c gnd transfer_ratio=0.5", "R2 resistor v c value=1k"}, want: []want{{"U1.c", 2.5e-3, 0.1e-3}}},
		{name: "timer at rest", parts: timer("9"), want: []want{{"o", 0, 0.2}, {"c", 6, 0.01}}},
		{name: "timer triggered", parts: timer("1"), want: []want{{"o", 7.6, 0.2}}},
	} {
		t.Run(row.name, row.run)
	}
}

func scr() []string {
	return []string{"BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v a value=120", "Q1 scr a gnd g", "R2 resistor v x value=1k", "S1 switch x g", "R3 resistor g gnd value=1k"}
}

func neon(volts string) []string {
	return []string{"BT1 battery v gnd voltage=" + volts, "R1 resistor v a value=47k", "DS1 neon a gnd striking_voltage=75 maintaining_voltage=60"}
}

// ujt is the book's transistor with its emitter fed from a stiff source.
func ujt(volts string) []string {
	return []string{"BT1 battery v gnd voltage=10 resistance=0", "BT2 battery f gnd voltage=" + volts, "R1 resistor f e value=470", "Q1 ujt e gnd v intrinsic_ratio=0.75"}
}

// timer is a monostable at rest, its trigger at the given voltage.
func timer(trigger string) []string {
	return []string{"BT1 battery v gnd voltage=9", "BT2 battery t gnd voltage=" + trigger, "U1 timer-555 gnd t o v c h h v", "R1 resistor v h value=100k", "C1 capacitor h gnd value=1", "R2 resistor o gnd value=10k"}
}

// TestSwingingCircuitsAreRefused: what never comes to rest has no steady
// voltages, and is said so by name; with power off it can be read.
func TestSwingingCircuitsAreRefused(t *testing.T) {
	for _, row := range []struct {
		name  string
		parts []string
		says  string
	}{
		{"unijunction oscillator", []string{"BT1 battery v gnd voltage=12", "R1 resistor v e value=50k", "C1 capacitor e gnd value=1", "Q1 ujt e b gnd2 intrinsic_ratio=0.6", "R2 resistor gnd2 v value=100", "R3 resistor b gnd value=47"}, "Q1"},
		{"timer as an astable", []string{"BT1 battery v gnd voltage=9", "U1 timer-555 gnd t o v c t d v", "R1 resistor v d value=4.7k", "R2 resistor d t value=1k", "C1 capacitor t gnd value=1"}, "U1"},
		{"relay as a buzzer", []string{"BT1 battery v gnd voltage=12", "K1 relay k gnd v x k coil_resistance=400 pull-in_voltage=8", "R1 resistor x gnd value=1k"}, "K1"},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := compile(t, build(t, row.parts...))
			_, err := m.OperatingPoint(context.Background(), circuit.State{}, sim.Run{})
			var swing *sim.SwingError
			if !errors.As(err, &swing) || !strings.Contains(err.Error(), row.says) {
				t.Fatalf("got %v, want that %s swings", err, row.says)
			}
			if _, err := m.OperatingPoint(context.Background(), settings(t, "BT1=off"), sim.Run{}); err != nil {
				t.Errorf("with power off: %v", err)
			}
		})
	}
}

// TestSlopesAreThoseOfTheCurrents checks the slopes of every device with three
// and more ends against differences, through Newton's own convergence: with a
// wrong slope it would not settle to the last figure in so few iterations. The
// circuits are those above; each must be found from a cold start.
func TestActiveKindsSettleFromNothing(t *testing.T) {
	for _, parts := range [][]string{
		{"BT1 battery v gnd voltage=15 resistance=0", "Q1 jfet-n v gnd s threshold=-3 zero-bias_current=0.01", "R1 resistor s gnd value=1k"},
		{"BT1 battery v gnd voltage=250", "R1 resistor v a value=100k", "R2 resistor k gnd value=1.5k", "R3 resistor g gnd value=1M", "V1 triode a g k amplification_factor=100 mutual_conductance=0.0016@0.0012"},
		{"BT1 battery v gnd voltage=12.447 resistance=0", "R1 resistor v d value=1k", "Q1 mosfet-n d d gnd threshold=2 transconductance=0.1@0.05"},
	} {
		t.Run(strings.Fields(parts[len(parts)-1])[1], func(t *testing.T) {
			s := solve(t, build(t, parts...), circuit.State{}, nil)
			if s.Road() != sim.Cold {
				t.Errorf("found by %s", s.Road())
			}
			c := build(t, parts...)
			balanced(t, c, s)
			if math.IsNaN(s.Power("BT1")) {
				t.Error("no power")
			}
		})
	}
}
