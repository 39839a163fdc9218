package diagnosis_test

import (
	"math"
	"math/cmplx"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/num/bayes"
	"foilside/internal/sim"
)

// sallenKey is the band-pass of E16 of the outside checks (from memory, the
// family of papers by Aminian and Aminian, IEEE Trans. 2000–2002): R1 1 kΩ,
// R2 3 kΩ, R3 2 kΩ, R4 = R5 = 4 kΩ, C1 = C2 = 5 nF.
func sallenKey() *circuit.Circuit {
	return unit{"band-pass benchmark", `
		PS1 supply 15 plus chassis
		PS2 supply 15 chassis minus
		G1 signal in chassis voltage=1 resistance=0
		R1 resistor 1k in a
		C1 capacitor 5n a chassis
		R2 resistor 3k a out
		C2 capacitor 5n a b
		R3 resistor 2k b chassis
		U1 opamp b tap out plus minus
		R4 resistor 4k tap chassis
		R5 resistor 4k out tap`}.circuit()
}

// response is the gain in decibels and the phase in degrees at some
// frequencies with parts scaled.
func response(t *testing.T, c *circuit.Circuit, scaled map[circuit.PartRef]float64) []float64 {
	t.Helper()
	c = c.Clone()
	for i, p := range c.Parts {
		if f, ok := scaled[p.Ref]; ok {
			a := p.Amounts["value"]
			a.Value *= f
			c.Parts[i].Amounts["value"] = a
		}
	}
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := model.SmallSignal(t.Context(), circuit.State{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for k := range 13 {
		g, err := s.Gain("G1", sim.OnNet("out"), sim.OnNet("chassis"), benchmarkHertz(k))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, 20*math.Log10(cmplx.Abs(g)), cmplx.Phase(g)*180/math.Pi)
	}
	return out
}

// benchmarkHertz runs from 6.5 to 104 kHz in steps of a third of an octave.
func benchmarkHertz(k int) float64 { return 25.99e3 * math.Pow(2, float64(k-6)/3) }

// TestSallenKeyBenchmark: the centre of E16, the nine classes of E17 are told
// apart by an exact unit's response, and what sets the amplifier's gain only
// by its ratio is one ambiguity group (E20): R4 up is R5 down.
func TestSallenKeyBenchmark(t *testing.T) {
	c := sallenKey()
	good := response(t, c, nil)
	top := 0
	for k := range 13 {
		if good[2*k] > good[2*top] {
			top = k
		}
	}
	if top != 6 {
		t.Errorf("the greatest gain is at %.3g Hz, computed in the literature 25.99 kHz", benchmarkHertz(top))
	}
	classes := []map[circuit.PartRef]float64{nil}
	names := []string{"good"}
	for _, ref := range []circuit.PartRef{"C1", "C2", "R2", "R3"} {
		classes = append(classes, map[circuit.PartRef]float64{ref: 1.5}, map[circuit.PartRef]float64{ref: 0.5})
		names = append(names, string(ref)+" up", string(ref)+" down")
	}
	classes = append(classes, map[circuit.PartRef]float64{"R4": 1.5}, map[circuit.PartRef]float64{"R5": 1 / 1.5})
	names = append(names, "R4 up", "R5 down")
	var seen [][]float64
	for _, s := range classes {
		seen = append(seen, response(t, c, s))
	}
	group := bayes.Partition(len(seen), func(i, j int) bool {
		for k := range seen[i] {
			const decibels, degrees = 0.1, 1.0 // what a meter and an oscilloscope tell apart
			if d := math.Abs(seen[i][k] - seen[j][k]); k%2 == 0 && d > decibels || k%2 == 1 && d > degrees {
				return false
			}
		}
		return true
	})
	for i := range 9 {
		for j := range i {
			if group[i] == group[j] {
				t.Errorf("%s and %s are one group; E17 has nine classes", names[i], names[j])
			}
		}
	}
	if group[9] != group[10] {
		t.Errorf("R4 up and R5 down set the same gain, yet they are two groups")
	}
}
