package stage_test

import (
	"math"
	"strings"
	"testing"

	"foilside/internal/schematic/trial"
)

// Figures against published examples. The row of shared/CHECKS.md that each was
// taken from stands first; within is the share that the book's own rounding
// and its junction drops leave open.
func TestFiguresAgainstPublishedExamples(t *testing.T) {
	for _, c := range []struct {
		check, figure string
		want, within  float64
		text          string
	}{
		{"B26: Malvino & Bates ex. 4-6", "ripple", 1.1, 0.06, `
			G1 signal 120V 60Hz : l n
			T1 transformer p=5 s=1 : l n a gnd
			D1 diode : a out
			C1 electrolytic 100u : out gnd
			R1 resistor 5k : out gnd`},
		{"B23: Malvino & Bates ex. 4-2", "peak voltage", 33.3, 0.01, `
			G1 signal 120V 60Hz : l n
			T1 transformer p=5 s=1 : l n a gnd
			D1 diode : a out
			C1 electrolytic 100u : out gnd
			R1 resistor 5k : out gnd`},
		{"B73: Floyd ex. 2-6", "peak voltage", 15.57, 0.001, `
			G1 signal 12V : a b
			D1 bridge : a b out gnd
			C1 electrolytic 100u : out gnd`},
		{"B34: Malvino & Bates ex. 5-1", "available current", 36.6e-3, 0.002, `
			V1 supply 40V : raw gnd
			R1 resistor 820 : raw out
			D1 zener 10V : gnd out
			J1 connector : 1=out 2=gnd`},
		{"B59: Malvino & Bates ex. 24-1", "output", 9.9, 0.012, `
			V1 supply 15V : raw gnd
			R1 resistor 10 : raw out
			D1 zener 9.1V : b out
			Q1 npn : out b gnd
			R2 resistor 100 : b gnd
			R3 resistor 40 : out gnd`},
		{"B82: Boylestad & Nashelsky ex. 15.8", "output", 11.3, 0.001, `
			V1 supply 20V : raw gnd
			R1 resistor 220 : raw b
			D1 zener 12V : gnd b
			Q1 npn : raw b out
			R2 resistor 1k : out gnd`},
		{"B83: Boylestad & Nashelsky ex. 15.9", "output", 15, 0.001, `
			V1 supply 20V : raw gnd
			Q1 npn : raw b out
			R5 resistor 1k : raw b
			Q2 npn : b s z
			D1 zener 8.3V : gnd z
			R4 resistor 2k2 : out z
			R1 resistor 20k : out s
			R2 resistor 30k : s gnd
			R3 resistor 100 : out gnd`},
		{"B84: Boylestad & Nashelsky ex. 15.10", "output", 24.8, 0.001, `
			V1 supply 36V : raw gnd
			Q1 npn : raw b out
			U1 opamp : z s b raw gnd
			R4 resistor 1k : raw z
			D1 zener 6.2V : gnd z
			R1 resistor 30k : out s
			R2 resistor 10k : s gnd
			R3 resistor 1k : out gnd`},
		{"B79: Boylestad & Nashelsky ex. 4.1", "collector current", 2.35e-3, 0.003, `
			V1 supply 12V : vcc gnd
			G1 signal : in gnd
			C1 electrolytic 10u : in b
			R1 resistor 240k : vcc b
			R2 resistor 2k2 : vcc c
			Q1 npn gain=50 : c b gnd
			C2 electrolytic 10u : c out
			R3 resistor 10k : out gnd`},
		{"B97: Mehta ex. 9.27, to one part in gain", "collector current", 2.11e-3, 0.011, `
			V1 supply 15V : vcc gnd
			R1 resistor 10k : vcc b
			R2 resistor 5k : b gnd
			R3 resistor 1k : vcc c
			R4 resistor 2k : e gnd
			Q1 npn gain=100 : c b e`},
		{"B71: Floyd ex. 5-8", "collector current", 0.845e-3, 0.01, `
			V1 supply 10V : vcc gnd
			G1 signal : in gnd
			C1 electrolytic 10u : in b
			R1 resistor 100k : c b
			R2 resistor 10k : vcc c
			Q1 npn gain=100 : c b gnd`},
		{"C33: Floyd ex. 16-6, who takes 1.44 for 1/ln 2", "frequency", 5640, 0.003, `
			V1 supply 5V : vcc gnd
			U1 timer-555 : gnd t out vcc ctl t d vcc
			R1 resistor 2k2 : vcc d
			R2 resistor 4k7 : d t
			C1 capacitor 22n : t gnd
			C2 capacitor 10n : ctl gnd
			R3 resistor 1k : out gnd`},
		{"C33: Floyd ex. 16-6", "share of time high", 0.595, 0.001, `
			V1 supply 5V : vcc gnd
			U1 timer-555 : gnd t out vcc ctl t d vcc
			R1 resistor 2k2 : vcc d
			R2 resistor 4k7 : d t
			C1 capacitor 22n : t gnd
			C2 capacitor 10n : ctl gnd
			R3 resistor 1k : out gnd`},
		{"C44: Mehta ex. 21.12", "frequency", 218, 0.003, `
			V1 supply 12V : vcc gnd
			R1 resistor 50k : vcc e
			C1 capacitor 100n : e gnd
			Q1 ujt ratio=0.6 : e b1 b2
			R2 resistor 470 : vcc b2
			R3 resistor 100 : b1 gnd`},
		{"C32: astable, trade constant 1.38·R·C", "frequency", 1 / (1.38 * 47e3 * 10e-6), 0.006, `
			V1 supply 9V : vcc gnd
			R1 resistor 1k : vcc c1
			R2 resistor 47k : vcc b1
			R3 resistor 47k : vcc b2
			R4 resistor 1k : vcc c2
			C1 electrolytic 10u : c1 b2
			C2 electrolytic 10u : c2 b1
			Q1 npn : c1 b1 gnd
			Q2 npn : c2 b2 gnd`},
	} {
		t.Run(c.check+" "+c.figure, func(t *testing.T) {
			set, err := trial.Read("example | published | gnd\n" + strings.ReplaceAll(strings.TrimSpace(named(c.text)), "\t", ""))
			if err != nil {
				t.Fatal(err)
			}
			setNamed(t, set[0].Circuit, c.text)
			found := find(t, set[0].Circuit)
			for _, s := range found.Stages {
				for _, f := range s.Figures {
					if f.Name == c.figure {
						if off := math.Abs(f.Value-c.want) / c.want; off > c.within {
							t.Errorf("%g, the book has %g", f.Value, c.want)
						}
						return
					}
				}
			}
			t.Errorf("no figure %q among %v", c.figure, found.Stages)
		})
	}
}
