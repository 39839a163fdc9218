package charge_test

import (
	"math"
	"testing"

	"foilside/internal/charge"
)

func TestES1Limits(t *testing.T) {
	const source = "IEC 62368-1 table 5, reproduction"
	for _, tc := range []struct {
		id            string
		farads, volts float64
	}{
		{"G16", 300e-9, 60}, {"G16", 1e-3, 60}, {"G17", 170e-9, 75}, {"G18", 91e-9, 100}, {"G19", 61e-9, 125},
		{"G20", 41e-9, 150}, {"G21", 28e-9, 200}, {"G22", 18e-9, 250}, {"G23", 12e-9, 350}, {"G24", 8e-9, 500},
		{"G25", 4e-9, 1000}, {"G26", 1.6e-9, 2500}, {"G27", 0.8e-9, 5000}, {"G28", 0.4e-9, 10e3},
		{"G29", 0.2e-9, 20e3}, {"G30", 0.133e-9, 25e3}, {"G30", 1e-12, 25e3},
		{"between G16 and G17, linear", 235e-9, 67.5},
	} {
		t.Run(tc.id+" "+source, func(t *testing.T) {
			if got := charge.ES1Volts(tc.farads); math.Abs(got-tc.volts) > 1e-9*tc.volts {
				t.Errorf("%g F: %g V, published %g V", tc.farads, got, tc.volts)
			}
		})
	}
}

func TestJudge(t *testing.T) {
	for _, tc := range []struct {
		name          string
		volts, farads float64
		hazardous     bool
		caution       bool
	}{
		{"battery radio", 9, 1000e-6, false, false},
		{"G08 above 30 V, LIEC DC ch. 3", 31, 1e-6, false, true},
		{"G09 60 V dc is still allowed, IEC 61010-1", 60, 100e-6, false, true},
		{"G09 above 60 V with charge to spare", 61, 100e-6, true, true},
		{"G11 250 V and 0.19 µF exceed 45 µC, EMC-PSTC 13963", 250, 0.19e-6, true, true},
		{"G12 300 V and 0.16 µF", 300, 0.16e-6, true, true},
		{"G12 450 V and 0.11 µF", 450, 0.11e-6, true, true},
		{"G11 0.17 µF within 45 µC, yet above ES2 of G17", 250, 0.17e-6, true, true},
		{"G28 small store within ES1", 9e3, 0.4e-9, false, true},
		{"G09 above 15 kV and 350 mJ", 16e3, 3e-9, true, true},
		{"G41 small flash store, derived", 400, 1e-6, true, true},
		{"G34 can burn below 100 V", 50, 0.1, true, true},
		{"sign doesn't matter", -400, 1e-6, true, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := charge.Judge(tc.volts, tc.farads)
			if got.Hazardous != tc.hazardous || got.Caution != tc.caution || got.Rule == "" {
				t.Errorf("%g V on %g F: %+v, want hazardous %v, caution %v and a rule", tc.volts, tc.farads, got, tc.hazardous, tc.caution)
			}
		})
	}
}

// TestChargeLimitOf45Microcoulombs: the capacitance at which the rule of
// charge begins, G11 and G12.
func TestChargeLimitOf45Microcoulombs(t *testing.T) {
	for volts, farads := range map[float64]float64{250: 0.18e-6, 300: 0.150e-6, 350: 0.129e-6, 400: 0.1125e-6, 450: 0.100e-6} {
		if got := charge.LiveCoulombs / volts; math.Abs(got-farads) > 0.0005e-6 {
			t.Errorf("%g V: %.4g µF, published %.4g µF", volts, got*1e6, farads*1e6)
		}
	}
}

func TestResistorRatings(t *testing.T) {
	near := func(name string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-3*want {
			t.Errorf("%s: %g, published %g", name, got, want)
		}
	}
	near("G52 ¼ W 1 MΩ by power 500 V, allowed 250 V", charge.WorkingVolts(1e6, 0.25), 250)
	near("G52 below the critical value √(P·R)", charge.WorkingVolts(10e3, 0.25), 50)
	near("G53 critical resistance ¼ W, 250 V", charge.CriticalOhms(charge.Rating{Watts: 0.25, Working: 250}), 250e3)
	near("G53 critical resistance ½ W, 350 V", charge.CriticalOhms(charge.Rating{Watts: 0.5, Working: 350}), 245e3)
	near("G54 film resistor at 100 °C", charge.Derated(1, 100), 0.64706)
	near("G54 at 70 °C", charge.Derated(0.5, 70), 0.5)
	if got := charge.Derated(1, 160); got != 0 {
		t.Errorf("G54 above 155 °C: %g, want 0", got)
	}
}

func TestBleederStaysWithinItsRating(t *testing.T) {
	for _, tc := range []struct {
		name          string
		volts, farads float64
	}{
		{"G41 small flash store", 400, 1e-6},
		{"camera flash", 330, 300e-6},
		{"survey meter", 900, 0.1e-6},
		{"amplifier supply", 70, 4700e-6},
		{"geiger multiplier", 2500, 10e-9},
	} {
		t.Run(tc.name, func(t *testing.T) {
			b := charge.ChooseBleeder(tc.volts, tc.farads)
			each := tc.volts / float64(b.Count)
			if p := each * each / b.Each; p > b.Watts*1.0001 {
				t.Errorf("%s takes %.2f W at first, rated %g W", b, p, b.Watts)
			}
			if b.Volts < tc.volts*0.9999 {
				t.Errorf("%s stands %.0f V, needs %.0f V", b, b.Volts, tc.volts)
			}
			if left := tc.volts * math.Exp(-b.Seconds/(1.05*b.Ohms*1.2*tc.farads)); left > 10 {
				t.Errorf("%s leaves %.1f V after %.0f s with both values at their upper limit", b, left, b.Seconds)
			}
		})
	}
}
