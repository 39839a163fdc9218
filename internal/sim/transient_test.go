package sim_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// follow runs a circuit over time.
func follow(t testing.TB, c *circuit.Circuit, opt sim.TransientOptions) *sim.Waveforms {
	t.Helper()
	w, err := compile(t, c).Transient(context.Background(), circuit.State{}, opt)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// last is the voltage of a net at the end.
func last(w *sim.Waveforms, net circuit.NetID) float64 {
	v := w.Nets[net]
	return v[len(v)-1]
}

// stiff is a source without inner resistance, in the words of build.
const stiff = "resistance=0"

// TestChargingIsPublished: what the book prints of a capacitor that charges,
// to half a unit of the last figure.
func TestChargingIsPublished(t *testing.T) {
	type row struct {
		name         string
		volts        float64
		ohms, farads float64
		at           float64
		want, within float64
	}
	rows := []row{
		{"C03 LIEC DC ch.16, 7.25 s", 15, 10e3, 100e-6, 7.25, 14.989, 5e-4},
		{"C07 Bird ex. 17.1, at τ", 120, 47e3, 15e-6, 0.705, 75.85, 5e-3},
		{"C07 Bird ex. 17.1, half", 120, 47e3, 15e-6, 0.48867, 60, 5e-3},
		{"C09 Bird ex. 17.3, 2 s", 20, 50e3, 20e-6, 2, 17.3, 0.05},
		{"C09 Bird ex. 17.3, vR 15 V", 20, 50e3, 20e-6, 0.28768, 5, 5e-3},
		{"C18 Bird ex. 45.1, 80 ms", 50, 100e3, 500e-9, 0.080, 39.91, 6e-3},
		{"C18 Bird ex. 45.1, vR 35 V", 50, 100e3, 500e-9, 17.83e-3, 15, 0.05},
	}
	for k, at := range []float64{0.5, 1, 2, 3, 4, 5, 6, 10} {
		want := []float64{5.902, 9.482, 12.970, 14.253, 14.725, 14.899, 14.963, 14.999}[k]
		rows = append(rows, row{fmt.Sprintf("C01 LIEC DC ch.16, %g s", at), 15, 10e3, 100e-6, at, want, 6e-4})
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			w := follow(t, build(t, fmt.Sprintf("BT1 battery v gnd voltage=%g %s", r.volts, stiff),
				fmt.Sprintf("R1 resistor v out value=%g", r.ohms), fmt.Sprintf("C1 capacitor out gnd value=%g", r.farads)),
				sim.TransientOptions{For: r.at})
			near(t, "v", last(w, "out"), r.want, r.within)
			for k, v := range w.Nets["out"] {
				exact := -r.volts * math.Expm1(-w.Time[k]/(r.ohms*r.farads))
				if math.Abs(v-exact) > 10*sim.DefaultTolerance*r.volts {
					t.Fatalf("at %g s: %g V, closed form %g V", w.Time[k], v, exact)
				}
			}
			t.Log(len(w.Time), last(w, "out"))
		})
	}
}
