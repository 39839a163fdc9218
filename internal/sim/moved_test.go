package sim_test

import (
	"math"
	"slices"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// TestARelayTakesItsTime: contacts open, travel and close some milliseconds
// after the coil's current has risen to pull-in, L/R·ln(1/(1−5/9)) = 1.62 ms:
// the break contact opens after a fifth of 4 ms more, the make contact closes
// after nine tenths.
func TestARelayTakesItsTime(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=9 "+stiff, "K1 relay v gnd v a b pull-in_voltage=5 coil_resistance=200",
		"R1 resistor a gnd value=1k", "R2 resistor b gnd value=1k"), sim.TransientOptions{For: 20e-3})
	pulled := 2e-3 * math.Log(9/4.0)
	near(t, "break opens", crossing(t, w, "b", 4.5), pulled+0.2*4e-3, 0.1e-3)
	near(t, "make closes", crossing(t, w, "a", 4.5), pulled+0.9*4e-3, 0.1e-3)
}

// TestAFuseMelts: at ten times its rating after melts·ln(100/(100 − 2.25)),
// at 1.4 times never.
func TestAFuseMelts(t *testing.T) {
	run := func(ohms string, span float64) *sim.Waveforms {
		return follow(t, build(t, "BT1 battery v gnd voltage=10 "+stiff, "F1 fuse v a current=100m resistance=1m", "R1 resistor a gnd value="+ohms),
			sim.TransientOptions{For: span})
	}
	w := run("10", 50e-3)
	near(t, "melts at", crossing(t, w, "a", 5), 0.5*math.Log(100/97.75), 0.2e-3)
	near(t, "carries", last(run("71.4", 10), "a"), 10, 0.01)
}

// TestALampWarmsUp: cold it takes ten times its current, and comes to its
// rating within some tenths of a second.
func TestALampWarmsUp(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=6 "+stiff, "DS1 lamp v a voltage=6 current=100m", "R1 resistor a gnd value=10m"), sim.TransientOptions{For: 0.5})
	near(t, "first current", w.Nets["a"][1]/10e-3, 1, 0.02)
	near(t, "last current", last(w, "a")/10e-3, 0.1, 1e-3)
}

// TestAMotorSpinsUp: its current falls from that of its resistance to a tenth.
func TestAMotorSpinsUp(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=6 "+stiff, "M1 motor v a resistance=10", "R1 resistor a gnd value=10m"), sim.TransientOptions{For: 0.5})
	near(t, "starting current", slices.Max(w.Nets["a"])/10e-3, 0.6, 0.04)
	near(t, "running current", last(w, "a")/10e-3, 0.06, 2e-3)
}

// TestACrystalResonates: least impedance at its frequency, the resistance of
// the table of kinds.
func TestACrystalResonates(t *testing.T) {
	s := small(t, "BT1 battery v gnd voltage=9", "R1 resistor v gnd value=1k", "R2 resistor x gnd value=10M", "Y1 crystal x gnd frequency=4M")
	z := func(hertz float64) float64 {
		v, err := s.Impedance(sim.OnNet("x"), sim.OnNet("gnd"), hertz)
		if err != nil {
			t.Fatal(err)
		}
		return math.Hypot(real(v), imag(v))
	}
	near(t, "at resonance", z(4e6), 50, 1)
	if z(3.99e6) < 1000 || z(3.9e6) < 5000 {
		t.Errorf("%g and %g Ω beside it", z(3.99e6), z(3.9e6))
	}
}

// TestATransistorStoresCharge: driven hard, it stays on for a while after its
// drive has turned round; not when it is not saturated.
func TestATransistorStoresCharge(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=5 "+stiff, "RC resistor v c value=1k", "RB resistor g b value=4.7k", "Q1 npn c b gnd gain=200",
		"G1 signal g gnd shape=square voltage=5 frequency=50k resistance=0"), sim.TransientOptions{For: 20e-6})
	delay := 0.0
	for k, at := range w.Time {
		if at > 10e-6 && w.Nets["c"][k] > 2.5 {
			delay = at - 10e-6
			break
		}
	}
	if delay < 30e-9 || delay > 1e-6 {
		t.Errorf("it turns off after %g s", delay)
	}
}

// TestADiodeRecovers: a rectifier conducts backwards for about its recovery
// time after the voltage has turned.
func TestADiodeRecovers(t *testing.T) {
	w := follow(t, build(t, "G1 signal g gnd shape=square voltage=10 frequency=10k resistance=0", "D1 diode g a type=1N4007", "R1 resistor a gnd value=100"),
		sim.TransientOptions{For: 100e-6})
	back := 0.0
	for k := 1; k < len(w.Time); k++ {
		if w.Time[k] > 50e-6 {
			back -= (w.Time[k] - w.Time[k-1]) * (w.Nets["a"][k] + w.Nets["a"][k-1]) / 2 / 100
		}
	}
	// By charge control, with the forward current before and the backward one
	// after: τ·IR·ln(1 + IF/IR), the rest recombines.
	const forward, backward = 0.0922, 0.107
	want := 1.5e-6 * backward * math.Log1p(forward/backward)
	near(t, "charge", back, want, 0.05*want)
}

// TestAThyristorNeedsItsTurnOffTime: forced off by a capacitor for longer than
// its turn-off time it stays off, for shorter it conducts again.
func TestAThyristorNeedsItsTurnOffTime(t *testing.T) {
	on := func(farads string) bool {
		// S at 1 ms: the second thyristor puts the charged capacitor across.
		w := follow(t, build(t, "BT1 battery v gnd voltage=24 "+stiff, "R1 resistor v a value=24", "Q1 scr a gnd g1", "R2 resistor v b value=100", "Q2 scr b gnd g2",
			"C1 capacitor a b value="+farads, "G1 signal p gnd shape=pulse voltage=1.5 frequency=100 resistance=0", "RG1 resistor p g1 value=200",
			"C3 capacitor q x value=1u", "G2 signal gnd q shape=pulse voltage=1.5 frequency=100 resistance=0", "RG2 resistor x g2 value=200", "RX resistor x gnd value=1k"),
			sim.TransientOptions{For: 8e-3})
		return last(w, "a") < 12
	}
	if on("10u") {
		t.Error("10 µF across 24 Ω leave some 100 µs, and it did not go off")
	}
	if !on("100n") {
		t.Error("100 nF leave 2 µs, and it went off")
	}
}

// TestASaturatedCoil: where its inductance is said to have fallen by a tenth
// the current rises a ninth faster, and far above it the coil is nearly air.
func TestASaturatedCoil(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=10 "+stiff, "L1 inductor v a value=10m resistance=1m saturation_current=1", "R1 resistor a gnd value=1m"),
		sim.TransientOptions{For: 2.2e-3, Tolerance: 1e-6, MaxPoints: 200000})
	rise := func(amperes float64) float64 {
		a := crossing(t, w, "a", amperes*0.99e-3)
		b := crossing(t, w, "a", amperes*1.01e-3)
		return 0.02 * amperes / (b - a)
	}
	near(t, "at first", rise(0.1), 1000, 10)
	near(t, "at the saturation current", rise(1), 1000/0.9, 15)
	if r := rise(10); r < 50e3 {
		t.Errorf("%g A/s far above it", r)
	}
}

// TestAStateIsCarriedOver: a run from the operating point of another state
// begins with what was stored there.
func TestAStateIsCarriedOver(t *testing.T) {
	m := compile(t, build(t, "BT1 battery v gnd voltage=9 resistance=1", "R1 resistor v a value=1k", "C1 capacitor a gnd value=1u", "R2 resistor a gnd value=9k"))
	on, err := m.OperatingPoint(t.Context(), circuit.State{}, sim.Run{})
	if err != nil {
		t.Fatal(err)
	}
	w, err := m.Transient(t.Context(), settings(t, "BT1=off"), sim.TransientOptions{For: 9e-3, From: on})
	if err != nil {
		t.Fatal(err)
	}
	v := 9 * 9 / 10.001
	near(t, "at first", w.Nets["a"][0], v, 1e-3)
	near(t, "after a time constant", last(w, "a"), v/math.E, 1e-3)
}
