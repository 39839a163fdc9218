package sim_test

import (
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// TestOscillatorsArePublished: circuits that swing by themselves, their period
// from the last two falls of a net through a level. Books take the switches as
// ideal; limits say how far the simulator's are from that.
func TestOscillatorsArePublished(t *testing.T) {
	rows := []struct {
		name   string
		span   float64
		net    circuit.NetID
		level  float64
		period float64
		within float64 // relative
		parts  []string
	}{
		{"C33 Floyd, Electronic Devices, ex. 16-6: 555 at 5.64 kHz", 2e-3, "out", 1.5, 1 / 5.64e3, 5e-3, []string{
			"BT1 battery v gnd voltage=5 " + stiff, "U1 timer-555 gnd c out v ctl c d v", "R1 resistor v d value=2.2k",
			"R2 resistor d c value=4.7k", "C1 capacitor c gnd value=0.022u"}},
		// The book's two figures are 218 Hz without and 196 Hz with valley and
		// discharge; this valley is lower than the book's.
		{"C44 Mehta ex. 21.12: unijunction between 196.1 and 218 Hz", 40e-3, "e", 4, 1 / 207.0, 0.053, []string{
			"BT1 battery v gnd voltage=12 " + stiff, "R1 resistor v e value=50k", "C1 capacitor e gnd value=0.1u",
			"R2 resistor v b2 value=100", "R3 resistor b1 gnd value=1m", "Q1 ujt e b1 b2 intrinsic_ratio=0.6 interbase_resistance=5k"}},
		// t = RC·ln[(2·VCC − VBE − VCE)/(VCC − VBE)] for each half. What was on
		// had 0.70 V and 0.02 V; the other takes over where it begins to conduct,
		// between 0.45 V and 0.6 V.
		{"C31 derived: two-transistor astable", 5e-3, "c1", 2.5, 47e3 * 21e-9 * math.Log((10-0.70-0.02)/(5-0.5)), 0.035, []string{
			"BT1 battery v gnd voltage=5 " + stiff, "R1 resistor v c1 value=1k", "R2 resistor v c2 value=1k",
			"R3 resistor v b1 value=47k", "R4 resistor v b2 value=47k", "C1 capacitor c1 b2 value=10n", "C2 capacitor c2 b1 value=11n",
			"Q1 npn c1 b1 gnd gain=200", "Q2 npn c2 b2 gnd gain=200"}},
		// C48 in kind: T = RC·ln((E − out)/(E − strike)) with the dark lamp's 1 GΩ
		// beside C, from 60 V and 20 µA in 3 kΩ up to 75 V; then down again.
		{"C48 in kind: neon relaxation", 1, "a", 65, 0.1/1.01*math.Log((120/1.01-60.06)/(120/1.01-75)) + 30e-6*math.Log(15/0.06), 1e-3, []string{
			"BT1 battery v gnd voltage=120 " + stiff, "R1 resistor v a value=10M", "C1 capacitor a gnd value=10n", "DS1 neon a gnd"}},
		// T = 2·RC·ln((1 + β)/(1 − β)) with half of the output fed back.
		{"operational amplifier with hysteresis, derived", 20e-3, "out", 0, 2e-3 * math.Log(3), 0.04, []string{
			"BT1 battery v gnd voltage=12 " + stiff, "BT2 battery gnd n voltage=12 " + stiff, "U1 opamp p m out v n",
			"R1 resistor out p value=10k", "R2 resistor p gnd value=10k", "R3 resistor out m value=10k", "C1 capacitor m gnd value=0.1u"}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			w := follow(t, build(t, r.parts...), sim.TransientOptions{For: r.span})
			at := falls(w, r.net, r.level)
			if len(at) < 4 {
				t.Fatalf("falls %d times only", len(at))
			}
			n := len(at)
			near(t, "period", at[n-1]-at[n-2], r.period, r.within*r.period)
			near(t, "period before it", at[n-2]-at[n-3], at[n-1]-at[n-2], 1e-4*r.period)
		})
	}
}

// TestCoilFeedsARectifier: a switched coil lifts its output far above the
// battery: each period brings ½·L·I² (C59, derived) less what the coil, the
// switch and the diode lose.
func TestCoilFeedsARectifier(t *testing.T) {
	w := follow(t, build(t, "BT1 battery v gnd voltage=12 resistance=0.1", "L1 inductor v sw value=1m resistance=0.5",
		"Q1 mosfet-n sw g gnd threshold=2 transconductance=2", "D1 diode sw out current=1", "C1 capacitor out gnd value=1u",
		"R1 resistor out gnd value=100k", "G1 signal g gnd shape=square voltage=6 frequency=5k"), sim.TransientOptions{For: 1e-3, Tolerance: 1e-4})
	// Five periods of 100 µs on: 1.16 A and 0.67 mJ each, and the battery adds
	// its own while the coil empties.
	peak := -12 / 0.62 * math.Expm1(-0.62*100e-6/1e-3)
	stored := 0.5 * 1e-6 * math.Pow(last(w, "out"), 2)
	least, most := 0.8*5*0.5*1e-3*peak*peak, 1.3*5*0.5*1e-3*peak*peak
	if stored < least || stored > most {
		t.Errorf("%.4g J stored at %.4g V, five coils full are %.4g J", stored, last(w, "out"), 5*0.5*1e-3*peak*peak)
	}
}

// TestThyristorLatches: fired by a pulse, it conducts until the half-wave
// ends.
func TestThyristorLatches(t *testing.T) {
	w := follow(t, build(t, "G1 signal ac gnd voltage=24 frequency=50 resistance=1", "R1 resistor ac a value=100", "Q1 scr a gnd g",
		"R2 resistor ac d value=2.2k", "D1 diode d g", "RG resistor g gnd value=1k"), sim.TransientOptions{For: 40e-3})
	fired := false
	for k, at := range w.Time {
		v := w.Nets["a"][k]
		switch {
		case at > 4e-3 && at < 9e-3 || at > 24e-3 && at < 29e-3:
			fired = true
			if v > 2 {
				t.Fatalf("%g V across it at %g s, when it should conduct", v, at)
			}
		case at > 12e-3 && at < 18e-3:
			if v > -15 {
				t.Fatalf("%g V across it at %g s, when it should block", v, at)
			}
		}
	}
	if !fired {
		t.Error("never looked at it fired")
	}
}
